"""The two annexes of a costing, for the engineer and for the lender: content, then pages."""
