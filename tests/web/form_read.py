"""Reads a page with a form as a browser would, and fills it in again."""

from html.parser import HTMLParser
from typing import Any
from urllib.parse import urlencode

VOID = {"meta", "link", "br", "input"}
FILLED = {"input", "select"}
FORM = {"Content-Type": "application/x-www-form-urlencoded"}


class FormPage(HTMLParser):
    """Fields by name, labels by what they are for, ids, tags, and all text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[tuple[str, dict[str, Any]]] = []
        self.elements: list[tuple[str, dict[str, Any]]] = []
        self.labels: dict[str, str] = {}
        self.by_id: dict[str, str] = {}
        self.texts: dict[str, list[str]] = {}
        self.shown: list[str] = []
        self.unlabelled: list[str] = []
        self.selected: dict[str, str] = {}
        self.feed(text)
        assert not self.open, "every element is closed"

    def handle_starttag(self, tag, attrs):
        """Open an element."""
        found = dict(attrs)
        self.elements.append((tag, found))
        if tag not in VOID:
            self.open.append((tag, found))
        inside_label = any(name == "label" for name, _ in self.open)
        is_hidden = found.get("type") == "hidden"
        if tag in FILLED and not inside_label and not is_hidden:
            self.unlabelled.append(found.get("id", ""))
        if tag == "option" and "selected" in found:
            select = next(inner for name, inner in reversed(self.open) if name == "select")
            self.selected[select["name"]] = found["value"]

    def handle_endtag(self, tag):
        """Close the innermost element, which must be this one."""
        assert self.open.pop()[0] == tag

    def handle_data(self, data):
        """Read text."""
        if not self.open:
            return
        self.texts.setdefault(self.open[-1][0], []).append(data)
        if self.open[-1][0] != "style":
            self.shown.append(data)
        for tag, found in self.open:
            if tag == "label" and "for" in found:
                self.labels[found["for"]] = self.labels.get(found["for"], "") + data
            if "id" in found:
                self.by_id[found["id"]] = self.by_id.get(found["id"], "") + data

    @property
    def text(self) -> str:
        """All text that is shown, blanks as one."""
        return " ".join("".join(self.shown).split())

    @property
    def tags(self) -> list[str]:
        """Names of all elements."""
        return [tag for tag, _ in self.elements]

    def all_of(self, tag: str, **wanted: str) -> list[dict[str, Any]]:
        """Return the attributes of the elements of a name that have these attributes."""
        return [
            found
            for name, found in self.elements
            if name == tag and all(found.get(key) == value for key, value in wanted.items())
        ]

    def pairs(self) -> list[tuple[str, str]]:
        """Return what a browser would send of the fields as they stand."""
        found = []
        for field in self.all_of("input"):
            is_picked = field.get("type") in {"radio", "checkbox"}
            if "name" in field and (not is_picked or "checked" in field):
                found.append((field["name"], field.get("value") or ""))
        chosen = [
            (field["name"], self.selected.get(field["name"], "")) for field in self.all_of("select")
        ]
        return found + chosen


def typed(answers: dict[str, Any]) -> list[tuple[str, str]]:
    """Return answers as a person types them into the form."""
    found: list[tuple[str, str]] = []
    for question, parts in answers.items():
        for part, value in parts.items():
            name = f"{question}.{part}"
            if part == "fields":
                for number, one in enumerate(value, start=1):
                    found += [(f"{name}.{number}.{key}", str(text)) for key, text in one.items()]
            elif isinstance(value, list):
                found += [(name, text) for text in value]
            else:
                found.append((name, str(value)))
    return found


def sent(call: Any, pairs: list[tuple[str, str]]) -> Any:
    """Send a form."""
    return call("POST", "/start", content=urlencode(pairs), headers=FORM)
