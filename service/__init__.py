"""Winterground: what each way of feeding through a wet winter costs one farm per year."""
