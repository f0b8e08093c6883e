"""Ask a database of known vulnerabilities about exact versions of libraries.

``python -m tests.supply.audit FILE ...``: files of lines ``name==version``. It ends with 1 if
something is known against one of them, and says so if the database cannot be asked.
"""

import json
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

Report = dict[str, Any]

KNOWN_TO_BE_BAD = "jinja2==3.1.2"
"""Whoever knows nothing against this cannot be asked.

Templates get out of Jinja's sandbox before 3.1.5 (CVE-2024-56326, published 2024-12-23). The
auditor says "no known vulnerabilities" of libraries that it could not ask about, too.
"""

WRONGLY_CALLED = 2

ACCEPTED: dict[str, str] = {}
"""Ids of vulnerabilities that do not reach this service, each with the reason."""


def findings(report: Report) -> Iterator[tuple[str, str]]:
    """Yield what is known against the libraries of a report.

    Parameters
    ----------
    report : dict
        The auditor's report.

    Yields
    ------
    tuple of str and str
        The id of a vulnerability, and a sentence with library, version and mended versions.
    """
    for library in report["dependencies"]:
        for known in library.get("vulns", ()):
            mended = ", ".join(known["fix_versions"]) or "no version yet"
            where = f"{library['name']} {library['version']}"
            yield known["id"], f"{where}: {known['id']}, mended in {mended}"


def skipped(report: Report) -> list[str]:
    """Return the names of the libraries that the auditor could not ask about.

    Parameters
    ----------
    report : dict
        The auditor's report.

    Returns
    -------
    list of str
        Names.
    """
    return [one["name"] for one in report["dependencies"] if "skip_reason" in one]


def asked(path: Path) -> Report | None:
    """Let the auditor ask about the libraries of a file.

    Parameters
    ----------
    path : Path
        A file of exact versions.

    Returns
    -------
    dict or None
        Its report; None if it could not finish.
    """
    with tempfile.TemporaryDirectory() as folder:
        written = Path(folder) / "report.json"
        command = [sys.executable, "-m", "pip_audit", "--requirement", str(path), "--no-deps"]
        command += ["--disable-pip", "--progress-spinner", "off", "--timeout", "15"]
        command += ["--format", "json", "--output", str(written)]
        ended = subprocess.run(  # noqa: S603 - this interpreter
            command, capture_output=True, text=True, check=False
        )
        if ended.returncode == WRONGLY_CALLED:
            raise RuntimeError(ended.stderr)
        return json.loads(written.read_text()) if written.exists() else None


def audit(paths: list[Path], ask: Callable[[Path], Report | None] = asked) -> tuple[bool, str]:
    """Ask about the libraries of some files.

    Parameters
    ----------
    paths : list of Path
        Files of exact versions.
    ask : callable, optional
        What asks the database.

    Returns
    -------
    tuple of bool and str
        Whether nothing speaks against them, as far as could be asked, and the sentences.
    """
    with tempfile.TemporaryDirectory() as folder:
        bad = Path(folder) / "bad.txt"
        bad.write_text(f"{KNOWN_TO_BE_BAD}\n")
        proof = ask(bad)
    if proof is None or not list(findings(proof)):
        return True, "not audited: no database of vulnerabilities could be reached from here"
    sound, said = True, []
    for path in paths:
        report = ask(path)
        if report is None:
            return False, f"{path}: the database stopped answering"
        speak = dict(findings(report))
        said += [
            f"{text}; accepted: {ACCEPTED[id_]}" for id_, text in speak.items() if id_ in ACCEPTED
        ]
        against = [text for id_, text in speak.items() if id_ not in ACCEPTED]
        not_asked = skipped(report)
        said += against
        if not_asked:
            said.append(f"{path}: the database does not know {', '.join(not_asked)}")
        said.append(f"{path}: {len(report['dependencies']) - len(not_asked)} libraries audited")
        sound = sound and not against
    return sound, "\n".join(said)


if __name__ == "__main__":
    sound_, said_ = audit([Path(name) for name in sys.argv[1:]])
    print(said_)  # noqa: T201 - a command
    sys.exit(not sound_)
