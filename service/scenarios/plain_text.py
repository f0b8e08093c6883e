"""Texts that people write beside a document: labels, remarks, notes, names of offices."""

from service.costing.errors import Fault
from service.scenarios.tokens import TOKEN

DELETE = "\x7f"
NUL = "\0"
LAYOUT = "\n\r\t"


def storable(text: str) -> bool:
    """Whether a database can hold a text: no half of a surrogate pair, no NUL.

    PostgreSQL refuses both in its text type.
    """
    return NUL not in text and not any("\ud800" <= letter <= "\udfff" for letter in text)


def text_fault(
    name: str, title: str, text: object, longest: int, *, lines: bool = False
) -> Fault | None:
    """Return what is wrong with a text, or None.

    Parameters
    ----------
    name : str
        What it is called in the request.
    title : str
        What it is called in a sentence.
    text : object
        As sent; counted without blanks at its ends.
    longest : int
        Most characters that it may have.
    lines : bool
        Whether it may have more than one line.
    """
    allowed = f"1 to {longest:,} characters"
    if not isinstance(text, str):
        return Fault(name, f"{title} must be text.", allowed=allowed)
    length = len(text.strip())
    if not 1 <= length <= longest:
        detail = f"{title} must have {allowed}; it has {length:,}."
        return Fault(name, detail, received=length, allowed=allowed)
    laid_out = "".join(letter for letter in text if letter not in LAYOUT) if lines else text.strip()
    if not storable(text) or any(letter < " " or letter == DELETE for letter in laid_out):
        detail = f"{title} must hold no control characters."
        return Fault(name, detail, allowed=allowed)
    if TOKEN.search(text):
        return Fault(name, f"{title} must hold no token: it would open its door to every reader.")
    return None
