"""Tokens: what authorises. Shown once, told apart by prefix, checked before anything is looked up.

A token is a prefix, 32 random letters and digits (190 bits) and 6 more that check them. Only a
keyed hash is kept (HMAC-SHA-256, RFC 2104), under a secret that lives apart from the database.
"""

import hmac
import re
import secrets
import string
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from typing import Literal

from service.scenarios.errors import MistypedTokenError

TokenKind = Literal["key", "read_link", "edit_link"]

ALPHABET = string.digits + string.ascii_uppercase + string.ascii_lowercase
PREFIXES: Mapping[TokenKind, str] = {"key": "wfk_", "read_link": "wfr_", "edit_link": "wfe_"}
RANDOM_LETTERS = 32
CHECK_LETTERS = 6
SHOWN_LETTERS = 8
TOKENS_IN_USE = 256

TOKEN = re.compile(rf"wf[kre]_[0-9A-Za-z]{{{RANDOM_LETTERS + CHECK_LETTERS}}}")
"""What every token looks like."""

BEGUN = re.compile(rf"(wf[kre]_[0-9A-Za-z]{{{SHOWN_LETTERS - 4}}})[0-9A-Za-z]+")
"""What begins as one, for it may have been cut off; its first letters may be shown."""


@dataclass(frozen=True, slots=True)
class Peppers:
    """The secrets that tokens are hashed with, by number; the highest is in use."""

    secrets: Mapping[int, bytes]

    @property
    def newest(self) -> int:
        """Number of the secret that new tokens are hashed with."""
        return max(self.secrets)

    def digest(self, token: str, number: int | None = None) -> bytes:
        """Return the keyed hash of a token."""
        return _keyed_hash(self.secrets[self.newest if number is None else number], token)

    def digests(self, token: str) -> Iterable[bytes]:
        """Return the keyed hashes that a token may be kept under."""
        return [self.digest(token, number) for number in sorted(self.secrets, reverse=True)]

    def derived(self, purpose: str) -> bytes:
        """Return a secret for another purpose."""
        return hmac.digest(self.secrets[self.newest], purpose.encode(), sha256)


def new_token(kind: TokenKind) -> str:
    """Return a new token."""
    letters = "".join(secrets.choice(ALPHABET) for _ in range(RANDOM_LETTERS))
    body = PREFIXES[kind] + letters
    return body + _check(body)


def kind_of(token: str) -> TokenKind:
    """Return what a token says it is.

    Raises
    ------
    MistypedTokenError
        If it is mistyped or cut off.
    """
    body, check = token[:-CHECK_LETTERS], token[-CHECK_LETTERS:]
    if not TOKEN.fullmatch(token) or not hmac.compare_digest(_check(body), check):
        raise MistypedTokenError
    return next(kind for kind, prefix in PREFIXES.items() if token.startswith(prefix))


def hint_of(token: str) -> str:
    """Return as much of a token as may be shown."""
    return token[:SHOWN_LETTERS]


def masked(text: str) -> str:
    """Return a text with every token in it, whole or cut off, reduced to what may be shown."""
    return BEGUN.sub(r"\1...", text)


@lru_cache(TOKENS_IN_USE)
def _keyed_hash(secret: bytes, token: str) -> bytes:
    """Return the hash; that of a token in use is at hand for its next request."""
    return hmac.digest(secret, token.encode(), sha256)


def _check(body: str) -> str:
    number = zlib.crc32(body.encode())
    letters: list[str] = []
    for _ in range(CHECK_LETTERS):
        number, rest = divmod(number, len(ALPHABET))
        letters.append(ALPHABET[rest])
    return "".join(reversed(letters))
