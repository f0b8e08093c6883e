"""After the decision: a plan with dates, the winter as it was, and what it teaches of the farm."""
