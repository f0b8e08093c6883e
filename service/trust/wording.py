"""How cases are put into words, the same on the page, in Markdown and in the terminal."""

import re
from collections.abc import Iterable, Mapping, Sequence

from service.trust.records import CLAIMS, Case, Claim, Line, Outcome

TITLE = "What this was held against"
INTRODUCTION = (
    (
        "Published examples and trials were put into this service as a user would put them in, "
        "with the figures that the source prints. What else it took is named in each case, with "
        "where it is from. What came out stands beside what the source prints, line by line. "
        "Where the two differ, that comes first, with the reason."
    ),
    "Two things must be kept apart, and are counted apart:",
)
PLANNING = (
    "Planning figures. Not a design, not a permit, not a promise of cost-share. Local rules, and "
    "those licensed to say so, go before any figure here."
)
CLAIM_TITLES: Mapping[Claim, str] = {
    "reproduces_arithmetic": "Reproduces the source's arithmetic",
    "agrees_with_measurement": "Agrees with a measured outcome",
}
CLAIM_KINDS: Mapping[Claim, str] = {
    "reproduces_arithmetic": "Held against a source's arithmetic",
    "agrees_with_measurement": "Held against a measured outcome",
}
"""What is said of a case, whether or not its lines agree."""
CLAIMS_IN_SHORT: Mapping[Claim, str] = {
    "reproduces_arithmetic": "arithmetic",
    "agrees_with_measurement": "measured",
}
OUTCOMES: Mapping[Outcome, str] = {
    "disagrees": "differs",
    "not_compared": "not compared",
    "beside": "not printed",
    "agrees": "agrees",
}
"""In the order in which they are shown."""
OUTCOME_HEADINGS: Mapping[Outcome, str] = {
    "disagrees": "Lines that differ",
    "not_compared": "Lines that could not be compared",
    "beside": "Beside it: what the source does not print",
    "agrees": "Lines that agree",
}
AGAIN = (
    "Each document with what was set on it for its first line; another line's number gives what "
    "was set for that one. $WINTERGROUND stands for the address of the service."
)
OPEN_LINES = 12
"""More agreeing lines than these are folded; lines that do not agree never are."""
FOLDED_BESIDE = 4
"""More lines than these that no source prints are folded."""
HOW_TO_READ = (
    "The difference is from the printed figure, or from the middle where a range is printed or "
    "worked out. A line agrees if the engine's figure lies within what is allowed: how far the "
    "source rounds, or how much hangs on what it does not print. Figures are rounded here; "
    "in trust.json they are not."
)
SMALLEST_SHARE = 0.001
"""A move below this share of the cost is told in one sentence, not in a row."""
NONE = "-"
ADDRESS = "$WINTERGROUND"
"""Stands for where the service runs."""
DIGITS = 4
FEW_DIGITS = 2
CENTS = 0.1
"""Less money than this is not told to the cent: it would be one digit."""
FRACTION = "fraction"
PERCENT = "percent"
NUMBER = re.compile(r"[-+]?\d[\d,]*(?:\.\d+)?")
CURRENCIES = ("USD", "CAD", "GBP", "EUR", "NZD", "AUD", "NOK")
LARGE = 1000
TENTHS_BELOW = 100


def figure(value: float | str, unit: str) -> str:
    """Return a figure as it is read: money to the cent, all else to four digits.

    Parameters
    ----------
    value : float or str
        Words stay words.
    unit : str
        Its unit, which tells money and shares.
    """
    if isinstance(value, str):
        return value
    if unit == FRACTION:
        return percent(value)
    size = abs(value)
    if unit.startswith(PERCENT):
        shown = f"{value:.1f}"
    elif unit.startswith(CURRENCIES) and size >= CENTS:
        shown = f"{value:,.2f}"
    elif size >= LARGE:
        shown = f"{value:,.0f}"
    else:
        shown = f"{value:.{DIGITS if size >= CENTS else FEW_DIGITS}g}"
    return "0" if float(shown.replace(",", "")) == 0 else shown


def with_unit(value: float | str, unit: str) -> str:
    """Return a figure with its unit; words have none, and a share has its sign in it."""
    shown = figure(value, unit)
    if isinstance(value, str) or unit == FRACTION:
        return shown
    return f"{shown} {'%' + unit.removeprefix(PERCENT) if unit.startswith(PERCENT) else unit}"


def difference(line: Line) -> str:
    """Return how far the engine is from the print, or from the middle where a range is printed.

    Of what is itself told in percent it is points, not a share.
    """
    if line.low is None or line.high is None or isinstance(line.engine, str):
        return NONE
    expected = _printed(line)
    middle = (line.low + line.high) / 2 if expected is None else expected
    if line.unit.startswith(PERCENT):
        return f"{line.engine - middle:+.1f} points"
    if middle == 0:
        return NONE
    share = line.engine / middle - 1
    return "none" if abs(share) < SMALLEST_SHARE / 2 else percent(share, signed=True)


def _printed(line: Line) -> float | None:
    """Return the printed figure, if it is one figure and the one that is compared."""
    found = NUMBER.findall(line.printed.replace("\N{MINUS SIGN}", "-"))
    value = float(found[0].replace(",", "")) if len(found) == 1 else None
    if value is None or line.low is None or line.high is None:
        return None
    return value if line.low <= value <= line.high else None


def percent(share: float, *, signed: bool = False) -> str:
    """Return a share in percent, to a tenth below a hundred [fraction]."""
    hundredths = share * 100
    digits = 1 if abs(hundredths) < TENTHS_BELOW else 0
    return f"{hundredths:{'+' if signed else ''},.{digits}f} %"


def allowed(lines: Iterable[Line]) -> str:
    """Return what difference is allowed, if it is the same for all lines; else nothing."""
    found = {line.allowed for line in lines}
    return found.pop() if len(found) == 1 else ""


def numbers(case: Case) -> dict[str, int]:
    """Return the number of each line, by what is compared; a line is asked for by it."""
    return {line.what: number for number, line in enumerate(case.lines, 1)}


def by_outcome(case: Case) -> list[tuple[Outcome, list[Line]]]:
    """Return the lines of a case, those that differ first; outcomes that none has are left out."""
    found: list[tuple[Outcome, list[Line]]] = []
    for outcome in OUTCOMES:
        lines = [line for line in case.lines if line.outcome == outcome]
        if lines:
            found.append((outcome, lines))
    return found


def is_folded(outcome: Outcome, many: int) -> bool:
    """Whether so many lines of an outcome are folded away."""
    least = {"agrees": OPEN_LINES, "beside": FOLDED_BESIDE}.get(outcome)
    return least is not None and many > least


def by_claim(cases: Sequence[Case]) -> list[tuple[Claim, list[Case]]]:
    """Return the cases by what agreement is evidence of."""
    return [(claim, [case for case in cases if case.claim == claim]) for claim in CLAIMS]


def counts(cases: Iterable[Case]) -> dict[Outcome, int]:
    """Return how many lines have each outcome; ask it of cases of one claim only."""
    found = list(cases)
    return {outcome: sum(case.count(outcome) for case in found) for outcome in OUTCOMES}


def counted(cases: Sequence[Case]) -> str:
    """Return a sentence that counts the lines of cases of one claim."""
    found = counts(cases)
    lines = sum(found.values()) - found["beside"]
    many = len(cases)
    beside = f"; {found['beside']} more are not printed and stand beside" if found["beside"] else ""
    sums = sum(line.own_sum for case in cases for line in case.lines if line.outcome == "agrees")
    own = f" Of those that agree, {sums} only do the source's own sum." if sums else ""
    return (
        f"{many} {'case' if many == 1 else 'cases'}, {lines} {'line' if lines == 1 else 'lines'}: "
        f"{found['agrees']} agree, {found['disagrees']} differ, "
        f"{found['not_compared']} could not be compared{beside}.{own}"
    )


def asked_by(case: Case, name: str) -> int | None:
    """Return the number of the first line that came from a document; some cost only with its set.

    Parameters
    ----------
    case : Case
        Has the document.
    name : str
        Of the document.
    """
    lines = enumerate(case.lines, 1)
    return next((number for number, line in lines if line.document == name), None)


def path_of(case: Case, name: str) -> str:
    """Return where a document is found, with what was set on it for its first line."""
    number = asked_by(case, name)
    path = f"/trust/documents/{case.key}/{name}.json"
    return path if number is None else f"{path}?line={number}"


def by_web(case: Case, name: str) -> str:
    """Return the command that costs a document, wherever the service runs."""
    return (
        f'curl -s "{ADDRESS}{path_of(case, name)}" | curl -s '
        f'-H "Content-Type: application/json" --data-binary @- "{ADDRESS}/v1/costings"'
    )


def by_terminal(case: Case, name: str) -> str:
    """Return the command that costs a document where the service is installed."""
    number = asked_by(case, name)
    line = "" if number is None else f" --line {number}"
    return f"winterground trust {case.key} --document {name}{line} | winterground cost - --csv"
