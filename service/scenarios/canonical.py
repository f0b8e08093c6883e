"""The one text of a document: what is kept, compared and hashed.

Members keep the order in which they were sent: the order of the systems is the author's.
"""

import json
from hashlib import sha256
from typing import Any, cast

Members = dict[str, Any]
Items = list[Any]

MOST_EXACT = 2**53
"""Up to here every whole number has a float of its own (IEEE 754, binary64)."""


def plain(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Return a JSON value with whole numbers without a decimal point; 1.0 and 1 are one number."""
    if isinstance(value, dict):  # no call in between: it goes through every value of a document
        return {name: plain(member) for name, member in cast("Members", value).items()}
    if isinstance(value, float):
        whole = value.is_integer() and -MOST_EXACT <= value <= MOST_EXACT
        return int(value) if whole else value
    if isinstance(value, list):
        return [plain(item) for item in cast("Items", value)]
    return value


def canonical_text(document: object) -> str:
    """Return the text of a document.

    Raises
    ------
    ValueError
        If it holds a number that is none.
    """
    return text_of(plain(document))


def text_of(document: object) -> str:
    """Return the text of a document that is plain already.

    Raises
    ------
    ValueError
        If it holds a number that is none.
    """
    return json.dumps(document, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def sha256_of(text: str) -> str:
    """Return the SHA-256 of a text in UTF-8, in hexadecimal digits."""
    return sha256(text.encode()).hexdigest()
