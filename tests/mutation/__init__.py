"""Mutants of the formulas, and how many of them the tests tell from the real ones.

``python -m tests.mutation``; `tests/formulas/mutants.md` says what came of it. Not a test.
"""
