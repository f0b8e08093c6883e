"""What the morning card is made of."""

from dataclasses import dataclass

from service.season.dates import Season


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule in a few words, and the place that it ends with."""

    words: str
    """As ``grass grazed off: to``."""
    place: str = ""
    """As the farm calls it; empty where the rule names none."""

    @property
    def sentence(self) -> str:
        """The rule with its place."""
        return f"{self.words} {self.place}".rstrip()


@dataclass(frozen=True, slots=True)
class Portion:
    """How much is put before the animals of a step, or fenced off for them, for some days."""

    value: float
    """In a mean winter."""
    unit: str
    """``bale``, ``lb`` (as fed) or ``acre``."""
    days: float
    """How long it is to last [day]."""


@dataclass(frozen=True, slots=True)
class CardStep:
    """What to do with some of the animals."""

    step: str
    """Key of the step."""
    who: str
    where: str
    feed: str
    portions: tuple[Portion, ...]
    """Empty where only a document is at hand."""
    keep: tuple[Rule, ...]
    """What to do while it lasts."""
    stop: tuple[Rule, ...]
    """When it ends, and where the animals go next."""


@dataclass(frozen=True, slots=True)
class GroundCard:
    """What to do on one state of the ground."""

    state: str
    title: str
    tell: str
    """How to know it in the yard."""
    days: float
    """In a mean winter [day]."""
    steps: tuple[CardStep, ...]


@dataclass(frozen=True, slots=True)
class CardCaution:
    """A caution of the system, as short as a morning allows."""

    caution: str
    words: str


@dataclass(frozen=True, slots=True)
class Card:
    """The morning card of a system: one side of paper beside the door."""

    system: str
    title: str
    season: Season
    grounds: tuple[GroundCard, ...]
    cautions: tuple[CardCaution, ...]
    bale_weight_lb: float
    """That bales are counted at; one that has rotted outside holds less."""
    tell_mark: str
    """Of how to know the ground: it has no source."""
    rules_mark: str
    """Of the depth of prints that ends a step."""
