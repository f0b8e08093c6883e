"""A winter as it was, held against the plan."""
