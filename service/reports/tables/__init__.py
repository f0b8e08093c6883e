"""Tables of a costing: each holds one kind of row, and no totals among parts."""
