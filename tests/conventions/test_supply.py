"""Libraries: ranges, exact versions, licences, and what is known against them.

The exact set is looked at as a whole only where it is installed: in ``.ci/run``, which sets
WINTERGROUND_REQUIRE_PINNED. Elsewhere newer versions may be, and those tests are skipped.
"""

import os
import re
import tomllib
from datetime import date
from importlib.metadata import Distribution, PackageNotFoundError, distribution, distributions
from pathlib import Path

import pytest
from packaging.utils import canonicalize_name
from packaging.version import Version

from tests.supply.audit import KNOWN_TO_BE_BAD, audit
from tests.supply.distributions import (
    BROUGHT_BY_PYTHON,
    CONSTRAINTS,
    OWN,
    ROOT,
    asked_for,
    in_use,
    pins,
)
from tests.supply.licences import (
    ACCEPTED,
    DEVELOPERS,
    EXCEPTIONS,
    is_accepted,
    licences,
    listed,
    spoken,
    table,
    with_table,
)

PINS = pins()
ASKED = [
    pytest.param(requirement, id=f"{extra or 'always'}-{requirement.name}")
    for extra, requirements in asked_for().items()
    for requirement in requirements
    if canonicalize_name(requirement.name) != OWN
]
INSTALLED = {
    canonicalize_name(found.name): found
    for found in distributions()
    if canonicalize_name(found.name) not in BROUGHT_BY_PYTHON | {OWN}
}
BELOW = {"<", "<="}
FROM = {">=", ">", "=="}


@pytest.fixture
def exact_set():
    """Skip where another set is installed; fail where the exact one was asked for."""
    other = sorted(name for name, version in PINS.items() if version_here(name) != version)
    if not other:
        return
    told = f"not as in {CONSTRAINTS.name}: {', '.join(other)}"
    if os.environ.get("WINTERGROUND_REQUIRE_PINNED"):
        pytest.fail(told)
    pytest.skip(told)


def version_here(name):
    """Return the version that is installed here, or None."""
    try:
        return Version(distribution(name).version)
    except PackageNotFoundError:
        return None


@pytest.mark.parametrize("requirement", ASKED)
def test_what_is_asked_for_is_pinned_inside_its_range(requirement):
    name = canonicalize_name(requirement.name)
    assert name in PINS
    assert requirement.specifier.contains(PINS[name])


@pytest.mark.parametrize("requirement", ASKED)
def test_a_range_ends_no_later_than_the_next_major_version(requirement):
    # Semantic Versioning 2.0.0, item 8: what breaks its users is a new major version.
    pinned = PINS[canonicalize_name(requirement.name)]
    assert {one.operator for one in requirement.specifier} & FROM
    [end] = [one for one in requirement.specifier if one.operator in BELOW]
    assert end.operator == "<"
    assert pinned < Version(end.version) <= Version(str(pinned.major + 1))


def test_the_pinned_libraries_are_sorted_and_the_day_is_told():
    assert list(PINS) == sorted(PINS)
    [told] = re.findall(r"Made (\d{4}-\d\d-\d\d) with Python 3\.\d+", CONSTRAINTS.read_text())
    assert date.fromisoformat(told) >= date(2026, 11, 25)


def test_a_line_that_is_no_exact_version_is_refused(tmp_path, monkeypatch):
    for line in ("numpy>=2", "numpy", "numpy @ file:///n.whl", "-e .", "numpy==1\nnumpy==2", ""):
        file = tmp_path / "constraints.txt"
        file.write_text(f"# head\n{line}\n")
        monkeypatch.setattr("tests.supply.distributions.CONSTRAINTS", file)
        with pytest.raises(ValueError, match="^" + re.escape(line.split("\n")[-1])):
            pins()


@pytest.mark.usefixtures("exact_set")
def test_what_is_in_use_is_pinned_and_nothing_else():
    assert {name: Version(used.version) for name, used in in_use().items()} == PINS


@pytest.mark.parametrize("name", sorted(INSTALLED))
def test_the_licence_of_what_is_installed_is_accepted(name):
    found = INSTALLED[name]
    assert is_accepted(name, found), f"{name} {found.version}: {spoken(found)}"


def test_exceptions_are_needed_and_reasoned():
    for licence, reason in EXCEPTIONS.values():
        assert not set(licence.split(", ")) <= ACCEPTED
        assert len(reason.split()) > 5


def test_the_listed_licences_are_those_of_the_metadata():
    told = listed(DEVELOPERS.read_text())
    assert sorted(told) == sorted(PINS)
    here = {name for name in PINS if version_here(name) == PINS[name]}
    assert here
    assert {name: told[name] for name in here} == {
        name: spoken(distribution(name)) for name in here
    }


@pytest.mark.usefixtures("exact_set")
def test_the_table_of_licences_is_whole():
    text = DEVELOPERS.read_text()
    assert with_table(text, table(in_use())) == text


class Told(Distribution):
    """A library of which nothing but its metadata is there."""

    def __init__(self, *lines):
        self._text = "\n".join(("Metadata-Version: 2.4", "Name: some", "Version: 1", *lines))

    def read_text(self, filename):
        """Return the metadata."""
        return self._text if filename == "METADATA" else None

    def locate_file(self, path):
        """Return where a file would lie."""
        return Path(path)


@pytest.mark.parametrize(
    ("lines", "named"),
    [
        # Core metadata specification 2.4, its examples of License-Expression and of Classifier
        (["License-Expression: MIT"], {"MIT"}),
        (
            ["License-Expression: LicenseRef-Special-License OR CC0-1.0 OR Unlicense"],
            {"LicenseRef-Special-License", "CC0-1.0", "Unlicense"},
        ),
        (
            ["License-Expression: GPL-3.0-only WITH Classpath-Exception-2.0 OR BSD-3-Clause"],
            {"GPL-3.0-only WITH Classpath-Exception-2.0", "BSD-3-Clause"},
        ),
        (["License-Expression: A AND (B OR C)", "License: MIT"], {"A", "B", "C"}),
        (["Classifier: License :: OSI Approved :: MIT License"], {"MIT"}),
        (
            ["License: BSD 3-Clause", "Classifier: License :: OSI Approved :: BSD License"],
            {"BSD-3-Clause"},
        ),
        (["License: Nobody knows"], {"Nobody knows"}),
        (
            [
                "License: MIT License",
                "Classifier: License :: OSI Approved :: GNU Affero General Public License v3",
            ],
            {"MIT", "GNU Affero General Public License v3"},
        ),
        (["License: " + "whole text " * 20, "Classifier: Topic :: Utilities"], set()),
        ([], set()),
    ],
)
def test_licences_are_read_from_metadata(lines, named):
    assert licences(Told(*lines)) == named


@pytest.mark.parametrize(
    ("name", "line", "accepted"),
    [
        ("some", "License-Expression: MIT AND Zlib", True),
        ("some", "License-Expression: MIT AND GPL-3.0-only", False),
        ("some", "License: own terms", False),
        ("some", "Summary: no licence", False),
        ("psycopg", "License-Expression: LGPL-3.0-only", True),
        ("psycopg", "License-Expression: AGPL-3.0-only", False),
        ("some", "License-Expression: LGPL-3.0-only", False),
    ],
)
def test_a_licence_that_nobody_looked_at_is_not_accepted(name, line, accepted):
    assert is_accepted(name, Told(line)) is accepted


BAD_VERSION = {
    "name": "jinja2",
    "version": "3.1.2",
    "vulns": [{"id": "CVE-2024-56326", "fix_versions": ["3.1.5"]}],
}
NOT_ASKED = {"name": "jinja2", "skip_reason": "Dependency not found and could not be audited"}
SOUND = {"name": "rich", "version": "15.0.0", "vulns": []}
"""As pip-audit 2.10 writes its JSON; CVE-2024-56326 is mended in Jinja 3.1.5."""


def told_of(proof, report):
    """Return an auditor that answers so of the version known to be bad, and so of all else."""
    return lambda path: proof if path.read_text().strip() == KNOWN_TO_BE_BAD else report


def reported(*libraries):
    return {"dependencies": list(libraries), "fixes": []}


@pytest.mark.parametrize(
    ("proof", "report", "sound", "said"),
    [
        (reported(BAD_VERSION), reported(SOUND), True, "1 libraries audited"),
        (reported(BAD_VERSION), reported(SOUND, BAD_VERSION), False, "jinja2 3.1.2: CVE-2024"),
        (reported(BAD_VERSION), reported(SOUND, NOT_ASKED), True, "does not know jinja2"),
        (reported(BAD_VERSION), None, False, "stopped answering"),
        (reported(NOT_ASKED), reported(SOUND), True, "^not audited"),
        (reported(SOUND), reported(SOUND), True, "^not audited"),
        (None, reported(SOUND), True, "^not audited"),
    ],
)
def test_an_audit_tells_what_it_found_and_whether_it_could_ask(
    tmp_path, proof, report, sound, said
):
    file = tmp_path / "some.txt"
    file.write_text("rich==15.0.0\n")
    passed, text = audit([file], told_of(proof, report))
    assert passed is sound
    assert re.search(said, text)


def test_an_accepted_vulnerability_is_told_with_its_reason(tmp_path, monkeypatch):
    file = tmp_path / "some.txt"
    file.write_text("rich==15.0.0\n")
    monkeypatch.setattr("tests.supply.audit.ACCEPTED", {"CVE-2024-56326": "no sandbox is used"})
    passed, text = audit([file], told_of(reported(BAD_VERSION), reported(BAD_VERSION)))
    assert passed
    assert "no sandbox is used" in text


WAIVER = re.compile(
    r"# (?P<whole_file>ruff: )?noqa(?:: (?P<codes>[A-Z0-9, ]+?))?(?: - (?P<why>.+))?$"
)
ON_SECURITY = re.compile(r"S\d*")
"""The rules of bandit as ruff has them; S alone would waive all of them."""


def test_rules_on_security_are_waived_one_by_one_and_with_a_reason():
    waivers = [
        (f"{path}: {line}", waiver)
        for path in sorted((ROOT / "service").rglob("*.py"))
        for line in path.read_text().splitlines()
        if (waiver := WAIVER.search(line))
    ]
    assert waivers
    for where, waiver in waivers:
        assert waiver["codes"], where
        on_security = {code for code in waiver["codes"].split(", ") if ON_SECURITY.fullmatch(code)}
        assert all(len(code) == len("S101") for code in on_security), where
        assert not on_security or (waiver["why"] and not waiver["whole_file"]), where


def test_no_rule_on_security_is_off_in_the_service():
    lint = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["ruff"]["lint"]
    assert lint["select"] == ["ALL"]
    off = {
        code
        for files, codes in lint["per-file-ignores"].items()
        if not files.startswith("tests/")
        for code in codes
    } | set(lint["ignore"])
    assert {code for code in off if ON_SECURITY.fullmatch(code)} == set()


def test_the_continuous_checks_use_the_exact_set_and_the_newest():
    lines = (ROOT / ".ci" / "run").read_text().replace("\\\n", "").splitlines()
    installs = [line for line in lines if "install -q" in line and "-e '.[" in line]
    assert any("-c docker/constraints.txt" in line for line in installs)
    assert any("-c " not in line for line in installs)
    exact = next(line for line in installs if "-c docker/constraints.txt" in line)
    [extras] = re.findall(r"\.\[([a-z,]+)\]", exact)
    assert set(extras.split(",")) == set(asked_for()) - {"", "build"}
