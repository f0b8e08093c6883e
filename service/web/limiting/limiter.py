"""The limiter: takes the price of a request out of a bucket, or answers when to ask again.

A request that shows a key or a link pays from the bucket of that; any other from that of the
address it came from. So does the first one with a token that is not known yet from there: whether
it opens anything is not known before it was looked up, and whoever tries tokens pays for it.
"""

from http import HTTPStatus

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.web.limiting.buckets import Buckets
from service.web.limiting.callers import KnownTokens, address_of, adds_up, token_shown
from service.web.limiting.meter import METER, Meter
from service.web.limiting.operations import Operations
from service.web.limiting.prices import BYTES_PER_UNIT, FAILED_LOOK_UP, PRICES, UNKNOWN, Price
from service.web.observing.request_log import seen_of
from service.web.problem_kinds import TOO_MANY_REQUESTS
from service.web.problems import problem_response

REFUSALS = (HTTPStatus.UNAUTHORIZED, HTTPStatus.NOT_FOUND)
"""How a token that does not add up is answered; nothing is looked up then."""

LONGEST_LENGTH = 12
"""Of a Content-Length, in digits."""


class Limiter:
    """Charges every request for the work that it asks for.

    Parameters
    ----------
    app : ASGI application
        What is charged for.
    operations : Operations
        Which operation an address is.
    by_credential, by_address : Buckets
        What keys, links and addresses may spend.
    """

    def __init__(
        self, app: ASGIApp, operations: Operations, by_credential: Buckets, by_address: Buckets
    ) -> None:
        self.app = app
        self.operations = operations
        self.by_credential = by_credential
        self.by_address = by_address
        self.known = KnownTokens()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        operation = self.operations.at(scope["method"], scope["path"])
        price = PRICES.get(operation.name, UNKNOWN)
        if not price.units:
            await self.app(scope, receive, send)
            return
        visit = _Visit(self, scope, price)
        seconds = await visit.admitted()
        if seconds:
            if (seen := seen_of(scope)) is not None:
                seen.route = operation.template or None
            await _later(seconds)(scope, receive, send)
            return
        noting = METER.set(visit.meter)
        try:
            await self.app(scope, visit.counting(receive), visit.settling(send))
        finally:
            METER.reset(noting)
            await visit.settle()


class _Visit:
    """One request, from the price that is taken first to what is owed at its end."""

    def __init__(self, limiter: Limiter, scope: Scope, price: Price) -> None:
        self.meter = Meter()
        self._limiter = limiter
        self._price = price
        self._address = address_of(scope)
        self._token = token_shown(scope)
        self._known = None
        if self._token is not None:
            self._known = limiter.known.credential(self._token, self._address)
        self._announced = _announced(scope)
        self._came = 0
        self._status = 0
        self._settled = 0

    async def admitted(self) -> int:
        """Take what the request costs as far as it shows; return the seconds to wait, or 0."""
        units = self._price.units + self._announced // BYTES_PER_UNIT
        if self._known is not None:
            return await self._limiter.by_credential.take(self._known, units)
        return await self._limiter.by_address.take(self._address, units)

    def counting(self, receive: Receive) -> Receive:
        """Return what hands the body on and counts its bytes."""

        async def counted() -> Message:
            message = await receive()
            self._came += len(message.get("body", b""))
            return message

        return counted

    def settling(self, send: Send) -> Send:
        """Return what sends an answer on; what is owed is charged before its first byte."""

        async def settled(message: Message) -> None:
            if message["type"] == "http.response.start":
                self._status = message["status"]
                await self._tell_tokens()
                await self.settle()
            await send(message)

        return settled

    async def settle(self) -> None:
        """Charge what is owed and was not charged yet."""
        owed = self._price.owed(self.meter)
        owed += max(0, self._came - self._announced) // BYTES_PER_UNIT
        due, self._settled = owed - self._settled, max(owed, self._settled)
        if due <= 0:
            return
        credential = self.meter.credential_id or self._known
        if credential is not None:
            await self._limiter.by_credential.charge(credential, due)
        else:
            await self._limiter.by_address.charge(self._address, due)

    async def _tell_tokens(self) -> None:
        """Remember a token that is good; charge for one that opens nothing."""
        token, known, found = self._token, self._limiter.known, self.meter.credential_id
        refused = self.meter.refused
        if token is not None:
            if found is not None:
                if found != self._known:
                    known.learn(token, self._address, found)
            elif refused:
                known.forget(token, self._address)
            else:
                refused = self._status in REFUSALS and not adds_up(token)
        if refused:
            await self._limiter.by_address.charge(self._address, FAILED_LOOK_UP)


def _announced(scope: Scope) -> int:
    """Return the bytes that a body is said to have; what is too large is refused further in."""
    for name, value in scope["headers"]:
        if name == b"content-length" and value.isdigit() and len(value) <= LONGEST_LENGTH:
            return int(value)
    return 0


def _later(seconds: int) -> ASGIApp:
    return problem_response(
        TOO_MANY_REQUESTS,
        f"Ask again in {seconds} s.",
        headers={"Retry-After": str(seconds), "Cache-Control": "no-store"},
    )
