"""Reads a page as a browser would, for tests of what it says."""

import re
from html.parser import HTMLParser

VOID = {"meta", "link", "br", "input"}
UNSEEN = {"style", "script", "desc"}


class Page(HTMLParser):
    """Reads a page as a browser would: text, rows of its tables, tags, attributes."""

    def __init__(self, text):
        super().__init__()
        self.open, self.tags, self.attributes, self.elements = [], [], [], []
        self.texts, self.rows = {}, []
        self.shown = []
        self.isolated = []
        self.feed(text)
        assert not self.open, "every element is closed"

    def handle_starttag(self, tag, attrs):
        """Open an element."""
        self.tags.append(tag)
        self.attributes += attrs
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append((tag, dict(attrs)))
        if tag == "table":
            self.rows.append([])
        if tag == "tr":
            self.rows[-1].append([])
        if tag in {"td", "th"}:
            self.rows[-1][-1].append("")

    def handle_endtag(self, tag):
        """Close the innermost element, which must be this one."""
        if tag not in VOID:
            assert self.open.pop()[0] == tag

    def handle_data(self, data):
        """Read text; blanks around the whole page are none."""
        if not self.open:
            assert not data.strip()
            return
        inside = {name for name, _ in self.open}
        tag = self.open[-1][0]
        if "svg" not in inside:
            self.texts.setdefault(tag, []).append(data)
        if not inside & UNSEEN:
            self.shown.append(data)
        if inside & {"td", "th"}:
            self.rows[-1][-1][-1] += data
        if any(name == "bdi" or "dir" in attributes for name, attributes in self.open):
            self.isolated.append(data)

    @property
    def text(self):
        """All text that is shown, blanks as one."""
        return _one_line("".join(self.shown))

    @property
    def heads(self):
        """The systems of the table, in the order of its columns."""
        return [
            _one_line(cell).removesuffix(" today").removesuffix("*") for cell in self.rows[0][0][1:]
        ]

    @property
    def table(self):
        """Figures by system and label; what stands below a figure follows it after a blank."""
        found = {name: {} for name in self.heads}
        for label, *cells in self.rows[0][1:]:
            for name, cell in zip(self.heads, cells, strict=True):
                found[name][_one_line(label)] = _one_line(cell)
        return found

    def headings(self):
        """Return the levels of the headings, in their order."""
        return [int(tag[1]) for tag in self.tags if re.fullmatch("h[1-6]", tag)]

    def ids(self):
        """Return all ids."""
        return [value for name, value in self.attributes if name == "id"]


def _one_line(text):
    return re.sub(r"\s+", " ", text).strip()
