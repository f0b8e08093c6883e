"""The costing core: pure formulas, reference values and the engine that joins them.

Knows no web, no database and no command line.
"""
