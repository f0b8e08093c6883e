"""One Hypothesis profile for all tests: the same examples on every run, and no clock.

A longer run with new examples, by hand: ``pytest --hypothesis-profile=default``.
"""

from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None, database=None)
settings.load_profile("fixed")
