"""Animals: sold or bought, bedded, fed beside hay, and given clean ground for births."""

from collections.abc import Iterator

from service.costing.units import NEGLIGIBLE
from service.costing.wording import amount, count, listed, named
from service.season.plan.anchors import (
    Births,
    births_near,
    facts_of,
    winter_begins,
    winter_ends,
)
from service.season.plan.dated import ahead_of, task
from service.season.plan.records import Amount, Task
from service.season.subject import SeasonSubject


def animal_tasks(subject: SeasonSubject) -> Iterator[Task]:
    """Yield what the animals ask for."""
    yield from _herd_changes(subject)
    quantities = subject.result["quantities"]
    if quantities["bedding_ton"] > NEGLIGIBLE:
        yield _bedding(subject, quantities["bedding_ton"])
    if quantities["supplement_ton_dm"] > NEGLIGIBLE:
        yield _supplement(subject, quantities["supplement_ton_dm"])
    births = births_near(subject)
    for each in births:
        yield _clean_ground(subject, each)
    mothers = _mothers_on_lush_grass(subject, births)
    if mothers:
        yield _magnesium(subject, mothers)


def _name(subject: SeasonSubject, group: str) -> str:
    return named(subject.scenario.herd[group].title, group)


def _herd_changes(subject: SeasonSubject) -> Iterator[Task]:
    for group, change in subject.system.herd_change.items():
        if not change.head:
            continue
        sells = change.head < 0
        head = abs(change.head)
        yield task(
            f"{'sell' if sells else 'buy'}_head_{group}",
            f"{'Sell' if sells else 'Buy'} {count(head)} head: {_name(subject, group)}",
            ahead_of(
                winter_begins(subject),
                "lead.change_herd",
                "Animals that go should eat no winter feed; those that come need time to settle.",
            ),
            "As the system counts on it.",
            "Not estimated: prices of animals a week later are not known.",
            part="animals",
            how_much=(Amount(head, "head", _name(subject, group)),),
        )


def _bedding(subject: SeasonSubject, tons: float) -> Task:
    return task(
        "order_bedding",
        f"Order {amount(tons)} tons of bedding",
        ahead_of(
            winter_begins(subject),
            "lead.order_bedding",
            "Straw and stalks are there after harvest and scarce in a wet winter.",
        ),
        "Have it delivered under cover. A wetter winter takes more.",
        "Not estimated: what bedding costs a week later is not known.",
        part="animals",
        how_much=(Amount(tons, "ton", "bedding, mean of the winters"),),
        cautions=("herbicide_carry_over",),
    )


def _supplement(subject: SeasonSubject, tons_dm: float) -> Task:
    supplement = subject.scenario.supplement
    dry = supplement.dry_matter_fraction if supplement else 1.0
    title = named(supplement.title if supplement else None, "supplement")
    return task(
        "order_supplement",
        f"Order {amount(tons_dm / dry)} tons of {title}",
        ahead_of(
            winter_begins(subject),
            "lead.order_supplement",
            "It fills what hay or grass lacks from the first day.",
        ),
        "Change the amount if the hay test says so. Ask your veterinarian or nutritionist.",
        "Not estimated: animals would be short of feed value for a week.",
        part="animals",
        how_much=(Amount(tons_dm / dry, "ton", "as fed, mean of the winters"),),
        cautions=("copper_and_sheep",),
    )


def _clean_ground(subject: SeasonSubject, births: Births) -> Task:
    names = listed(_name(subject, group) for group in births.groups)
    return task(
        f"clean_ground_{births.groups[0]}",
        f"Have clean ground or fresh pens ready: {names}",
        ahead_of(births.start, "lead.clean_ground", "First young often come ahead of the date."),
        "Dry ground that was not fed on this winter, or freshly bedded pens. Move those still to "
        "give birth away from older young. Have help, light and a telephone at hand.",
        "Not estimated: sick and chilled young are not in money here. Ask your veterinarian.",
        part="animals",
        how_much=tuple(
            Amount(subject.scenario.herd[group].head, "head", _name(subject, group))
            for group in births.groups
        ),
        cautions=("calving_and_lambing_ground", "dead_animals", "lone_work", "young_workers"),
    )


def _mothers_on_lush_grass(subject: SeasonSubject, births: tuple[Births, ...]) -> list[str]:
    """Return groups that may be in milk on lush grass in spring.

    They are all that give birth where the caution of tetany stands, and those that give birth
    near this winter where grass was fed nitrogen.
    """
    if any(each["caution"] == "grass_tetany" for each in subject.result["cautions"]):
        herd = subject.scenario.herd
        return [group for group in facts_of(subject).groups if herd[group].birth_starts]
    if any(step.setting("nitrogen_lb_per_acre") for step in subject.system.plan):
        return [group for each in births for group in each.groups]
    return []


def _magnesium(subject: SeasonSubject, mothers: list[str]) -> Task:
    names = listed(_name(subject, group) for group in mothers)
    return task(
        "magnesium",
        "Offer a high-magnesium mineral",
        ahead_of(
            winter_ends(subject),
            "lead.magnesium",
            "Animals must be used to eating it before the grass is lush.",
        ),
        f"For {names}. See that they eat it, and go on until grass slows down. No cattle mineral "
        "where sheep can reach it. Ask your veterinarian.",
        "Not estimated: animals that die of grass tetany are not in money here.",
        part="animals",
        when="from",
        cautions=("grass_tetany", "copper_and_sheep"),
    )
