"""What an operator sets about who may come in from where, and how much of it."""

from collections.abc import Iterable
from dataclasses import dataclass

from starlette.middleware import Middleware
from starlette.routing import BaseRoute

from service.settings import Settings
from service.web.arriving import Arrival
from service.web.cross_origin import CrossOrigin
from service.web.limiting.amounts import Amounts


@dataclass(frozen=True, slots=True)
class Doorway:
    """Limits, pages of other origins, and whose word is taken for where a request came from."""

    amounts: Amounts | None = None
    """None sets no limits."""
    origins: tuple[str, ...] = ()
    proxies: tuple[str, ...] = ()
    seconds_to_arrive: float | None = None
    """How long a body may take [s]; None waits without end."""

    @classmethod
    def of(cls, settings: Settings) -> "Doorway":
        """Return what the settings say."""
        storage = settings.limits_storage
        amounts = Amounts(
            settings.units_per_minute,
            settings.units_per_minute_by_address,
            None if storage is None else storage.get_secret_value(),
        )
        proxies = tuple(str(network) for network in settings.trusted_proxies)
        return cls(
            amounts if settings.limits else None,
            settings.cors_origins,
            proxies,
            settings.seconds_to_arrive,
        )

    def outer(self) -> list[Middleware]:
        """Return what stands around everything that answers."""
        found: list[Middleware] = []
        if self.proxies:
            from uvicorn.middleware.proxy_headers import (  # noqa: PLC0415 - seldom needed
                ProxyHeadersMiddleware,
            )

            found.append(Middleware(ProxyHeadersMiddleware, trusted_hosts=list(self.proxies)))
        if self.origins:
            found.append(Middleware(CrossOrigin, origins=self.origins))
        return found

    def innermost(self) -> list[Middleware]:
        """Return what stands between the limits and the body of a request."""
        if self.seconds_to_arrive is None:
            return []
        return [Middleware(Arrival, self.seconds_to_arrive)]

    def inner(self, routes: Iterable[BaseRoute]) -> list[Middleware]:
        """Return what stands before the routes.

        Raises
        ------
        LimitsStorageError
            If the storage that limits are to be counted in cannot be used.
        """
        if self.amounts is None:
            return []
        from service.web.limiting.limiter import Limiter  # noqa: PLC0415 - takes time to import
        from service.web.limiting.operations import Operations  # noqa: PLC0415 - goes with it
        from service.web.limiting.storages import buckets_of  # noqa: PLC0415 - goes with it

        return [Middleware(Limiter, Operations(routes), *buckets_of(self.amounts))]
