"""For the lender: what the money is for, and where it comes from."""

from collections.abc import Iterator

from service.costing.averages import number
from service.costing.builder import Built
from service.web.annexes.annex import Block, Item, unknown
from service.web.annexes.subject import NOTHING, AnnexSubject, Document

FEEDING = frozenset({"feeder", "equipment"})
WATER = frozenset({"waterer", "pipeline", "pump"})
USES = {
    "building": "Building",
    "feeders": "Feeders and equipment",
    "water_and_power": "Water and power",
    "engineering": "Engineering",
    "permits": "Permits",
    "contingency": "Contingency",
}


def request_block(subject: AnnexSubject) -> Block:
    """Return uses and sources of the money that is asked for."""
    return Block("request", "Request", [*_uses(subject), *_sources(subject)])


def uses_of(subject: AnnexSubject) -> dict[str, float]:
    """Return what is paid in year 0 by use; it adds up to the money up front."""
    found = dict.fromkeys(USES, 0.0)
    for item, told in subject.built:
        for use, amount in _uses_of(item, told):
            found[use] += amount
    return found


def _uses_of(item: Built, told: Document) -> Iterator[tuple[str, float]]:
    paid, kind = told["build_by_year"][0], item.structure.kind
    if paid <= NOTHING:
        return
    plain = paid
    if number(item.addition.first_built.value) == 0:
        for use, amount in _extras(item):
            plain -= amount
            yield use, amount
    use = "feeders" if kind in FEEDING else "water_and_power" if kind in WATER else "building"
    yield use, plain


def _extras(item: Built) -> Iterator[tuple[str, float]]:
    """Yield what comes on top of the works of a structure."""
    structure = item.structure
    yield "engineering", structure.engineering_cost
    yield "permits", structure.permit_cost
    yield "water_and_power", structure.power_and_water_cost
    others = structure.engineering_cost + structure.permit_cost + structure.power_and_water_cost
    works = (number(item.addition.cost.value) - others) / (1 + structure.contingency_fraction)
    yield "contingency", works * structure.contingency_fraction


def _uses(subject: AnnexSubject) -> Iterator[Item]:
    currency = subject.currency
    for use, amount in uses_of(subject).items():
        yield subject.worked(use, f"Use: {USES[use].lower()}", amount, currency)
    bridge = bridge_interest(subject)
    if bridge:
        yield subject.worked(
            "bridge",
            "Use: interest until cost-share comes",
            bridge,
            currency,
            note="Nominal; beside the costs, not in them.",
        )
    yield subject.worked(
        "money_up_front",
        "Money up front, before cost-share",
        subject.shown["first_cost"],
        currency,
        note="Without the interest of a bridge.",
    )


def bridge_interest(subject: AnnexSubject) -> float:
    """Return the interest of the bridge until cost-share comes, where a loan is given."""
    loan = subject.shown.get("loan") or {"bridges": ()}
    return sum(bridge["interest"] for bridge in loan["bridges"])


def _sources(subject: AnnexSubject) -> Iterator[Item]:
    currency, loan = subject.currency, subject.shown.get("loan")
    up_front = subject.shown["first_cost"]
    if loan is None:
        yield subject.worked("own_money", "Source: own money", up_front, currency)
        note = "" if up_front > NOTHING else "Nothing is built."
        yield unknown("loan", "Source: loan", note=note or "The scenario names none.")
    else:
        yield subject.worked(
            "own_money", "Source: own money", max(0.0, up_front - loan["principal"]), currency
        )
        path = "finance.loan.amount"
        if path in subject.body["origins"]:
            yield subject.given(path, "loan", "Source: loan", loan["principal"], currency)
        else:
            yield subject.worked(
                "loan",
                "Source: loan",
                loan["principal"],
                currency,
                note="All that is built, as no amount is given.",
            )
    yield _hoped_for(subject)
    yield unknown("in_kind", "Work in kind", note="None is counted as cash.")


def _hoped_for(subject: AnnexSubject) -> Item:
    """Return the cost-share that is hoped for: it comes later, so it is no source at the start."""
    return subject.worked(
        "cost_share",
        "Cost-share, later",
        sum(told["cost_share"] for _, told in subject.built),
        "currency",
        note="Not netted: all of the money up front is paid first.",
    )


def cost_share_block(subject: AnnexSubject) -> Block:
    """Return the cost-share that is hoped for, with how far each application is."""
    items = [
        item
        for built, told in subject.built
        if told["cost_share"] > NOTHING
        for item in _share_of(subject, built, told)
    ]
    remark = "" if items else "None is counted."
    return Block("cost_share", "Cost-share hoped for", items, shape="grid", remark=remark)


def _share_of(subject: AnnexSubject, item: Built, told: Document) -> Iterator[Item]:
    terms, about = item.structure.cost_share, subject.title_of(item)
    if terms is None:
        return
    path = f"systems.{subject.key}.structures.{item.key}.cost_share"
    yield subject.worked("amount", "Amount", told["cost_share"], "currency", about)
    status = terms.status.replace("_", " ")
    yield subject.given(f"{path}.status", "status", "Status", status, about=about)
    yield subject.given(
        f"{path}.payment_year",
        "payment_year",
        "Paid at end of",
        terms.payment_year,
        "year",
        about=about,
    )
