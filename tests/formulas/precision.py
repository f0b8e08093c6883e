"""How far a worked figure may lie from a printed one: half a unit of the last printed digit."""

WHOLE = 0.5
ONE_DECIMAL = 0.05
TWO_DECIMALS = 0.005
THREE_DECIMALS = 0.0005
FOUR_DECIMALS = 0.00005
FIVE_DECIMALS = 0.000005
SIX_DECIMALS = 0.0000005
SEVEN_DECIMALS = 0.00000005

CENT = TWO_DECIMALS
FRACTION_IN_WHOLE_PERCENT = 0.005
"""A share printed as a whole percent."""

SIX_FIGURES = 5e-6
"""Relative, for figures printed to six significant digits or more."""

EXACT = 1e-12
"""Relative, for two ways of working the same number in double precision."""

CENT_CUT_OFF = 0.01
"""A sum printed to the cent with what follows cut off, not rounded."""

ONE_CUT_OFF = 1.0
"""A whole number with what follows cut off, not rounded."""

PERCENT_TO_ONE_DECIMAL = 0.0005
"""A share printed as a percent to one decimal."""
