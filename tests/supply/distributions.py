"""Which libraries the project asks for, which come along, and in which versions."""

import platform
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

ROOT = Path(__file__).parents[2]
CONSTRAINTS = ROOT / "docker" / "constraints.txt"
PINNED = re.compile(r"(?P<name>[a-z0-9-]+)==(?P<version>\S+)")

OWN = "winterground"
BROUGHT_BY_PYTHON = {"pip", "setuptools"}
"""They come with an environment: to hold an old installer fast would be no service."""

FOR_THE_WORK = ("test", "dev")
"""Extras that never go to an office; whatever else is asked for does."""

HEADER = """\
# Every library that the service, its extras, its tests, its checks and its build use, in the exact
# versions with which the tests passed. Made {made_on} with Python {python} on {system}.
# To install them:     pip install -c docker/constraints.txt '.[postgres]'
# To make them anew:   DEVELOPERS.md, "Supply chain"; not by hand
"""


@dataclass(frozen=True)
class Used:
    """A library in use.

    Parameters
    ----------
    distribution : Distribution
        As it is installed here.
    shipped : bool
        Whether the service or one of its extras needs it, and not only the work on it.
    """

    distribution: Distribution
    shipped: bool

    @property
    def version(self) -> str:
        """The installed version."""
        return self.distribution.version


def asked_for() -> dict[str, list[Requirement]]:
    """Return what ``pyproject.toml`` asks for.

    Returns
    -------
    dict of str to list of Requirement
        By extra; "" holds what is always needed, "build" what makes the wheel.
    """
    told = tomllib.loads((ROOT / "pyproject.toml").read_text())
    project = told["project"]
    by_extra = {
        "": project["dependencies"],
        **project["optional-dependencies"],
        "build": told["build-system"]["requires"],
    }
    return {extra: [Requirement(text) for text in texts] for extra, texts in by_extra.items()}


def needed_by(requirements: Iterable[Requirement]) -> dict[str, Distribution]:
    """Return the libraries asked for and all that come along, as installed here.

    Parameters
    ----------
    requirements : iterable of Requirement
        What is asked for.

    Returns
    -------
    dict of str to Distribution
        By normalized name, without what comes with Python.

    Raises
    ------
    LookupError
        If one of them is not installed here.
    """
    found: dict[str, Distribution] = {}
    open_ = list(requirements)
    seen: set[tuple[str, frozenset[str]]] = set()
    while open_:
        requirement = open_.pop()
        name = canonicalize_name(requirement.name)
        extras = frozenset(requirement.extras)
        if name in BROUGHT_BY_PYTHON | {OWN} or (name, extras) in seen:
            continue
        seen.add((name, extras))
        try:
            found[name] = distribution(name)
        except PackageNotFoundError as error:
            text = f"{name} is not installed: install every extra and the build's tools first"
            raise LookupError(text) from error
        open_ += [
            needed
            for needed in map(Requirement, found[name].requires or ())
            if needed.marker is None
            or any(needed.marker.evaluate({"extra": extra}) for extra in ("", *extras))
        ]
    return found


def in_use() -> dict[str, Used]:
    """Return every library in use, by normalized name, sorted."""
    shipped: dict[str, Distribution] = {}
    for_work: dict[str, Distribution] = {}
    for extra, requirements in asked_for().items():
        into = for_work if extra in {*FOR_THE_WORK, "build"} else shipped
        into.update(needed_by(requirements))
    return {
        name: Used(found, shipped=name in shipped)
        for name, found in sorted({**for_work, **shipped}.items())
    }


def constraints_text(used: dict[str, Used], made_on: date) -> str:
    """Return the constraints file.

    Parameters
    ----------
    used : dict of str to Used
        The libraries.
    made_on : date
        The day of it.

    Returns
    -------
    str
        A header and one line a library.
    """
    header = HEADER.format(
        made_on=made_on,
        python=".".join(platform.python_version_tuple()[:2]),
        system=platform.system(),
    )
    return header + "".join(f"{name}=={found.version}\n" for name, found in used.items())


def pins() -> dict[str, Version]:
    """Return what the constraints file holds fast, in its order.

    Raises
    ------
    ValueError
        If a line is anything but a name with one exact version, or a name stands twice.
    """
    found: dict[str, Version] = {}
    for line in CONSTRAINTS.read_text().splitlines():
        if line.startswith("#"):
            continue
        read = PINNED.fullmatch(line)
        if read is None or read["name"] in found:
            raise ValueError(line)
        found[read["name"]] = Version(read["version"])
    return found
