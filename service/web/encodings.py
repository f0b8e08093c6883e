"""Which encoding of a body the caller takes (RFC 9110, section 12.5.3)."""

from functools import lru_cache

GZIP = ("gzip", "x-gzip")
ANY = "*"
KEPT = 256
"""Callers send few different headers."""


@lru_cache(KEPT)
def takes_gzip(header: str) -> bool:
    """Whether a header Accept-Encoding allows gzip.

    Parameters
    ----------
    header : str
        As sent; without one the body is sent as it is, which everybody can read.
    """
    allowed: dict[str, bool] = {}
    for part in header.lower().split(","):
        name, *parameters = (piece.strip() for piece in part.split(";"))
        quality = next((one[2:] for one in parameters if one.startswith("q=")), "1")
        try:
            allowed[name] = float(quality) > 0
        except ValueError:
            allowed[name] = False
    named = [allowed[name] for name in GZIP if name in allowed]
    return any(named) if named else allowed.get(ANY, False)
