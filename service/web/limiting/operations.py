"""Which operation a request asks for, told by its address before anything is worked on."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from starlette.routing import BaseRoute, Route

REST = ":path}"


@dataclass(frozen=True, slots=True)
class Operation:
    """What is asked for."""

    name: str
    template: str
    """Its address, with names for what differs."""


NOWHERE = Operation("", "")


@dataclass(slots=True)
class Place:
    """A place in the tree of addresses, reached by the segments before it."""

    named: dict[str, "Place"] = field(default_factory=dict)
    any: "Place | None" = None
    """By a segment that may be anything."""
    rest: dict[str, Operation] = field(default_factory=dict)
    """Operations, by method, of an address that goes on at will."""
    here: dict[str, Operation] = field(default_factory=dict)
    """Operations, by method, of the address that ends here."""


class Operations:
    """Operations by address and method."""

    def __init__(self, routes: Iterable[BaseRoute]) -> None:
        self._root = Place()
        for route in routes:
            if isinstance(route, Route):
                self._add(route)

    def at(self, method: str, path: str) -> Operation:
        """Return an operation; `NOWHERE` where there is none."""
        return _at(self._root, path.split("/"), 0, method) or NOWHERE

    def _add(self, route: Route) -> None:
        place = self._root
        operation = Operation(route.name, route.path)
        operations = dict.fromkeys(route.methods or (), operation)
        for segment in route.path.split("/"):
            if segment.endswith(REST):
                place.rest |= operations
                return
            if "{" in segment:  # with or without a suffix that names the form
                place.any = place.any or Place()
                place = place.any
            else:
                place = place.named.setdefault(segment, Place())
        place.here = operations | place.here  # whichever came first answers


def _at(place: Place, segments: list[str], depth: int, method: str) -> Operation | None:
    if depth == len(segments):
        return place.here.get(method)
    named = place.named.get(segments[depth])
    found = _at(named, segments, depth + 1, method) if named is not None else None
    if found is None and place.any is not None and segments[depth]:
        found = _at(place.any, segments, depth + 1, method)
    return found or place.rest.get(method)
