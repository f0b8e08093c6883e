"""Annexes made without a service, and read back by line."""

import re
from functools import cache
from html.parser import HTMLParser
from typing import Any

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.web.annexes.annex import document_of
from service.web.annexes.readers import annex_of, default_system
from service.web.annexes.subject import AnnexSubject
from service.web.reading import scenario_of


def subject_of(document: dict[str, Any], system: str | None = None) -> AnnexSubject:
    """Cost a document and return what an annex of one of its systems is about."""
    costing = cost(scenario_of(document))
    body = costing_document(costing, given=document)
    key = system or default_system(body)
    return AnnexSubject(body, costing, document, key, scenario_of, "sc_01", 3)


def annex(reader: str, document: dict[str, Any], system: str | None = None) -> dict[str, Any]:
    """Return an annex as JSON has it."""
    return document_of(annex_of(reader, subject_of(document, system)))


@cache
def demo_annex(reader: str, system: str | None = None) -> dict[str, Any]:
    """Return an annex of the demo farm."""
    return annex(reader, demo_document(), system)


def costed(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Return the systems of a document by key, as a costing answers them."""
    body = costing_document(cost(scenario_of(document)), given=document)
    return {system["system"]: system for system in body["systems"]}


def items(found: dict[str, Any], block: str) -> list[dict[str, Any]]:
    """Return the lines of a block."""
    return next(one for one in found["blocks"] if one["block"] == block)["items"]


def item(found: dict[str, Any], block: str, line: str, about: str = "") -> dict[str, Any]:
    """Return the one line of a name, about one thing."""
    (one,) = [
        one for one in items(found, block) if one["line"] == line and about in {"", one["about"]}
    ]
    return one


def value(found: dict[str, Any], block: str, line: str, about: str = "") -> Any:
    """Return the value of a line."""
    return item(found, block, line, about)["value"]


class Seen(HTMLParser):
    """An annex page as it is read: tags, attributes, headings, rows of tables, and all text."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.headings: list[str] = []
        self.rows: list[list[str]] = []
        self._open: list[str] = []
        self._said: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Open an element."""
        self.tags.append(tag)
        self.attributes += attrs
        if tag not in {"meta", "link"}:
            self._open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in {"td", "th"}:
            self.rows[-1].append("")
        if tag == "h2":
            self.headings.append("")

    def handle_endtag(self, tag: str) -> None:
        """Close the innermost element, which must be this one."""
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Read text, but for the style."""
        if "style" in self._open:
            return
        self._said.append(data)
        if "h2" in self._open:
            self.headings[-1] += data
        if {"td", "th"} & set(self._open):
            self.rows[-1][-1] += data

    @property
    def text(self) -> str:
        """All text that is shown, blanks as one."""
        return re.sub(r"\s+", " ", "".join(self._said))
