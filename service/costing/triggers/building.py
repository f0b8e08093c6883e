"""Triggers of what is built: consent, cost-share, digging, permits, roofs, gas, voltage."""

from service.costing.averages import largest
from service.costing.caution_table import Caution
from service.costing.triggers.facts import Facts, Trigger, Words, is_new, structure_names
from service.costing.wording import amount, listed, named


def _landlord(facts: Facts, caution: Caution) -> Words | None:
    del caution
    rented = [
        item
        for item in facts.system.construction.built
        if is_new(item)
        and item.structure.field is not None
        and facts.field(item.structure.field).tenure == "rented"
    ]
    return {"structures": structure_names(rented)} if rented else None


def _cost_share(facts: Facts, caution: Caution) -> Words | None:
    del caution
    shared = [
        item
        for item in facts.system.construction.built
        if item.structure.cost_share is not None and item.structure.cost_share.status != "paid"
    ]
    return {"structures": structure_names(shared)} if shared else None


def _to_be_built(facts: Facts, caution: Caution) -> Words | None:
    items = facts.structures(caution.kinds, new=True)
    return {"structures": structure_names(items)} if items else None


def _engineered(facts: Facts, caution: Caution) -> Words | None:
    """Ask for an engineer; a floor with tarps over the hay is no building, a hay barn is one."""
    items = [
        item
        for item in facts.structures(caution.kinds, new=True)
        if item.structure.kind != "hay_storage" or facts.storage == "barn"
    ]
    return {"structures": structure_names(items)} if items else None


def _roofs(facts: Facts, caution: Caution) -> Words | None:
    items = facts.structures(caution.kinds)
    if not items:
        return None
    return {
        "structures": structure_names(items),
        "days": amount(facts.most_days("snow_covered")),
    }


def _manure_gas(facts: Facts, caution: Caution) -> Words | None:
    roofed = {floor.floor.key for floor in facts.system.floors if floor.floor.roofed}
    items = [
        item
        for item in facts.system.construction.built
        if item.structure.kind in caution.kinds or item.key in roofed
    ]
    return {"structures": structure_names(items)} if items else None


def _stray_voltage(facts: Facts, caution: Caution) -> Words | None:
    items = facts.structures(caution.kinds)
    return {"structures": structure_names(items)} if items else None


def _winter_spreading(facts: Facts, caution: Caution) -> Words | None:
    del caution
    winters = facts.costing.winters
    used = [floor for floor in facts.system.floors if largest(winters, floor.tons) > 0]
    if not used:
        return None
    names = [named(item.floor.structure.title, item.floor.key) for item in used]
    return {
        "structures": listed(names),
        "tons": amount(sum(largest(winters, floor.tons) for floor in used)),
    }


BUILDING_TRIGGERS: dict[str, Trigger] = {
    "call_before_digging": _to_be_built,
    "cost_share_contract": _cost_share,
    "landlord_consent": _landlord,
    "licensed_engineer": _engineered,
    "manure_gas": _manure_gas,
    "snow_and_wind_on_roofs": _roofs,
    "stray_voltage": _stray_voltage,
    "wetland_flood_plain_permits": _to_be_built,
    "winter_spreading": _winter_spreading,
}
