"""Reference values that warnings hang on, and no money."""

from service.costing.case import Case


def known(case: Case, key: str) -> float | None:
    """Return a reference value, or None where nobody gives it.

    It is not noted as used: what a costing says of its inputs must not hang on whether its
    warnings were asked for.
    """
    value = case.scenario.assumptions.get(key)
    if value is None:
        row = case.edition.rows.get(key)
        value = row.usual if row else None
    return None if value is None or isinstance(value, str) else float(value)
