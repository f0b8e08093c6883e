"""What differs between two documents: held against the documents and the catalogue themselves."""

import re
from copy import deepcopy
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.costing.document import leaves
from service.costing.input_catalog import inputs
from service.costing.overrides import with_settings
from service.scenarios.changes import Change, changes_between, value_at
from tests.scenarios.kept_farms import NAMES, farm
from tests.support import situations as of

FARMS = ("demo", *NAMES)
ITEMS = (
    "systems.pack_barn",
    "systems.grass_first.plan.bench_grass",
    "systems.lot_open_rings.structures.rings",
    "herd.ewes",
    "land.fields.ridge",
    "machines.spreader",
    "winter.rows.2018-19",
    "finance.loan",
)


def other(value):
    """Return another value of the same sort."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value + 1
    if isinstance(value, list):
        return [*value, "another"]
    return f"{value}_other"


def settable(document):
    """Return the paths of all values but those that name an item or say which inputs it has."""
    names = {"key", "season", "method", "kind"}
    return [
        path
        for path in leaves(document)
        if path.rpartition(".")[2] not in names and value_at(document, path) is not None
    ]


@cache
def all_changed(name):
    """Return a farm, the same with every value changed but its currency, and the changes."""
    before = farm(name)
    after = before
    for path in settable(before):
        if path != "currency":
            after = with_settings(after, {path: other(value_at(before, path))})
    return before, after, changes_between(before, after)


def one_change(before, after):
    """Return the only change that there is."""
    [change] = changes_between(before, after)
    return change


@pytest.mark.parametrize("name", FARMS)
def test_equal_documents_have_no_change(name):
    assert changes_between(farm(name), farm(name)) == []


@pytest.mark.parametrize("name", FARMS)
def test_every_value_that_is_changed_is_one_change_under_its_own_path(name):
    before, after, changes = all_changed(name)
    found = {change.input: change for change in changes}
    assert sorted([*found, "currency"]) == sorted(settable(before))
    for path, change in found.items():
        assert change.kind == "changed"
        assert change.before == value_at(before, path)
        assert change.after == other(change.before) == value_at(after, path)


@pytest.mark.parametrize("name", FARMS)
def test_title_and_unit_are_those_of_the_catalogue(name):
    known = [(pattern_of(entry.path), entry) for entry in inputs()]
    _, _, changes = all_changed(name)
    for change in changes:
        if change.input.startswith("assumptions."):
            continue
        fits = {
            (entry.title, entry.unit.replace("currency", "USD"))
            for pattern, entry in known
            if pattern.fullmatch(change.input)
        }
        assert (change.title, change.unit) in fits


def pattern_of(path):
    """Return what fits every path that a path of the catalogue stands for."""
    return re.compile(re.sub(r"<\w+>", r"[^.]+", re.sub(r"\.(?!<)|\.", r"\\.", path)))


@given(st.data())
@settings(max_examples=25)
def test_the_changed_values_set_in_the_first_document_give_the_second(data):
    before = farm(data.draw(st.sampled_from(FARMS)))
    some = st.lists(st.sampled_from(settable(before)), min_size=1, max_size=8, unique=True)
    wanted = {path: other(value_at(before, path)) for path in data.draw(some)}
    after = with_settings(before, wanted)
    found = changes_between(before, after)
    assert {change.input: change.after for change in found} == wanted
    assert with_settings(before, {change.input: change.after for change in found}) == after


@st.composite
def documents(draw):
    """Draw a farm that lacks some of its items and has other values elsewhere."""
    document = farm("demo")
    for path in draw(st.lists(st.sampled_from(ITEMS), unique=True)):
        remove(document, path)
    some = st.lists(st.sampled_from(settable(document)), max_size=5, unique=True)
    return with_settings(document, {path: other(value_at(document, path)) for path in draw(some)})


def remove(document, path):
    """Take an item out of a document."""
    outer, _, name = path.rpartition(".")
    node = document
    for part in outer.split("."):
        node = node[part]
    if isinstance(node, list):
        node[:] = [item for item in node if name not in {item.get("key"), item.get("season")}]
    else:
        del node[name]


@given(documents(), documents())
@settings(max_examples=25)
def test_the_way_back_mirrors_the_way_there(first, second):
    there, back = changes_between(first, second), changes_between(second, first)
    mirrored = {"added": "removed", "removed": "added", "changed": "changed"}
    assert sorted((c.input, c.kind, str(c.before), str(c.after)) for c in there) == sorted(
        (c.input, mirrored[c.kind], str(c.after), str(c.before)) for c in back
    )


@pytest.mark.parametrize("path", ITEMS)
def test_an_item_that_only_one_has_is_one_change(path):
    whole, part = farm("demo"), farm("demo")
    remove(part, path)
    item = whole
    for name in path.split("."):
        named = {i.get("key") or i.get("season"): i for i in item} if type(item) is list else item
        item = named[name]
    removed, added = one_change(whole, part), one_change(part, whole)
    assert (removed.input, removed.kind, removed.before, removed.after) == (
        path,
        "removed",
        item,
        None,
    )
    assert (added.input, added.kind, added.before, added.after) == (path, "added", None, item)


def test_an_item_is_called_by_its_title_or_its_name_in_words():
    def without(path):
        part = farm("demo")
        remove(part, path)
        return one_change(farm("demo"), part).title

    assert without("systems.pack_barn") == "Hoop barn with bedded pack"
    assert without("systems.grass_first.plan.bench_grass") == "Bench grass"
    assert without("machines.spreader") == "Spreader"


def test_steps_in_another_order_are_one_change_of_the_plan():
    before, after = farm("demo"), farm("demo")
    after["systems"]["lot_open_rings"]["plan"].reverse()
    change = one_change(before, after)
    assert (change.input, change.kind) == ("systems.lot_open_rings.plan", "changed")
    assert (change.before, change.after) == (["cattle", "sheep"], ["sheep", "cattle"])


def test_a_step_put_first_leaves_the_others_alone():
    before, after = farm("demo"), farm("demo")
    plan = after["systems"]["lot_open_rings"]["plan"]
    plan.insert(0, {**plan[0], "key": "early", "max_days": 10})
    assert one_change(before, after).input == "systems.lot_open_rings.plan.early"


def test_a_step_that_is_given_the_key_it_had_by_its_method_is_no_change():
    before = of.farm()
    after = deepcopy(before)
    after["systems"]["lot"]["plan"][0]["key"] = "sacrifice_lot"
    assert changes_between(before, after) == []


def test_null_is_the_same_as_not_given():
    before, after = farm("demo"), farm("demo")
    del before["finance"]["loan"]
    after["finance"]["loan"] = None
    after["supplement"] = None
    after["land"]["acres_repaired_last_spring"] = None
    after["animal_losses"] = {}
    assert changes_between(before, after) == []


def test_a_value_given_for_the_first_time_is_added_and_one_taken_back_removed():
    before = farm("demo")
    after = with_settings(before, {"land.acres_repaired_last_spring": 4})
    path, title = "land.acres_repaired_last_spring", "Acres repaired last spring"
    assert one_change(before, after) == Change(path, title, "acre", "added", None, 4)
    assert one_change(after, before) == Change(path, title, "acre", "removed", 4, None)


def test_nought_is_a_value():
    before = with_settings(farm("demo"), {"land.acres_repaired_last_spring": 0})
    assert one_change(farm("demo"), before).kind == "added"
    assert one_change(before, with_settings(before, {"hay.bales_on_hand": 0})).after == 0


def test_an_assumption_is_called_by_its_key_in_words():
    before = farm("demo")
    after = with_settings(before, {"assumptions.hay_waste.ring_open": 0.19})
    change = one_change(before, after)
    assert change.input == "assumptions.hay_waste.ring_open"
    assert (change.title, change.unit, change.whose) == ("Hay waste, ring open", "fraction", ())


def test_an_assumption_in_money_has_the_currency_and_a_word_has_no_unit():
    before = farm("demo")
    cost = with_settings(before, {"assumptions.stockpile.spreading_cost_per_acre": 8})
    assert one_change(before, cost).unit == "USD/acre"
    word = with_settings(before, {"assumptions.mud_level.feeding_pad.wet": "deep"})
    assert one_change(before, word).unit == ""


def test_an_assumption_of_no_known_shape_is_told_without_a_unit():
    before = farm("demo")
    after = with_settings(before, {"assumptions.no_such.key": 1})
    change = one_change(before, after)
    assert (change.title, change.unit) == ("No such, key", "")


def test_a_presentation_is_one_value_or_one_for_each_group():
    words = of.farm({"lot": {"plan": [of.on_lot(presentation="ring_open")]}})
    groups = of.farm({"lot": {"plan": [of.on_lot()]}})
    path = "systems.lot.plan.sacrifice_lot.presentation"
    change = one_change(words, groups)
    assert (change.input, change.before) == (path, "ring_open")
    assert change.after == {of.COWS: "ring_open", of.EWES: "sheep_rack"}
    assert change.title == "Presentation"
    other_rack = with_settings(groups, {f"{path}.ewes": "bunk"})
    change = one_change(groups, other_rack)
    assert (change.input, change.before, change.after) == (f"{path}.ewes", "sheep_rack", "bunk")


def test_a_step_of_another_method_is_told_by_what_it_has_and_has_not():
    before = of.farm({"pad": of.all_systems()["pad"]})
    after = deepcopy(before)
    step = after["systems"]["pad"]["plan"][0] | {"key": "feeding_pad", "method": "bedded_pack"}
    after["systems"]["pad"]["plan"] = [step | {"structure": "barn"}]
    found = {change.input.rpartition(".")[2]: change for change in changes_between(before, after)}
    assert sorted(found) == ["method", "structure"]
    assert found["structure"].title == "Barn"


def test_units_of_money_carry_the_currency_if_it_is_one():
    before = farm("demo")
    dearer = with_settings(before, {"hay.price_per_ton": 131})
    assert one_change(before, dearer).unit == "USD/ton"
    found = changes_between(before, with_settings(dearer, {"currency": "NZD"}))
    assert {change.input: change.unit for change in found} == {
        "hay.price_per_ton": "currency/ton",
        "currency": "",
    }


def test_a_document_that_names_no_currency_is_in_the_usual_one():
    before = of.farm()
    assert "currency" not in before
    change = one_change(before, with_settings(before, {"hay.price_per_ton": 131}))
    assert change.unit == "USD/ton"


def test_what_an_input_belongs_to_is_named():
    before = farm("demo")
    path = "systems.lot_better_feeders.structures.rings.price"
    change = one_change(before, with_settings(before, {path: 7000}))
    assert change.whose == ("Same lot, better feeders, hay kept dry", "Rings with a solid bottom")
    assert "whose" not in change.as_document()


def test_what_is_not_there_has_no_value():
    document = farm("demo")
    assert value_at(document, "hay.price_per_ton") == 98
    assert value_at(document, "hay.price_per_bale") is None
    assert value_at(document, "systems.no_such.title") is None
    assert value_at(document, "winter.rows.2018-19.ground_days.wet") == 69
    assert value_at(document, "systems.lot_open_rings.plan") == ["cattle", "sheep"]
