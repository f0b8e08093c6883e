"""From the library's SVG to one that can stand in any page.

Style attributes become presentation attributes, for a page may forbid styles; ids are those of the
one picture; nothing is sized in pixels; title and description come first. Words are put in here:
the library has drawn numbered marks in their place and has never seen them.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from hashlib import sha256
from xml.etree import ElementTree as ET
from xml.sax.saxutils import escape, quoteattr

SVG = "{http://www.w3.org/2000/svg}"
FONT = "sans-serif"
ID_LETTERS = 8
USE = f"{SVG}use"
OWN_TO_MARKERS = {"x", "y", "xlink:href"}
HREF = "{http://www.w3.org/1999/xlink}href"
IN_URL = re.compile(r"url\(#(\w+)\)")
LONG_NUMBER = re.compile(r"-?\d+\.\d{3,}")
NO_TURN = re.compile(r"rotate\(-?0 ")
WITHOUT_EFFECT = {
    ("fill", "#000000"),
    ("stroke-dashoffset", "0"),
    ("stroke-linejoin", "round"),
    ("stroke-linecap", "butt"),
    ("stroke-width", "1"),
    ("stroke-width", "1.0"),
    ("text-anchor", "start"),
    ("font-weight", "400"),
    ("font-family", FONT),
}
"""What holds anyway, by the format or by the picture's first element."""


def mark_of(number: int) -> str:
    """Return what stands in a drawing where a text belongs."""
    return f"@{number}@"


def finished(drawn: str, name: str, title: str, told: str, words: Sequence[str]) -> str:
    """Return the picture.

    Parameters
    ----------
    drawn : str
        What the library wrote.
    name : str
        Name of the picture.
    title, told : str
        Its title, and what it shows in sentences.
    words : sequence of str
        The text for each mark.
    """
    root = ET.fromstring(drawn)  # noqa: S314 - written by the library a moment ago
    stamp = sha256("\n".join((drawn, title, told, *words)).encode()).hexdigest()[:ID_LETTERS]
    ids = f"{name}-{stamp}"
    writer = _Writer({mark: f"{ids}-{n}" for n, mark in enumerate(_referred(root))}, words)
    for child in root:
        writer.write(child)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'viewBox="{root.attrib["viewBox"]}" role="img" '
        f'aria-labelledby="{ids}-title {ids}-desc" font-family="{FONT}" '
        f'stroke-linejoin="round">'
        f'<title id="{ids}-title">{escape(title)}</title>'
        f'<desc id="{ids}-desc">{escape(told)}</desc>' + "".join(writer.parts) + "</svg>\n"
    )


def _referred(root: ET.Element) -> list[str]:
    """Return the ids that something refers to, each once."""
    found: list[str] = []
    for element in root.iter():
        for key, value in element.attrib.items():
            if key == HREF:
                found.append(value.removeprefix("#"))
            found += IN_URL.findall(value)
    return list(dict.fromkeys(found))


class _Writer:
    """Writes elements one after another."""

    def __init__(self, ids: Mapping[str, str], words: Sequence[str]) -> None:
        self.parts: list[str] = []
        self._ids = ids
        self._words = {mark_of(number): text for number, text in enumerate(words)}

    def write(self, element: ET.Element, said: Iterable[tuple[str, str]] = ()) -> None:
        """Write an element without what is ``said`` around it."""
        tag = element.tag.removeprefix(SVG)
        if tag == "style":
            return
        attributes = dict(item for item in self._attributes(element).items() if item not in said)
        if tag == "g" and not attributes:
            self._write_all(element)
            return
        text = (element.text or "").strip()
        written = _written_out(attributes.items())
        if not text and not len(element):
            self.parts.append(f"<{tag}{written}/>")
            return
        self.parts.append(f"<{tag}{written}>{escape(self._words.get(text, text))}")
        for child in element:
            self.write(child)
        self.parts.append(f"</{tag}>")

    def _write_all(self, group: ET.Element) -> None:
        """Write what is in a group; what all its markers have in common is said once."""
        common: set[tuple[str, str]] = set()
        if len(group) > 1 and all(child.tag == USE for child in group):
            each = [set(self._attributes(child).items()) for child in group]
            shared = each[0].intersection(*each)
            common = {item for item in shared if item[0] not in OWN_TO_MARKERS}
        if common:
            self.parts.append(f"<g{_written_out(sorted(common))}>")
        for child in group:
            self.write(child, common)
        if common:
            self.parts.append("</g>")

    def _attributes(self, element: ET.Element) -> dict[str, str]:
        found: dict[str, str] = {}
        for key, value in element.attrib.items():
            if key == "style":
                found |= _presentation(value)
            elif key == "d":
                found["d"] = " ".join(value.split())
            elif key == "transform" and NO_TURN.match(value):
                continue
            elif key == HREF:
                found["xlink:href"] = "#" + self._ids[value.removeprefix("#")]
            elif key != "id":
                found[key] = value
            elif value in self._ids:
                found["id"] = self._ids[value]
        return {
            key: self._written(key, value)
            for key, value in found.items()
            if (key, value) not in WITHOUT_EFFECT
        }

    def _written(self, key: str, value: str) -> str:
        if key in {"d", "x", "y", "transform"}:
            return LONG_NUMBER.sub(lambda found: f"{float(found[0]):.2f}", value)
        return IN_URL.sub(lambda found: f"url(#{self._ids[found[1]]})", value)


def _written_out(attributes: Iterable[tuple[str, str]]) -> str:
    return "".join(f" {key}={quoteattr(value)}" for key, value in attributes)


def _presentation(style: str) -> dict[str, str]:
    """Return the declarations of a style as attributes."""
    found: dict[str, str] = {}
    for declaration in style.split(";"):
        key, _, value = declaration.partition(":")
        if value:
            found[key.strip()] = value.strip()
    if "font-family" in found:
        found["font-family"] = FONT
    return found
