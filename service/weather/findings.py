"""What is found while a file is read: faults of lines, faults of the whole, things to count."""

from collections import Counter

from service.costing.errors import Fault, InputError

MOST_LINE_FAULTS = 50
LONGEST_SHOWN = 40


def shown(text: str) -> str:
    """Return the start of a stranger's text, without what cannot be printed."""
    short = text[: LONGEST_SHOWN + 1].strip()
    printable = "".join(letter if letter.isprintable() else "?" for letter in short)
    if len(printable) > LONGEST_SHOWN:
        return printable[:LONGEST_SHOWN] + "..."
    return printable


class Findings:
    """Collects what is found in one file."""

    def __init__(self) -> None:
        self._whole: list[Fault] = []
        self._lines: list[tuple[int, Fault]] = []
        self._more = 0
        self.counted: Counter[tuple[str, str]] = Counter()
        """How many values of which column were set aside, by reason and column."""

    def fault(self, fault: Fault) -> None:
        """Note a fault of the file or of a column."""
        self._whole.append(fault)

    def with_room(self, at_fault: list[int]) -> list[int]:
        """Return those of some rows whose faults can still be listed; the others are counted.

        Sentences are made for the listed alone: a file may be wrong on every line.
        """
        room = MOST_LINE_FAULTS - len(self._lines)
        self._more += max(0, len(at_fault) - room)
        return at_fault[:room]

    def fault_of_line(
        self,
        line: int,
        detail: str,
        received: str | float | None = None,
        allowed: str | None = None,
        unit: str | None = None,
    ) -> None:
        """Note a fault of one line."""
        told = shown(received) if isinstance(received, str) else received
        place = f"csv.line {line}"
        self._lines.append((line, Fault(place, detail, received=told, allowed=allowed, unit=unit)))

    def count(self, reason: str, column: str, number: int) -> None:
        """Count values that were set aside."""
        if number:
            self.counted[reason, column] += number

    @property
    def any(self) -> bool:
        """Whether there is any fault."""
        return bool(self._whole or self._lines)

    def error(self) -> InputError:
        """Return all faults: those of the whole, then those of lines in their order."""
        of_lines = [fault for _, fault in sorted(self._lines, key=lambda noted: noted[0])]
        more = (
            [Fault("csv", f"{self._more:,} more faults of lines are not listed.")]
            if self._more
            else []
        )
        return InputError([*self._whole, *of_lines, *more])
