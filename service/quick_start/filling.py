"""From answers to a scenario that can be costed."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from service.costing.averages import mean
from service.costing.engine import Costing, cost
from service.costing.errors import InputError
from service.costing.quantities import bales_of
from service.costing.scenario import Scenario
from service.costing.wording import amount
from service.quick_start.agreement import disagreements
from service.quick_start.answers import Answers, answers_of
from service.quick_start.built import RACK, feeders_told
from service.quick_start.calibration import calibrate, carry_by_hand
from service.quick_start.draft import ASSUMPTIONS, Draft, with_systems
from service.quick_start.farmstead import fill_farmstead
from service.quick_start.figures import stand_in
from service.quick_start.herd import fill_herd
from service.quick_start.land import DAMAGE, fill_land, fill_repaired_by_guess
from service.quick_start.marks import Guessed, guess
from service.quick_start.offers import offers
from service.quick_start.season import fill_winter
from service.quick_start.selling import fewer, margin
from service.quick_start.setting import SHEEP, TODAY, Offer, Setting
from service.quick_start.steps import FEEDING
from service.quick_start.today import today
from service.quick_start.wishes import order_of, say_wishes

Document = dict[str, Any]
Read = Callable[[Document], Scenario]
"""Turns a document into a scenario, or raises InputError with every fault."""

LOT_METHOD = "sacrifice_lot"
HAY_FLOOR = "hay_floor"


@dataclass(frozen=True, slots=True)
class QuickStart:
    """What ten answers came to.

    ``document`` is a complete scenario document that can be costed as it stands. ``origins`` says
    for each of its values ``given``, ``worked`` or ``reference``, ``how`` in a sentence how what
    was worked came about. ``guessed`` are the things that were filled in for the farm, ``systems``
    the systems with the reason why each is there, ``needs`` what the farm lacks, ``notes`` what was
    told and has no input, ``order`` what the farm wants first, with the figure that shows it.
    """

    document: Document
    origins: dict[str, str]
    how: dict[str, str]
    guessed: list[dict[str, Any]]
    systems: list[dict[str, str]]
    needs: list[str]
    notes: list[dict[str, str]]
    order: list[dict[str, str]]


def filled(answers: Mapping[str, Any], read: Read) -> QuickStart:
    """Fill a scenario from the ten answers.

    Parameters
    ----------
    answers : mapping
        Answers by question and part, as ``{"animals": {"cows": 40}}``. What is missing or None is
        "not sure".
    read : callable
        Turns a document into a scenario: hay and minutes of today are worked by the engine.

    Returns
    -------
    QuickStart
        The document, and what is said beside it.

    Raises
    ------
    InputError
        If any answer cannot be; carries every fault found.
    """
    known, faults = answers_of(answers)
    faults += disagreements(known)
    if faults:
        raise InputError(faults)
    draft = Draft()
    fill_winter(draft, known)
    fill_herd(draft, known)
    ground = fill_land(draft, known)
    fill_farmstead(draft, known)
    setting = Setting(draft, known, ground, bales=0.0)
    setting = Setting(draft, known, ground, bales=_bales_on_a_lot(setting, read))
    found = _fill_systems(setting)
    carry_by_hand(draft, known)
    costing = cost(read(with_systems(draft.document, _only_today(draft.document), TODAY)))
    _fill_home_grown(draft, known, costing)
    calibrate(draft, known, costing)
    say_wishes(draft, known)
    return QuickStart(
        document=draft.document,
        origins=draft.finished_origins(),
        how=draft.how,
        guessed=draft.guessed(),
        systems=[{"key": offer.key, "why": offer.why} for offer in found],
        needs=draft.needs,
        notes=draft.notes,
        order=order_of(known, setting.main[0]),
    )


def _only_today(document: Document) -> Document:
    return {TODAY: document["systems"][TODAY]}


def _bales_on_a_lot(setting: Setting, read: Read) -> float:
    """Return the bales that the main groups are fed in a winter on a lot [bale]."""
    step = setting.lot(setting.presentation)
    others = [group for group in setting.document["herd"] if group not in setting.main]
    plan = [step] + ([{**step, "key": "others", "groups": others}] if others else [])
    costing = cost(read(with_systems(setting.document, {"lot": {"plan": plan}}, "lot")))
    run = costing.systems["lot"].run
    bales = run.steps[0].bales
    return 0.0 if bales is None else mean(costing.winters, bales)


def _fill_systems(setting: Setting) -> list[Offer]:
    draft, answers = setting.draft, setting.answers
    now, smaller = today(setting), fewer(setting)
    found = [now, *offers(setting), *([smaller] if smaller else [])]
    if smaller:
        now.system["margin"] = margin()
    for offer in found:
        draft.put(f"systems.{offer.key}", offer.system)
    draft.put("baseline", TODAY)
    if any(step["method"] == LOT_METHOD for step in draft.document["systems"][TODAY]["plan"]):
        fill_repaired_by_guess(draft, answers)
    if any(HAY_FLOOR in system["structures"] for system in draft.document["systems"].values()):
        for name in ("hay_rock_floor_base", "hay_rock_floor", "hay_rock_floor_life"):
            draft.put(f"{ASSUMPTIONS}.{stand_in(name).key}", guess(name, "hay"))
    _say_same_place(draft, answers)
    _say_what_is_not_there(setting)
    return found


def _say_same_place(draft: Draft, answers: Answers) -> None:
    same = answers.says_yes(FEEDING, "same_place")
    if same is None:
        return
    text = "The same place each year." if same else "Another place each year."
    methods = {step["method"] for step in draft.document["systems"][TODAY]["plan"]}
    if not same and methods == {LOT_METHOD}:
        text += " Damage is counted as on a fixed lot, but the ground has years to come back in."
    draft.note(f"systems.{TODAY}", text)


def _say_what_is_not_there(setting: Setting) -> None:
    draft, answers = setting.draft, setting.answers
    if answers.says_yes(DAMAGE, "manure_storage") is False:
        draft.need(
            "No place to store manure: what is scraped off has to be spread when it is scraped."
        )
    if feeders_told(answers, setting.presentation) == 0:
        draft.note(f"systems.{TODAY}.structures", "You told of no feeders: none is counted today.")
    if setting.beside and feeders_told(answers, RACK) == 0:
        draft.note(f"systems.{TODAY}.plan.{SHEEP}", "Sheep are fed without racks today.")


def _fill_home_grown(draft: Draft, answers: Answers, costing: Costing) -> None:
    """Take the bales on hand for the farm's own make, as far as today's way needs them."""
    bales = answers.number("hay", "bales")
    needed = bales_of(costing, costing.systems[TODAY])["needed_mean"]
    if not bales or needed <= 0:
        return
    figure = stand_in("home_grown")
    most = min(1.0, bales / needed)
    draft.put(
        "hay.home_grown_fraction",
        Guessed(
            figure,
            "hay",
            value=round(most * figure.number, 3),
            low=0.0,
            high=round(most, 3),
            unit="fraction",
        ),
    )
    draft.how["hay.home_grown_fraction"] = (
        f"{amount(bales)} bales on hand of {amount(needed)} that today's way needs; taken for your "
        "own make."
    )
