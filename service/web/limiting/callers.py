"""Who asks, as far as it shows before a token is looked up."""

import secrets
from collections import OrderedDict
from functools import lru_cache
from hashlib import blake2b
from ipaddress import IPv4Address, IPv6Network, ip_address
from urllib.parse import parse_qs

from starlette.types import Scope

from service.scenarios.errors import MistypedTokenError
from service.scenarios.tokens import kind_of

MOST_KNOWN = 20_000
PAGE = "/s/"
BEARER = "bearer"
NETWORK_BITS = 64
NOBODY = "unknown"


def token_shown(scope: Scope) -> str | None:
    """Return the token that a request shows: in the address of a page, its header or its query."""
    path: str = scope["path"]
    if path.startswith(PAGE):
        return path.removeprefix(PAGE)
    for name, value in scope["headers"]:
        if name == b"authorization":
            scheme, _, token = value.decode("latin-1").partition(" ")
            if scheme.lower() == BEARER and (token := token.strip()):
                return token
            break
    query: bytes = scope["query_string"]
    if b"token" not in query and b"%" not in query:
        return None
    return parse_qs(query.decode("latin-1")).get("token", [None])[-1]


def adds_up(token: str) -> bool:
    """Whether a token could be one; nothing is looked up."""
    try:
        kind_of(token)
    except MistypedTokenError:
        return False
    return True


def address_of(scope: Scope) -> str:
    """Return the address that a request came from; of IPv6 the network, which is one household."""
    client = scope.get("client")
    return _network(client[0]) if client else NOBODY


@lru_cache(4096)
def _network(host: str) -> str:
    try:
        address = ip_address(host.partition("%")[0])
    except ValueError:
        return NOBODY
    if isinstance(address, IPv4Address):
        return str(address)
    if address.ipv4_mapped is not None:
        return str(address.ipv4_mapped)
    return str(IPv6Network((address, NETWORK_BITS), strict=False))


class KnownTokens:
    """Tokens that were good when they were last shown, each from the address it came from.

    From another address a token is looked up at that address's cost: nobody who is slowed down can
    learn from what passes which tokens are good. Neither token nor address is held, but a hash
    under a secret of this process.
    """

    def __init__(self, most: int = MOST_KNOWN) -> None:
        self._most = most
        self._secret = secrets.token_bytes(16)
        self._found: OrderedDict[bytes, str] = OrderedDict()

    def __len__(self) -> int:
        """Return how many are known."""
        return len(self._found)

    def credential(self, token: str, address: str) -> str | None:
        """Return the id of the key or link, if the token is known from this address."""
        key = self._key(token, address)
        found = self._found.get(key)
        if found is not None:
            self._found.move_to_end(key)
        return found

    def learn(self, token: str, address: str, credential_id: str) -> None:
        """Note that a token is good."""
        self._found[self._key(token, address)] = credential_id
        if len(self._found) > self._most:
            self._found.popitem(last=False)

    def forget(self, token: str, address: str) -> None:
        """Note that a token is not good any more."""
        self._found.pop(self._key(token, address), None)

    def _key(self, token: str, address: str) -> bytes:
        text = f"{token}\0{address}".encode("utf-8", "surrogatepass")
        return blake2b(text, digest_size=16, key=self._secret).digest()
