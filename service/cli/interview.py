"""The ten questions asked one by one, each answer read as it comes."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from service.costing.errors import Fault
from service.quick_start import answers_from_text, questions
from service.quick_start.agreement import disagreements
from service.quick_start.answers import ROOT, answers_of
from service.quick_start.catalog import (
    CHOICE,
    DATE,
    FIELDS,
    HALF_MONTH,
    NONE,
    SOME,
    YES,
    YES_NO,
)
from service.web.pages_start.form_fields import unit_of, usual_of

Question = Mapping[str, Any]
Texts = Mapping[str, str]
Hear = Callable[[str], str | None]
"""Shows a prompt and returns what is typed; None where nobody types any more."""

WHY, BACK, NOT_SURE = "?", "<", "not sure"
FEW = 9
"""So many choices are numbered and listed with the question; longer lists are shown by ``?``."""

MANNER = (
    "Ten questions, about ten minutes. Enter takes what stands in [brackets]; "
    f"{NOT_SURE!r} takes an answer back; {WHY} says why we ask, {BACK} goes back."
)
FORMS: Mapping[str, str] = {
    DATE: "as 12-01 or Dec 1",
    HALF_MONTH: "as early March",
    YES_NO: "yes or no",
}
CATTLE = ("animals.cows", "animals.first_calf_heifers")
OTHERS = ("animals.weaned_calves", "animals.bulls", "animals.ewes", "animals.rams")
SHEEP = ("animals.ewes", "animals.rams")
DAYS = tuple(f"ground.{state}" for state in ("frozen", "snow", "firm", "soft"))


@dataclass(frozen=True, slots=True)
class Prompt:
    """One thing that is asked for."""

    question: Question
    part: Question
    path: str
    field_number: int = 0
    """Of the field that it is about; 0 if about none."""

    @property
    def opens_field(self) -> bool:
        """Whether it is the first about its field."""
        return self.path.endswith(".name")


@dataclass
class Interview:
    """The questions, and what was answered so far."""

    hear: Hear
    tell: Callable[[str], None]
    texts: dict[str, str] = field(default_factory=dict[str, str])
    asked: list[int] = field(default_factory=list[int])
    """Positions of the prompts that were answered, for going back."""

    def held(self) -> dict[str, Any]:
        """Ask until all is answered or nobody answers any more, and return the answers."""
        self.tell(MANNER)
        place, headed = self._next(0), ""
        while place < len(prompts()):
            prompt = prompts()[place]
            if headed != prompt.question["id"]:
                headed = prompt.question["id"]
                self.tell(_heading(prompt.question))
            text = self.hear(self._shown(prompt))
            if text is None:
                break
            place = self._moved(place, prompt, text.strip())
        return answers_from_text(self.texts)

    def _moved(self, place: int, prompt: Prompt, text: str) -> int:
        """Take what was typed, and return which prompt comes next."""
        if text == WHY:
            self.tell(_why(prompt))
            return place
        if text == BACK:
            return self.asked.pop() if self.asked else place
        faults = self._taken(prompt, text)
        if faults:
            for fault in faults:
                self.tell(f"  {fault.detail}")
            return place
        self.asked.append(place)
        following = self._next(place + 1)
        question = prompt.question["id"]
        if following < len(prompts()) and prompts()[following].question["id"] == question:
            return following
        return self._agreed(question, following)

    def _taken(self, prompt: Prompt, text: str) -> list[Fault]:
        """Keep an answer, or return what is wrong with it."""
        if not text:
            return []
        written = _as_key(prompt.part, text)
        read = answers_from_text({prompt.path: written})
        _, faults = answers_of(read)
        if not faults:
            self.texts[prompt.path] = written
        return faults

    def _next(self, place: int) -> int:
        """Return the first prompt from a place on that there is a reason to ask."""
        while place < len(prompts()) and not _is_wanted(prompts()[place], self.texts):
            self.texts.pop(prompts()[place].path, None)
            place += 1
        return place

    def _agreed(self, question: str, following: int) -> int:
        """Return what comes after a question: the question again if its answers do not agree."""
        known, _ = answers_of(answers_from_text(self.texts))
        place = f"{ROOT}.{question}"
        faults = [fault for fault in disagreements(known) if _is_within(fault.input, place)]
        if not faults:
            return following
        for fault in faults:
            self.tell(f"  {fault.detail}")
        first = next(
            number for number, one in enumerate(prompts()) if one.question["id"] == question
        )
        self.asked = [number for number in self.asked if number < first]
        return first

    def _shown(self, prompt: Prompt) -> str:
        """Return a prompt with what Enter takes."""
        part = prompt.part
        about = [unit_of(part), FORMS.get(part["kind"], ""), usual_of(part)]
        said = ", ".join(words for words in about if words)
        before = f"Field {prompt.field_number}: " if prompt.field_number else ""
        lines = ""
        if part["kind"] in {CHOICE, SOME} and len(part["choices"]) <= FEW:
            lines = "".join(f"{line}\n" for line in _choices(part))
        taken = self.texts.get(prompt.path) or (
            "no more fields" if prompt.opens_field else NOT_SURE
        )
        ask = f"  {before}{part['ask']}{f' ({said})' if said else ''}\n{lines}"
        return f"{ask}  [{taken}] "


@cache
def prompts() -> Sequence[Prompt]:
    """Return all that may be asked, in order."""
    return tuple(_prompts())


def _prompts() -> Iterator[Prompt]:
    for question in questions():
        for part in question["parts"]:
            path = f"{question['id']}.{part['id']}"
            if part["kind"] != FIELDS:
                yield Prompt(question, part, path)
                continue
            for number in range(1, int(part["most"]) + 1):
                for inner in part["parts"]:
                    yield Prompt(question, inner, f"{path}.{number}.{inner['id']}", number)


def _is_wanted(prompt: Prompt, texts: Texts) -> bool:
    """Whether there is a reason to ask, after what was answered before."""
    path = prompt.path
    if prompt.field_number:
        number = prompt.field_number - (1 if prompt.opens_field else 0)
        return number == 0 or bool(_answer(texts, f"land.fields.{number}.name"))
    return WANTED.get(path, lambda _: True)(texts)


def _any_of(paths: Sequence[str], texts: Texts) -> bool:
    return any(_answer(texts, path) not in {"", "0"} for path in paths)


def _has_cattle(texts: Texts) -> bool:
    """Whether there are cows or heifers: where no animal was named, cows are taken."""
    return _any_of(CATTLE, texts) or not _any_of(OTHERS, texts)


def _has_young(path: str) -> Callable[[Texts], bool]:
    return lambda texts: WANTED[path](texts) and _answer(texts, path) != NONE


WANTED: Mapping[str, Callable[[Texts], bool]] = {
    "animals.cow_size": lambda texts: not _any_of(SHEEP, texts) or _has_cattle(texts),
    "animals.cow_weight": lambda texts: _answer(texts, "animals.cow_size") == "weighed",
    "animals.ewe_weight": lambda texts: _any_of(SHEEP, texts),
    "young.first_calf": _has_cattle,
    "young.most_calves": _has_young("young.first_calf"),
    "young.first_lamb": lambda texts: _any_of(("animals.ewes",), texts),
    "young.most_lambs": _has_young("young.first_lamb"),
    "ground.type": lambda texts: not all(_answer(texts, path) for path in DAYS),
    "damage.pad_width": lambda texts: _any_of(("damage.pad_length",), texts),
    "damage.barn_width": lambda texts: _any_of(("damage.barn_length",), texts),
    "damage.sheep_racks": lambda texts: _any_of(SHEEP, texts),
}
"""When a part is asked that hangs on others; what is not here is always asked."""


def _answer(texts: Texts, path: str) -> str:
    text = texts.get(path, "").strip()
    return "" if text.lower() == NOT_SURE else text


def _as_key(part: Question, text: str) -> str:
    """Return what was typed with choices by their keys: a number, a word or the whole text."""
    if part["kind"] == SOME:
        return ",".join(_one_key(part, word) for word in text.split(","))
    return _one_key(part, text) if part["choices"] else text


def _one_key(part: Question, text: str) -> str:
    word = text.strip().casefold()
    choices = part["choices"]
    if word.isdecimal() and part["kind"] in {CHOICE, SOME} and 1 <= int(word) <= len(choices):
        return choices[int(word) - 1]["key"]
    if part["kind"] == YES_NO and word and YES.startswith(word):
        return YES
    for choice in choices:
        if word in {choice["key"], choice["key"].replace("_", " "), choice["words"].casefold()}:
            return choice["key"]
    begun = [choice["key"] for choice in choices if choice["words"].casefold().startswith(word)]
    return begun[0] if word and len(begun) == 1 else text.strip()


def _is_within(path: str, place: str) -> bool:
    return path == place or path.startswith(f"{place}.")


def _heading(question: Question) -> str:
    number = [one["id"] for one in questions()].index(question["id"]) + 1
    return f"\n{number} of {len(questions())}. {question['ask']}"


def _why(prompt: Prompt) -> str:
    part = prompt.part
    lines = [prompt.question["why"], f"Not sure? {prompt.question['if_not_sure']}"]
    if part["source"]:
        mark = " From memory, to be checked." if part["unverified"] else ""
        lines.append(f"{usual_of(part).capitalize()}. {part['source']}{mark}")
    if len(part["choices"]) > FEW:
        lines.append(f"{', '.join(choice['words'] for choice in part['choices'])}.")
    return "\n".join(f"  {line}" for line in lines)


def _choices(part: Question) -> Iterator[str]:
    for number, choice in enumerate(part["choices"], start=1):
        yield f"    {number} {choice['words']}"
