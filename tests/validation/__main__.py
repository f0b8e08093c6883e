"""Runs the published cases and prints them; with ``--write`` makes what the service shows anew."""

import argparse
import json
import sys
from pathlib import Path

from service.trust.markdown import markdown
from service.trust.records import Case, to_json
from service.trust.review_records import to_json as review_to_json
from tests.validation.cases import CASES
from tests.validation.reference_review import review

SHOWN = Path("service/trust")


def main(arguments: list[str]) -> int:
    """Run cases by key, or all."""
    parser = argparse.ArgumentParser(prog="python -m tests.validation", description=__doc__)
    parser.add_argument("case", nargs="*", metavar="CASE", help=f"of {', '.join(CASES)}; all")
    parser.add_argument("--write", action="store_true", help=f"write what {SHOWN} holds of it")
    asked = parser.parse_args(arguments)
    if unknown := set(asked.case) - set(CASES):
        parser.error(f"no case {', '.join(sorted(unknown))}; there are {', '.join(CASES)}")
    if asked.write and asked.case:
        parser.error("--write makes all cases anew: name none")
    made = tuple(CASES[key]() for key in asked.case or CASES)
    for case in made:
        sys.stdout.write(f"{case.key} {case.title}\n")
        for line in case.lines:
            said = line.engine if isinstance(line.engine, str) else f"{line.engine:,.4g}"
            sys.stdout.write(
                f"  {line.outcome:12} {line.what}: printed {line.printed}, "
                f"engine {said} {line.unit}\n"
            )
            if line.why:
                sys.stdout.write(f"{'':15}{line.why}\n")
    if asked.write:
        _write(made)
    return 0


def _write(cases: tuple[Case, ...]) -> None:
    """Write the records that the service shows, and the page of the repository made of them."""
    reviewed = review()
    for name, rows in (
        ("cases.json", to_json(cases)),
        ("reference_review.json", review_to_json(reviewed)),
    ):
        text = json.dumps(rows, indent=1, ensure_ascii=False)
        (SHOWN / name).write_text(text + "\n", "utf-8")
    (SHOWN / "TRUST.md").write_text(markdown(cases, reviewed), "utf-8")


sys.exit(main(sys.argv[1:]))
