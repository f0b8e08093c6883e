"""Markdown: words that stay words, tables, lists, and parts that open when asked for."""

from collections.abc import Iterable, Sequence
from html import escape

MARKUP = str.maketrans({mark: f"\\{mark}" for mark in "\\`*_[]|~"})


def text(words: str) -> str:
    """Return words so that nothing in them is taken for markup."""
    return escape(" ".join(words.split()), quote=False).translate(MARKUP)


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table; cells are text already."""
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join(f"| {' | '.join(row)} |" for row in lines)


def folded(summary: str, content: str) -> str:
    """Return a part that opens when asked for."""
    return f"<details>\n<summary>{summary}</summary>\n\n{content}\n\n</details>"


def listed(items: Sequence[str]) -> str:
    """Return a list, one item a line."""
    return "\n".join(f"- {text(item)}" for item in items)
