"""What must be asked for before work begins: consent, cost-share, engineer, permits, the call."""

from collections.abc import Iterator, Sequence

from service.season.plan.anchors import Anchor
from service.season.plan.dated import ahead_of, task
from service.season.plan.records import Amount, Task
from service.season.plan.structures import BETWEEN, Works, first_begin, under_caution
from service.season.subject import SeasonSubject

NOTHING_BEGINS = "Not estimated: nothing can begin before it, so every later date moves with it."


def permission_tasks(subject: SeasonSubject, works: Sequence[Works]) -> Iterator[Task]:
    """Yield what has to be asked for, each only where the system's cautions call for it."""
    triggered = {caution["caution"] for caution in subject.result["cautions"]}
    yield from _cost_share(subject, works)
    asked = (
        ("landlord_consent", _rented(subject, works), _consent),
        ("licensed_engineer", _engineered(subject, works), _engineer),
        (
            "wetland_flood_plain_permits",
            under_caution(works, "wetland_flood_plain_permits"),
            _permits,
        ),
        ("call_before_digging", under_caution(works, "call_before_digging"), _call),
    )
    for caution, concerned, make in asked:
        if caution in triggered and concerned:
            yield make(first_begin(concerned), BETWEEN.join(each.title for each in concerned))


def _engineered(subject: SeasonSubject, works: Sequence[Works]) -> tuple[Works, ...]:
    """Return what an engineer is asked about: hay under tarps is not, a hay barn is."""
    storage = subject.system.hay_storage or subject.scenario.hay.storage
    return tuple(
        each
        for each in under_caution(works, "licensed_engineer")
        if each.kind != "hay_storage" or storage == "barn"
    )


def _rented(subject: SeasonSubject, works: Sequence[Works]) -> tuple[Works, ...]:
    fields = subject.scenario.land.fields
    return tuple(
        each
        for each in works
        if (key := each.built.structure.field) is not None and fields[key].tenure == "rented"
    )


def _with_status(works: Sequence[Works], *statuses: str) -> tuple[Works, ...]:
    return tuple(
        each
        for each in works
        if (terms := each.built.structure.cost_share) is not None and terms.status in statuses
    )


def _cost_share(subject: SeasonSubject, works: Sequence[Works]) -> Iterator[Task]:
    wanted = _with_status(works, "not_applied")
    if wanted:
        yield task(
            "apply_cost_share",
            "Apply for cost-share",
            ahead_of(
                first_begin(wanted),
                "lead.apply_cost_share",
                "Applications are ranked on fixed dates, and months pass until a contract.",
            ),
            f"For {BETWEEN.join(each.title for each in wanted)}. Ask the office for its next date.",
            "Not estimated: a missed ranking date can cost a year.",
            part="building",
            cautions=("cost_share_contract", "public_record"),
        )
    unsigned = _with_status(works, "not_applied", "applied")
    if unsigned:
        cost_share = sum(
            item["cost_share"]
            for item in subject.result["structures"]
            if item["key"] in {each.built.key for each in unsigned}
        )
        yield task(
            "sign_cost_share",
            "Have the cost-share contract signed before anything is ordered or begun",
            ahead_of(
                first_begin(unsigned),
                "lead.sign_cost_share",
                "Work begun before the contract is signed is as a rule not paid.",
            ),
            f"For {BETWEEN.join(each.title for each in unsigned)}. Without a signed contract wait, "
            "or build without cost-share.",
            "Not estimated: work that begins first can lose all of the cost-share.",
            part="building",
            how_much=(Amount(cost_share, subject.scenario.currency, "cost-share counted"),),
            cautions=("cost_share_contract", "landlord_consent"),
        )


def _consent(begin: Anchor, titles: str) -> Task:
    return task(
        "landlord_consent",
        "Get the landlord's written consent",
        ahead_of(
            begin, "lead.landlord_consent", "Without it money for drawings and work can be lost."
        ),
        f"For {titles}: who owns it, who keeps it up, and what is paid for it when the lease ends.",
        NOTHING_BEGINS,
        part="building",
        cautions=("landlord_consent",),
    )


def _engineer(begin: Anchor, titles: str) -> Task:
    return task(
        "engineer",
        "Call a licensed engineer",
        ahead_of(
            begin, "lead.engineer", "A visit, a look at the soil, drawings and bids take months."
        ),
        f"For {titles}. The sizes of this plan are for planning and are no design.",
        NOTHING_BEGINS,
        part="building",
        cautions=("licensed_engineer", "snow_and_wind_on_roofs"),
    )


def _permits(begin: Anchor, titles: str) -> Task:
    return task(
        "permits",
        "Ask about permits",
        ahead_of(begin, "lead.permits", "Several offices look at it, one after another."),
        f"For {titles}: wetland, flood plain, historic sites, building permit, storm water, "
        "distances from water and houses, insurer. Local rules come before this plan.",
        NOTHING_BEGINS,
        part="building",
        cautions=("wetland_flood_plain_permits", "setbacks_not_checked", "wells"),
    )


def _call(begin: Anchor, titles: str) -> Task:
    return task(
        "call_before_digging",
        "Call the one-call center before digging",
        ahead_of(
            begin, "lead.call_before_digging", "Lines are marked some working days after the call."
        ),
        f"For {titles}. Call again before each later digging: marks fade.",
        NOTHING_BEGINS,
        part="building",
        cautions=("call_before_digging",),
    )
