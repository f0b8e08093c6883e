"""Limits by work done: what each request is charged, and what one caller may spend in a minute."""
