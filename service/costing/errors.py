"""What can be wrong with a question, said so that the person who asked can mend it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with the input.

    ``input`` is the dotted path of the value at fault, ``detail`` a sentence that says what to
    change; ``received``, ``allowed``, ``unit`` and ``suggestion`` are given where they help.
    """

    input: str
    detail: str
    received: object = None
    allowed: str | None = None
    unit: str | None = None
    suggestion: str | None = None


class InputError(ValueError):
    """The question cannot be costed as it stands; carries every fault found, not the first."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{fault.input}: {fault.detail}" for fault in self.faults))


class UnknownEditionError(LookupError):
    """No reference edition of that name is published."""


class UnknownReferenceValueError(LookupError):
    """No reference value has that key."""


class UnitMismatchError(TypeError):
    """A formula was handed a figure in a unit that its signature does not take."""


def nearest(word: str, known: Sequence[str]) -> str | None:
    """Return the known word that ``word`` was most likely meant to be, or None."""
    found = get_close_matches(word, known, n=1, cutoff=0.5)
    return found[0] if found else None
