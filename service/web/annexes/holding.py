"""For the lender: what the herd earns, what stands as security, and what of tax is left out."""

from collections.abc import Iterator

from service.costing.builder import Built
from service.costing.plan import Margin
from service.costing.wording import named
from service.web.annexes.annex import Block, Item, stated, unknown
from service.web.annexes.subject import AnnexSubject, Document

PORTABLE = frozenset({"feeder", "equipment"})
EITHER = frozenset({"fence", "hay_storage", "waterer", "pump"})
TAX_SOURCE = "Internal Revenue Service, Publication 225, Farmer's Tax Guide"


def herd_block(subject: AnnexSubject) -> Block:
    """Return margin by animal, never the cost of one alone."""
    items = list(_herd(subject))
    return Block("herd", "Herd", items)


def _herd(subject: AnnexSubject) -> Iterator[Item]:
    found = _margins(subject)
    if not found:
        yield unknown("margin", "Margin of an animal", note="No sales of the herd are given.")
    for group, (system, margin) in found.items():
        yield from _margin(subject, group, system, margin)
    yield unknown("long_run_price", "Margin at the long-run price", note="No such price is given.")
    changes = subject.system.run.system.herd_change
    for group, change in changes.items():
        path = f"systems.{subject.key}.herd_change.{group}"
        about = subject.group_title(group)
        yield subject.given(
            f"{path}.head",
            "herd_change",
            "Bought, or sold below 0",
            change.head,
            "head",
            about=about,
        )
        yield subject.given(
            f"{path}.price_per_head",
            "herd_change_price",
            "at a price of",
            change.price_per_head,
            "currency/head",
            about=about,
        )
    if "farm_margin" in subject.shown:
        for about, shown in (("with the system", subject.shown), ("today", subject.shown_today)):
            yield subject.worked(
                "farm_margin", "Left to the farm", shown["farm_margin"], "currency/year", about
            )
    elif not changes:
        yield stated("herd_change", "Change of the herd", "none")


def _margins(subject: AnnexSubject) -> dict[str, tuple[str, Margin]]:
    """Return the margin of each group that has one: the system's own, else the first given."""
    systems = subject.scenario.systems
    found: dict[str, tuple[str, Margin]] = {}
    for group in subject.scenario.herd:
        for key in (subject.key, *systems):
            if group in systems[key].margin:
                found[group] = key, systems[key].margin[group]
                break
    return found


def _margin(subject: AnnexSubject, group: str, system: str, margin: Margin) -> Iterator[Item]:
    about = subject.group_title(group)
    path = f"systems.{system}.margin.{group}"
    yield subject.given(
        f"{path}.price_per_lb",
        "price",
        "Sale price today",
        margin.price_per_lb,
        "currency/lb",
        about=about,
    )
    sold = margin.sold_per_head * margin.weight_lb
    for said, shown in (("with the system", subject.shown), ("today", subject.shown_today)):
        winter = shown["cost_per_head"].get(group)
        if winter is None or (said == "today" and subject.is_today):
            continue
        left = sold * margin.price_per_lb - margin.other_costs_per_head - winter
        yield subject.worked(
            "margin",
            f"Margin of an animal {said}",
            left,
            "currency/head/year",
            about,
            f"Sales less other costs and {winter:,.0f} for the winter, all told.",
        )
        if said == "with the system" and sold:
            price = (margin.other_costs_per_head + winter) / sold
            yield subject.worked(
                "price_needed", "Sale price at which it is nil", price, "currency/lb", about
            )


def security_block(subject: AnnexSubject) -> Block:
    """Return what is built as a lender looks at it."""
    items = [item for built, told in subject.new for item in _security(subject, built, told)]
    remark = "" if items else "Nothing new is built."
    return Block("security", "Security", items, shape="grid", remark=remark)


def _security(subject: AnnexSubject, item: Built, told: Document) -> Iterator[Item]:
    about, kind = subject.title_of(item), item.structure.kind
    yield subject.worked("first_cost", "First cost", told["cost"], "currency", about)
    word = "portable" if kind in PORTABLE else "either, as installed" if kind in EITHER else "fixed"
    yield stated("fixed", "Portable or fixed", word, about)
    yield _land(subject, item, about)
    yield subject.worked("life", "Life counted", told["life_years"], "year", about)
    yield subject.reference(
        f"structure.{kind}.salvage_fraction", "resale", "Worth at its end, of first cost", about
    )


def _land(subject: AnnexSubject, item: Built, about: str) -> Item:
    key = item.structure.field
    if key is None:
        return unknown("land", "Land", about, "The field it stands on is not named.")
    field = subject.scenario.land.fields[key]
    said = f"{field.tenure}: {named(field.title, key)}"
    if field.tenure == "rented":
        left = field.lease_years_left
        said += ", lease end not known" if left is None else f", lease {left:g} years left"
    return subject.given(f"land.fields.{key}.tenure", "land", "Land", said, about=about)


def unanswered_block(subject: AnnexSubject) -> Block:
    """Return what of security nobody was asked, and what of tax is left out."""
    del subject
    items = [
        unknown("insured_value", "Insured value"),
        unknown("liens", "Liens on herd and machines"),
        Item(
            line="tax",
            title="Income tax",
            value="not included",
            origin="stated",
            source=TAX_SOURCE,
            mark="from memory",
            note="Cost-share may be income. What is built is written off by tax rules, not by the "
            "lives used here. See your preparer.",
        ),
    ]
    return Block("tax", "Security and tax, not included", items)
