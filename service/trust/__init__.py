"""What the engine was held against: published cases and the grades of its own reference values.

The figures are made by ``python -m tests.validation --write`` from runs over HTTP, and kept as
data of the package; a test makes them anew and compares.
"""
