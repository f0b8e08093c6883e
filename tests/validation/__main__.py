"""Runs the published cases and prints them; with ``--write`` makes what the service shows anew."""

import argparse
import json
import sys
from pathlib import Path

from service.trust import records, review_records
from service.trust.markdown import markdown
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


def _write(cases: tuple[records.Case, ...]) -> None:
    """Write the records that the service shows, and the page of the repository made of them."""
    rows, reviewed = records.to_json(cases), review_records.to_json(review())
    for name, made in (("cases.json", rows), ("reference_review.json", reviewed)):
        text = json.dumps(made, indent=1, ensure_ascii=False)
        (SHOWN / name).write_text(text + "\n", "utf-8")
    # Of the figures as they are kept, so that the last digits do not tell the two apart.
    kept = markdown(records.from_json(rows), review_records.from_json(reviewed))
    (SHOWN / "TRUST.md").write_text(kept, "utf-8")


sys.exit(main(sys.argv[1:]))
