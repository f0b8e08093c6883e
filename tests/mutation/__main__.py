"""Make mutants of the formulas, run their tests against each, and count those not found out.

``python -m tests.mutation`` works on a copy, one process at a time and at a low priority. Patterns
of names pick some: ``python -m tests.mutation "*formulas.hay.*"``. With ``--folder`` the copy is
kept there: a run that was broken off goes on, and mutants named again are tested again, by the
tests as they are now. It ends non-zero below 90 %.
"""

import argparse
import contextlib
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.mutation.copying import copy_to
from tests.mutation.counting import mutants_of, share_found_out, table

LEAST = 0.90
"""Share of the mutants that must be found out."""
LOW_PRIORITY = 15


def mutmut(folder: Path, *command: str, heard: bool = False) -> str:
    """Run the tool in a folder; return what it says where that is asked for, else show it."""
    done = subprocess.run(  # noqa: S603 - the tool this is for, with the patterns of whoever calls
        [sys.executable, "-m", "mutmut", *command],
        cwd=folder,
        check=True,
        text=True,
        stdout=subprocess.PIPE if heard else None,
    )
    return done.stdout or ""


def run_in(folder: Path, patterns: list[str]) -> int:
    """Make and test the mutants in a folder, and tell what became of them.

    Parameters
    ----------
    folder : Path
        Empty, or the copy of a run before.
    patterns : list of str
        Names of mutants with wildcards; none for all.

    Returns
    -------
    int
        0 where enough are found out, else 1.
    """
    copy_to(folder)
    mutmut(folder, "run", "--max-children", "1", *patterns)
    tested = mutants_of(mutmut(folder, "results", "--all", "true", heard=True))
    for mutant in tested:
        if not mutant.found_out:
            mutmut(folder, "show", mutant.name)
    print(table(tested))  # noqa: T201 - a command
    return 0 if share_found_out(tested) >= LEAST else 1


def main() -> int:
    """Read the command line and run."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("patterns", nargs="*", help="names of mutants with wildcards; none for all")
    parser.add_argument("--folder", type=Path, help="where the copy is kept; else nowhere")
    told = parser.parse_args()
    os.nice(LOW_PRIORITY)
    with contextlib.ExitStack() as stack:
        made = told.folder or Path(stack.enter_context(tempfile.TemporaryDirectory()))
        return run_in(made.resolve(), told.patterns)


if __name__ == "__main__":
    sys.exit(main())
