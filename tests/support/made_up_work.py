"""Work that is made up: it counts which parts were done, and can fail or stop where it is told."""

import json
from collections.abc import Callable, Iterable
from typing import Any

from service.analysis.questions import Risk
from service.scenarios import analyses
from service.scenarios.analyses import Asked

QUESTION = Risk(draws=7, seed=11)
ASKED = Asked(QUESTION)


class MadeUpWork:
    """Parts that say their number, and a note of each that was done."""

    def __init__(self, total: int = 5) -> None:
        self.total = total
        self.done: list[int] = []
        self.before_part: Callable[[int], None] = lambda _number: None
        """Called before each part; what it raises is what the part raises."""

    def part(self, number: int) -> bytes:
        """Do one part."""
        self.before_part(number)
        self.done.append(number)
        return f"part {number}".encode()

    def result(self, parts: Iterable[bytes]) -> dict[str, Any]:
        """Put the parts together."""
        return {"parts": [part.decode() for part in parts], "warnings": ["Made up."]}

    def __call__(self, subject: Any, question: Any) -> "MadeUpWork":
        """Stand in for what prepares work."""
        del subject, question
        return self


def answer(total: int = 5) -> dict[str, Any]:
    """Return what the work comes to, as JSON has it."""
    found = MadeUpWork(total)
    return json.loads(json.dumps(found.result(found.part(n) for n in range(total))))


def made_up(monkeypatch: Any, total: int = 5) -> MadeUpWork:
    """Put made-up work in the place of every question."""
    work = MadeUpWork(total)
    monkeypatch.setattr(analyses, "prepared", work)
    return work
