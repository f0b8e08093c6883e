"""The engine held against what others published: cases, and the page made of their results.

``python -m tests.validation`` runs all cases and prints them, ``python -m tests.validation V02``
one of them; with ``--write`` what the service shows of them is made anew.
"""
