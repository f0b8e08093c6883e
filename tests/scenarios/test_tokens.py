"""Tokens against published examples of what they are made of."""

import string
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.scenarios.errors import MistypedTokenError
from service.scenarios.tokens import (
    ALPHABET,
    PREFIXES,
    TOKEN,
    Peppers,
    hint_of,
    kind_of,
    masked,
    new_token,
)

KINDS = sorted(PREFIXES)


def base62(number):
    """Return a number in digits 0-9A-Za-z, worked apart from the code, six of them."""
    digits = ""
    for power in range(5, -1, -1):
        digits += (string.digits + string.ascii_uppercase + string.ascii_lowercase)[
            number // 62**power % 62
        ]
    return digits


def test_the_hash_is_hmac_sha_256():
    # M. Nystrom, RFC 4231 (2005), section 4.3, test case 2.
    peppers = Peppers({1: b"Jefe"})
    assert peppers.digest("what do ya want for nothing?").hex() == (
        "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
    )


def test_the_check_letters_are_a_crc_32_in_base_62():
    # CRC-32 as in ISO 3309 and gzip; the customary check value of "123456789" is cbf43926
    # (common practice, no source).
    assert zlib.crc32(b"123456789") == 0xCBF43926
    token = new_token("key")
    assert token[-6:] == base62(zlib.crc32(token[:-6].encode()))


@pytest.mark.parametrize("kind", KINDS)
def test_a_token_says_what_it_is_and_carries_190_bits(kind):
    token = new_token(kind)
    assert kind_of(token) == kind
    assert TOKEN.fullmatch(token)
    assert len(ALPHABET) ** 32 > 2**190
    assert new_token(kind) != token


@given(st.sampled_from(KINDS), st.integers(0, 41), st.sampled_from(ALPHABET))
def test_one_wrong_letter_is_always_noticed(kind, place, letter):
    token = new_token(kind)
    mistyped = token[:place] + letter + token[place + 1 :]
    if mistyped != token:
        with pytest.raises(MistypedTokenError):
            kind_of(mistyped)


@pytest.mark.parametrize(
    "spoilt",
    [
        lambda token: token[:-1],
        lambda token: token + "0",
        lambda token: token + "\n",
        lambda token: " " + token,
        lambda token: token.lower() if token != token.lower() else token.upper(),
        lambda token: "wfe_" + token[4:],
        lambda _: "",
        lambda _: "wfk_",
        lambda _: "é" * 42,
    ],
)
def test_what_is_cut_off_or_spoilt_is_no_token(spoilt):
    with pytest.raises(MistypedTokenError):
        kind_of(spoilt(new_token("key")))


def test_a_token_may_be_kept_under_any_secret_the_newest_first():
    peppers = Peppers({1: b"old", 3: b"new"})
    assert peppers.newest == 3
    assert list(peppers.digests("t")) == [peppers.digest("t", 3), peppers.digest("t", 1)]
    assert peppers.digest("t") == peppers.digest("t", 3) != peppers.digest("t", 1)
    assert peppers.derived("cursors") not in {b"new", peppers.derived("else")}


def test_a_text_with_tokens_is_masked():
    token = new_token("edit_link")
    text = masked(f"GET /s/{token}?x={token}.")
    assert token not in text
    assert text == f"GET /s/{hint_of(token)}...?x={hint_of(token)}...."
