"""Reads a page as a browser would, for tests of what it says."""

import re
from html.parser import HTMLParser

VOID = {"meta", "link", "br"}


class Page(HTMLParser):
    """Reads a page as a browser would: text, rows of the table, tags, attributes."""

    def __init__(self, text):
        super().__init__()
        self.open, self.tags, self.attributes = [], [], []
        self.texts, self.rows = {}, []
        self.shown = []
        self.isolated = []
        self.feed(text)
        assert not self.open, "every element is closed"

    def handle_starttag(self, tag, attrs):
        """Open an element."""
        self.tags.append(tag)
        self.attributes += attrs
        if tag not in VOID:
            self.open.append((tag, dict(attrs)))
        if tag == "tr":
            self.rows.append([])
        if tag in {"td", "th"}:
            self.rows[-1].append("")

    def handle_endtag(self, tag):
        """Close the innermost element, which must be this one."""
        assert self.open.pop()[0] == tag

    def handle_data(self, data):
        """Read text; blanks around the whole page are none."""
        if not self.open:
            assert not data.strip()
            return
        tag, _ = self.open[-1]
        self.texts.setdefault(tag, []).append(data)
        if tag != "style":
            self.shown.append(data)
        inside = {name for name, _ in self.open}
        if inside & {"td", "th"}:
            self.rows[-1][-1] += data
        if any(name == "bdi" or "dir" in attributes for name, attributes in self.open):
            self.isolated.append(data)

    @property
    def text(self):
        """All text that is shown, blanks as one."""
        return re.sub(r"\s+", " ", "".join(self.shown))

    @property
    def table(self):
        """Figures by system and label; what stands below a figure under a label of its own."""
        labels = [cell.strip() for cell in self.rows[0]]
        found = {}
        for row in self.rows[1:]:
            name, *cells = (re.sub(r"\s+", " ", cell).strip() for cell in row)
            found[name.removesuffix("compared with").strip()] = dict(
                zip(labels[1:], cells, strict=True)
            )
        return found
