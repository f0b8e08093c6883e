"""Under which licence each library comes, as its metadata tell, and which are accepted."""

import re
from collections.abc import Iterator
from importlib.metadata import Distribution

from tests.supply.distributions import ROOT, Used

DEVELOPERS = ROOT / "DEVELOPERS.md"
BEGIN, END = "<!-- licences -->", "<!-- /licences -->"

ACCEPTED = {
    "0BSD",
    "Apache-2.0",
    "BSD",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "MIT-CMU",
    "MPL-2.0",
    "PSF-2.0",
    "Unlicense",
    "Zlib",
}
"""They ask for a notice at most; MPL-2.0 asks for the source of its own files, if changed."""

EXCEPTIONS = {
    "pcse": (
        "EUPL-1.2",
        "not used: tests read the weather files in its package, and no code of it is run",
    ),
    "psycopg": (
        "LGPL-3.0-only",
        "extra of an office's choice, imported unchanged and exchangeable, as the licence asks",
    ),
    "psycopg-binary": (
        "LGPL-3.0-only",
        "the same library's compiled part, under the same licence",
    ),
    "pyphen": (
        "GPL-2.0-or-later, LGPL-2.0-or-later, MPL-1.1",
        "one of the three may be chosen; imported unchanged, by the extra for PDF alone",
    ),
}
"""By name: the licence that was looked at, and why the library may be used all the same."""

SPELLINGS = {
    "Apache": "Apache-2.0",
    "Apache 2.0": "Apache-2.0",
    "Apache License 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "BSD License": "BSD",
    "BSD 2-Clause License": "BSD-2-Clause",
    "BSD 3-Clause": "BSD-3-Clause",
    "GNU General Public License v2 or later (GPLv2+)": "GPL-2.0-or-later",
    "GNU Lesser General Public License v2 or later (LGPLv2+)": "LGPL-2.0-or-later",
    "ISC License": "ISC",
    "ISC License (ISCL)": "ISC",
    "MIT License": "MIT",
    "Mozilla Public License 1.1 (MPL 1.1)": "MPL-1.1",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "PSFL": "PSF-2.0",
    "Python Software Foundation License": "PSF-2.0",
    "The Unlicense (Unlicense)": "Unlicense",
}
"""How metadata spell what SPDX has an identifier for; BSD where they do not tell which."""

JOINED = re.compile(r"\s+(?:AND|OR)\s+|[()]")
LONGEST_NAME = 60
"""Some put the whole text of a licence where its name belongs: then the classifiers tell."""


def licences(found: Distribution) -> frozenset[str]:
    """Return the licences that a library's metadata name.

    Parameters
    ----------
    found : Distribution
        The library.

    Returns
    -------
    frozenset of str
        Identifiers of SPDX, or the metadata's own words where those are unknown here. All that
        are named, whether all hold or one may be chosen; empty if none is.

    Notes
    -----
    Core metadata specification 2.4 (Python Packaging Authority): License-Expression stands in the
    place of License and of the classifiers.
    """
    expression = found.metadata.get("License-Expression")
    if expression:
        return frozenset(part.strip() for part in JOINED.split(expression) if part.strip())
    named = frozenset(SPELLINGS.get(text, text) for text in _told(found))
    which = {name for name in named if name.startswith("BSD-")}
    return named - {"BSD"} if which else named


def _told(found: Distribution) -> Iterator[str]:
    text = (found.metadata.get("License") or "").strip()
    if text and len(text) <= LONGEST_NAME and "\n" not in text:
        yield text
    for classifier in found.metadata.get_all("Classifier") or ():
        kind, _, name = classifier.rpartition(" :: ")
        if kind.startswith("License"):
            yield name


def spoken(found: Distribution) -> str:
    """Return a library's licences as one text, sorted."""
    return ", ".join(sorted(licences(found))) or "none named"


def is_accepted(name: str, found: Distribution) -> bool:
    """Tell whether a library may be used.

    Parameters
    ----------
    name : str
        Its normalized name.
    found : Distribution
        The library.

    Returns
    -------
    bool
        Whether each licence named is accepted, or just this library under just this licence is.
    """
    named = licences(found)
    if name in EXCEPTIONS:
        return spoken(found) == EXCEPTIONS[name][0]
    return bool(named) and named <= ACCEPTED


def table(used: dict[str, Used]) -> str:
    """Return the table of licences in Markdown.

    Parameters
    ----------
    used : dict of str to Used
        The libraries.

    Returns
    -------
    str
        A row a licence: what goes to an office, and what is for the work alone.
    """
    groups: dict[str, tuple[list[str], list[str]]] = {}
    for name, library in used.items():
        row = groups.setdefault(spoken(library.distribution), ([], []))
        row[not library.shipped].append(name)
    rows = [
        f"| {licence} | {', '.join(shipped)} | {', '.join(for_work)} |\n"
        for licence, (shipped, for_work) in sorted(groups.items())
    ]
    head = "| licence | service and extras | tests, checks and build only |\n|---|---|---|\n"
    return head + "".join(rows)


def with_table(text: str, rows: str) -> str:
    """Return the text with its table of licences exchanged.

    Parameters
    ----------
    text : str
        A text with the two marks that hold the table.
    rows : str
        The new table.

    Returns
    -------
    str
        The text; it fails with ValueError where a mark is missing.
    """
    before, rest = text.split(f"{BEGIN}\n", 1)
    _, after = rest.split(END, 1)
    return f"{before}{BEGIN}\n{rows}{END}{after}"


def listed(text: str) -> dict[str, str]:
    """Return what a text's table of licences says.

    Parameters
    ----------
    text : str
        A text with the two marks.

    Returns
    -------
    dict of str to str
        Licence by library.
    """
    rows = text.split(f"{BEGIN}\n", 1)[1].split(END, 1)[0].splitlines()[2:]
    found: dict[str, str] = {}
    for row in rows:
        licence, *names = (cell.strip() for cell in row.strip("|").split("|"))
        found.update({name: licence for cell in names for name in cell.split(", ") if name})
    return found
