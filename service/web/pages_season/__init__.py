"""Pages of a season: the plan with its dates, the morning card, and the winter held against it."""
