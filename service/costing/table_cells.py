"""Single cells of a table as text.

Text can never become a formula: a cell that a spreadsheet would work out is written with an
apostrophe before it.
"""

from service.costing.json_shapes import is_array

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")
BETWEEN_WORDS = " "


def cell(value: object, decimal: str = ".") -> str:
    """Write one value as the text of a cell."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:.15g}".replace(".", decimal)
    if is_array(value):
        return _guarded(BETWEEN_WORDS.join(str(word) for word in value))
    return _guarded(str(value))


def _guarded(text: str) -> str:
    """Keep a text from being taken for a formula."""
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA_STARTS) else text
