"""Words and numbers in pictures: cleaned, shortened to a width, money to the nearest hundred."""

import unicodedata
from collections.abc import Iterator

from service.costing.wording import listed

SMALL = 10.0
USUAL = 11.0
LARGE = 13.0
"""Sizes of text [pt], of a picture that is 360 pt wide."""

NEAREST = 100
HIDDEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
"""Kinds of characters that are not seen but can turn text around, cut it or break the file."""
JOINERS = {"\u200c", "\u200d"}
"""Unseen characters that some scripts are wrong without."""
MOST_MARKS = 2
"""Accents on one letter; more would climb over what stands above."""
ELLIPSIS = "…"

_EMS = {
    **dict.fromkeys(" ijlI.,:;'|!()[]-", 0.33),
    **dict.fromkeys("frt/*", 0.42),
    **dict.fromkeys("0123456789", 0.64),
    **dict.fromkeys("mwMW@%&…", 1.0),
}
_SMALL_LETTER, _CAPITAL, _SQUARE = 0.6, 0.7, 1.0
"""Widths on the ample side of common fonts without serifs: which one is used is the reader's."""
BOLD = 1.08


def money(amount: float) -> str:
    """Return money to the nearest hundred."""
    return f"{round(amount / NEAREST) * NEAREST:,.0f}"


def plain(text: str) -> str:
    """Return a text without characters that are not seen, in one line."""
    return " ".join("".join(_kept(unicodedata.normalize("NFC", text))).split())


def _kept(text: str) -> Iterator[str]:
    marks = 0
    for letter in text:
        kind = unicodedata.category(letter)
        marks = marks + 1 if kind in {"Mn", "Me"} else 0
        if letter.isspace() or kind in {"Zl", "Zp"}:
            yield " "
        elif letter in JOINERS or (kind not in HIDDEN and marks <= MOST_MARKS):
            yield letter


def width(text: str, size: float, *, bold: bool = False) -> float:
    """Return about how wide a text is, sooner too wide than too narrow [pt]."""
    return sum(map(_ems, text)) * size * (BOLD if bold else 1)


def _ems(letter: str) -> float:
    if letter in _EMS:
        return _EMS[letter]
    if unicodedata.category(letter) in {"Mn", "Me", "Cf"}:
        return 0
    if unicodedata.east_asian_width(letter) in {"W", "F"}:
        return _SQUARE
    return _CAPITAL if letter.isupper() else _SMALL_LETTER


def fitted(text: str, room: float, size: float = USUAL, *, bold: bool = False) -> str:
    """Return a text cleaned, and cut short where it is wider than there is room [pt]."""
    text = plain(text)
    used = 0.0
    cut = 0
    for place, letter in enumerate(text):
        used += width(letter, size, bold=bold)
        if used > room:
            return text[:cut].rstrip() + ELLIPSIS
        if used <= room - width(ELLIPSIS, size, bold=bold):
            cut = place + 1
    return text


def lines_of(text: str, room: float, size: float = USUAL) -> list[str]:
    """Return a text in lines that are no wider than there is room [pt]."""
    lines: list[str] = []
    for word in plain(text).split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, size) <= room:
            lines[-1] = longer
        else:
            lines.append(fitted(word, room, size))
    return lines


def named_in_words(names: list[str]) -> str:
    """Return names, cleaned and of a length that can be read, as a list in words."""
    return listed(short(name) for name in names)


def short(name: str) -> str:
    """Return a name cleaned and of a length that can be read in a sentence."""
    return fitted(name, LONGEST_NAME)


LONGEST_NAME = 480.0
"""Room for a name in the description [pt]: some 70 letters."""
