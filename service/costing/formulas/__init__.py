"""Pure formulas, one topic a module. They know no scenario, no table and no ledger."""
