"""The scenario document while it is filled, with where each of its values came from."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from service.costing.document import leaves
from service.costing.input_paths import item_names, joined
from service.costing.json_shapes import is_array, is_object
from service.quick_start.marks import GIVEN, REFERENCE, WORKED, Given, Guessed, Worked
from service.quick_start.saying import sentence_of

Document = dict[str, Any]
ASSUMPTIONS = "assumptions"


@dataclass(slots=True)
class Draft:
    """A document that parts are put into, and what is said beside it."""

    document: Document = field(default_factory=dict[str, Any])
    origins: dict[str, str] = field(default_factory=dict[str, str])
    how: dict[str, str] = field(default_factory=dict[str, str])
    guesses: dict[tuple[str, str], list[str]] = field(
        default_factory=dict[tuple[str, str], list[str]]
    )
    marks: dict[tuple[str, str], Guessed] = field(default_factory=dict[tuple[str, str], Guessed])
    notes: list[dict[str, str]] = field(default_factory=list[dict[str, str]])
    needs: list[str] = field(default_factory=list[str])

    def put(self, path: str, tree: Any) -> None:  # noqa: ANN401 - part of a document with marks
        """Put a part of the document in its place; its leaves may be marks."""
        value = self._plain(tree, path)
        if value is None:
            return
        if path.startswith(f"{ASSUMPTIONS}."):
            self.document.setdefault(ASSUMPTIONS, {})[path.partition(".")[2]] = value
            return
        *outer, last = path.split(".")
        place = self.document
        for name in outer:
            place = place.setdefault(name, {})
        place[last] = value

    def note(self, path: str, text: str) -> None:
        """Keep a remark about an input."""
        self.notes.append({"input": path, "note": text})

    def need(self, text: str) -> None:
        """Name something that the farm lacks, once."""
        if text not in self.needs:
            self.needs.append(text)

    def finished_origins(self) -> dict[str, str]:
        """Return where each value of the document came from; what no mark tells was worked."""
        return {path: self.origins.get(path, WORKED) for path in leaves(self.document)}

    def guessed(self) -> list[dict[str, Any]]:
        """Return what was filled in for the farm, each once."""
        return [_written(self.marks[key], paths) for key, paths in self.guesses.items()]

    def _plain(self, tree: Any, path: str) -> Any:  # noqa: ANN401 - part of a document
        """Return a part without its marks, and note what they say."""
        if isinstance(tree, Given):
            self.origins[path] = GIVEN
            return tree.value
        if isinstance(tree, Worked):
            self.origins[path] = WORKED
            self.how[path] = tree.how
            return tree.value
        if isinstance(tree, Guessed):
            return self._taken(tree, path)
        if is_object(tree):
            return {
                name: plain
                for name, member in tree.items()
                if (plain := self._plain(member, joined((path, name)))) is not None
            }
        if is_array(tree) and any(is_object(item) for item in tree):
            names = item_names(path.rpartition(".")[2], tree)
            return [
                self._plain(item, joined((path, name)))
                for name, item in zip(names, tree, strict=True)
            ]
        return tree

    def _taken(self, mark: Guessed, path: str) -> Any:  # noqa: ANN401 - a leaf
        self.origins[path] = REFERENCE
        shared = path.startswith(("systems.", "machines."))
        group = "" if shared else path
        key = (mark.figure.name, group)
        self.guesses.setdefault(key, []).append(path)
        self.marks.setdefault(key, mark)
        return mark.value


def _written(mark: Guessed, paths: list[str]) -> dict[str, Any]:
    """Return a guess as people and programs read it; ``also`` are other places that it fills."""
    figure = mark.figure
    return {
        "input": paths[0],
        "also": paths[1:],
        "meaning": figure.meaning,
        "value": mark.value,
        "unit": mark.unit,
        "low": mark.low,
        "high": mark.high,
        "source": figure.in_words,
        "unverified": figure.unverified,
        "question": mark.question,
        "sentence": sentence_of(mark),
        "find_out": figure.find_out,
    }


def with_systems(document: Mapping[str, Any], systems: Mapping[str, Any], first: str) -> Document:
    """Return the document with other systems."""
    return {**document, "systems": dict(systems), "baseline": first}
