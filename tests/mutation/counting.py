"""What became of the mutants, read off what the tool tells."""

from collections.abc import Iterable
from dataclasses import dataclass

FOUND_OUT = {"killed", "timeout"}
"""A test failed, or no longer came to an end."""
NOT_TESTED = {"not checked", "check was interrupted by user"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change of one formula, and whether a test fails upon it."""

    name: str
    status: str

    @property
    def module(self) -> str:
        """The module of its formula."""
        return self.name.split(".")[-2]

    @property
    def found_out(self) -> bool:
        """Whether a test tells it from the real formula."""
        return self.status in FOUND_OUT


def mutants_of(told: str) -> list[Mutant]:
    """Return every mutant that was tested.

    Parameters
    ----------
    told : str
        Lines of name and status.

    Returns
    -------
    list of Mutant
        Those on which there is a word.

    Examples
    --------
    >>> [(one.module, one.found_out) for one in mutants_of("hay.x_tons__mutmut_1: killed")]
    [('hay', True)]
    >>> mutants_of("hay.x_tons__mutmut_2: not checked")
    []
    """
    each = (line.strip().rpartition(": ") for line in told.splitlines() if "__mutmut_" in line)
    return [Mutant(name, status) for name, _, status in each if status not in NOT_TESTED]


def share_found_out(mutants: Iterable[Mutant]) -> float:
    """Return how large a share of some mutants the tests tell from the real formulas [fraction]."""
    found = [mutant.found_out for mutant in mutants]
    return sum(found) / len(found)


def table(mutants: list[Mutant]) -> str:
    """Return the counts by module as a table, the whole last.

    Parameters
    ----------
    mutants : list of Mutant
        All of them.

    Returns
    -------
    str
        Lines of a table in Markdown.
    """
    rows = ["| module | mutants | found out | left | share |", "|---|---|---|---|---|"]
    modules = sorted({mutant.module for mutant in mutants})
    parts = {name: [mutant for mutant in mutants if mutant.module == name] for name in modules}
    for name, some in (*parts.items(), ("all", mutants)):
        found = sum(mutant.found_out for mutant in some)
        share = f"{share_found_out(some):.1%}"
        rows.append(f"| {name} | {len(some):,} | {found:,} | {len(some) - found} | {share} |")
    return "\n".join(rows)
