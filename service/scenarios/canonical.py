"""The one text of a document: what is kept, compared and hashed.

Members keep the order in which they were sent: the order of the systems is the author's.
"""

import json
from hashlib import sha256
from typing import Any

from service.costing.json_shapes import is_array, is_object

MOST_EXACT = 2**53
"""Up to here every whole number has a float of its own (IEEE 754, binary64)."""


def plain(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Return a JSON value with whole numbers without a decimal point; 1.0 and 1 are one number."""
    if is_object(value):
        return {str(name): plain(member) for name, member in value.items()}
    if is_array(value):
        return [plain(item) for item in value]
    if isinstance(value, float) and value.is_integer() and abs(value) <= MOST_EXACT:
        return int(value)
    return value


def canonical_text(document: object) -> str:
    """Return the text of a document.

    Raises
    ------
    ValueError
        If it holds a number that is none.
    """
    return json.dumps(plain(document), separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def sha256_of(text: str) -> str:
    """Return the SHA-256 of a text in UTF-8, in hexadecimal digits."""
    return sha256(text.encode()).hexdigest()
