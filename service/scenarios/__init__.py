"""Scenarios kept for offices: acts upon them, and what a place to keep them must offer.

Knows no web and no database. Reading takes a session; an act takes the desk and opens its own.
"""
