"""Scenarios made, copied, binned and listed."""

import json
from hashlib import sha256

import pytest

from service.costing.errors import InputError
from service.costing.reference.table import newest_edition
from service.scenarios import errors
from service.scenarios.drafts import keyed
from service.scenarios.keeping import (
    copy,
    create,
    current,
    listed,
    patch,
    put_in_bin,
    replace,
    take_from_bin,
)
from service.scenarios.repositories import Listing
from tests.support.desks import (
    ADMIN,
    READER,
    STRANGER,
    WRITER,
    done,
    holder,
    kept,
    now_of,
    opened_desk,
)
from tests.support.offices import START, numbered, small_document

LOT = {"method": "sacrifice_lot", "field": "creek_lot", "presentation": "ring_open"}


def faults_of(refusal):
    return {fault.input: fault for fault in refusal.value.faults}


def scenarios(desk):
    with desk.store.reading() as session:
        return listed(session, ADMIN, Listing(200))


def test_a_new_scenario_is_kept_with_its_first_revision():
    desk = opened_desk()
    made = create(desk, WRITER, small_document(name="Tansy", external_id="T-1"), "  as told  ")
    assert now_of(desk, made.head.id) == made
    head, revision = made.head, made.revision
    assert head.id.startswith("sc_")
    assert (head.office_id, head.name, head.external_id) == (WRITER.office_id, "Tansy", "T-1")
    assert (head.revision, head.origin_id, head.created_at) == (1, None, START)
    assert (revision.number, revision.made_by, revision.made_from) == (1, "create", None)
    assert (revision.author_id, revision.author_label) == (WRITER.credential_id, WRITER.label)
    assert (revision.remark, revision.reference_edition) == ("as told", "none")
    assert revision.document_sha256 == sha256(revision.document.encode()).hexdigest()
    assert done(desk) == [("scenario.create", head.id, 1)]


def test_the_document_is_kept_in_the_order_in_which_it_was_sent():
    desk = opened_desk()
    sent = small_document()
    turned = dict(reversed(list(sent["systems"].items())))
    made = kept(desk, systems=turned)
    assert list(made.document["systems"]) == list(turned)
    assert list(json.loads(made.revision.document)["systems"]) == list(turned)


def test_the_newest_edition_is_written_into_a_document_that_names_none():
    desk = opened_desk()
    sent = small_document()
    del sent["reference_edition"]
    for document in (sent, sent | {"reference_edition": None}):
        made = create(desk, WRITER, document)
        assert made.document["reference_edition"] == newest_edition()
        assert made.revision.reference_edition == newest_edition()


def test_a_farm_without_a_name_is_called_unnamed():
    desk = opened_desk()
    for name in (None, "", "  "):
        assert kept(desk, name=name).head.name == "Unnamed farm"


def test_every_step_gets_a_key_that_later_steps_do_not_shift():
    desk = opened_desk()
    sent = small_document()
    name, system = next(iter(sent["systems"].items()))
    made = create(desk, WRITER, sent)
    plan = made.document["systems"][name]["plan"]
    assert [step["key"] for step in plan] == [
        step.get("key", step["method"]) for step in system["plan"]
    ]
    before = {step["key"]: step for step in plan}
    longer = json.loads(json.dumps(made.document))
    inserted = {key: value for key, value in plan[0].items() if key != "key"} | {"max_days": 1}
    longer["systems"][name]["plan"].insert(0, inserted)
    after = replace(desk, WRITER, made.head.id, 1, longer).document["systems"][name]["plan"]
    assert {step["key"]: step for step in after if step["key"] in before} == before
    assert after[0]["key"] == f"{plan[0]['method']}_2"


def test_keys_are_the_methods_and_numbered_from_the_second_on():
    assert [step["key"] for step in keyed([LOT, LOT, {**LOT, "key": "gate"}, LOT])] == [
        "sacrifice_lot",
        "sacrifice_lot_2",
        "gate",
        "sacrifice_lot_3",
    ]
    taken = keyed([LOT, LOT, {**LOT, "key": "sacrifice_lot_2"}, {**LOT, "key": "sacrifice_lot"}])
    assert len({step["key"] for step in taken}) == 4
    assert keyed(["no step", {"method": 3}, {"key": 7, "method": "pad"}]) == [
        "no step",
        {"method": 3},
        {"key": 7, "method": "pad"},
    ]


def test_every_fault_is_told_at_once_and_nothing_is_kept():
    desk = opened_desk()
    faulty = small_document(currency="dollars", baseline="nowhere")
    with pytest.raises(InputError) as refusal:
        create(desk, WRITER, faulty, "x" * 501)
    assert set(faults_of(refusal)) == {"currency", "baseline", "remark"}
    with pytest.raises(InputError) as refusal:
        create(desk, WRITER, small_document(baseline="nowhere"), "x" * 501)
    assert set(faults_of(refusal)) == {"baseline", "remark"}
    assert faults_of(refusal)["remark"].received == 501
    assert scenarios(desk) == []
    assert done(desk) == []


@pytest.mark.parametrize("document", [None, [], "farm", 3, {}, {"systems": {"a": {"plan": 3}}}])
def test_what_is_no_scenario_is_refused_with_its_faults(document):
    with pytest.raises(InputError):
        create(opened_desk(), WRITER, document)


def test_a_name_that_a_database_cannot_hold_is_refused():
    # PostgreSQL documentation, chapter 8.3: the character NUL cannot be stored in text.
    with pytest.raises(InputError) as refusal:
        kept(opened_desk(), name="Tansy\0", external_id="\0")
    assert set(faults_of(refusal)) == {"name", "external_id"}


def test_a_key_to_read_makes_nothing_and_a_link_neither():
    desk = opened_desk()
    friend = holder(desk, kept(desk).head.id, "edit")
    for who in (READER, friend):
        with pytest.raises(errors.TooLittleAccessError):
            create(desk, who, small_document())
    assert len(scenarios(desk)) == 1


def test_an_external_id_is_given_once_in_an_office_the_bin_included():
    desk = opened_desk()
    first = kept(desk, external_id="T-1").head.id
    kept(desk, STRANGER, external_id="T-1")
    with pytest.raises(errors.ExternalIdTakenError) as refusal:
        kept(desk, external_id="T-1")
    assert (refusal.value.scenario_id, refusal.value.binned) == (first, False)
    put_in_bin(desk, WRITER, first, 1)
    with pytest.raises(errors.ExternalIdTakenError) as refusal:
        kept(desk, external_id="T-1")
    assert refusal.value.binned


def test_a_failure_before_the_commit_undoes_all():
    desk = opened_desk()

    def broken(*_):
        raise RuntimeError

    with pytest.raises(RuntimeError):
        create(desk, WRITER, small_document(), then=broken)
    assert (scenarios(desk), done(desk)) == ([], [])


def test_a_copy_starts_a_life_of_its_own():
    desk = opened_desk()
    first = kept(desk, name="Tansy", external_id="T-1")
    patch(desk, WRITER, first.head.id, 1, {"hay": {"price_per_ton": 131}})
    made = copy(desk, WRITER, first.head.id, None, {"hay.price_per_ton": 98}, None, None)
    assert now_of(desk, made.head.id) == made
    assert (made.head.name, made.head.external_id) == ("Tansy (copy)", None)
    assert (made.head.origin_id, made.head.origin_revision) == (first.head.id, 2)
    assert (made.head.revision, made.revision.made_by) == (1, "copy")
    assert made.document["hay"]["price_per_ton"] == 98
    assert "external_id" not in made.document
    assert done(desk)[-1] == ("scenario.copy", made.head.id, 1)
    assert now_of(desk, first.head.id).document["hay"]["price_per_ton"] == 131


def test_a_copy_may_be_of_an_earlier_revision_and_have_names_of_its_own():
    desk = opened_desk()
    first = kept(desk, name="Tansy", external_id="T-1")
    patch(desk, WRITER, first.head.id, 1, {"hay": {"price_per_ton": 131}})
    made = copy(desk, WRITER, first.head.id, 1, {}, "Dear hay", "T-2")
    assert (made.head.name, made.head.external_id) == ("Dear hay", "T-2")
    assert made.head.origin_revision == 1
    assert made.document["hay"] == first.document["hay"]
    settings = {"name": "Set", "external_id": "T-3"}
    made = copy(desk, WRITER, first.head.id, 1, settings, None, None)
    assert (made.head.name, made.head.external_id) == ("Set", "T-3")


def test_the_name_of_a_copy_is_never_too_long():
    desk = opened_desk()
    made = copy(desk, WRITER, kept(desk, name="n" * 200).head.id, None, {}, None, None)
    assert len(made.head.name) == 200
    assert made.head.name.endswith("n (copy)")


def test_a_copy_that_cannot_be_made_is_refused():
    desk = opened_desk()
    first = kept(desk, external_id="T-1").head.id
    with pytest.raises(InputError) as refusal:
        copy(desk, WRITER, first, None, {"hay.prise_per_ton": 98}, None, None)
    assert faults_of(refusal)["hay.prise_per_ton"].suggestion == "hay.price_per_ton"
    with pytest.raises(errors.ExternalIdTakenError):
        copy(desk, WRITER, first, None, {}, None, "T-1")
    for number in (0, 2, 10**30):
        with pytest.raises(errors.UnknownPartError, match="no revision"):
            copy(desk, WRITER, first, number, {}, None, None)
    for who, error in (
        (READER, errors.TooLittleAccessError),
        (holder(desk, first, "edit"), errors.TooLittleAccessError),
        (STRANGER, errors.UnknownScenarioError),
    ):
        with pytest.raises(error):
            copy(desk, who, first, None, {}, None, None)
    assert len(scenarios(desk)) == 1


def test_the_bin_takes_a_scenario_and_gives_it_back_as_it_was():
    desk = opened_desk()
    made = kept(desk)
    scenario = made.head.id
    later = desk.now.forward(days=1)
    assert put_in_bin(desk, WRITER, scenario, 1).binned_at == later
    with pytest.raises(errors.BinnedError):
        now_of(desk, scenario)
    with pytest.raises(errors.BinnedError):
        put_in_bin(desk, WRITER, scenario, 1)
    with pytest.raises(errors.BinnedError):
        patch(desk, WRITER, scenario, 1, {"name": "Mine"})
    with pytest.raises(errors.TooLittleAccessError):
        take_from_bin(desk, READER, scenario)
    back = take_from_bin(desk, WRITER, scenario)
    assert back == now_of(desk, scenario)
    assert (back.revision, back.document) == (made.revision, made.document)
    assert back.head.binned_at is None
    with pytest.raises(errors.NotBinnedError):
        take_from_bin(desk, WRITER, scenario)
    assert [action for action, *_ in done(desk)] == [
        "scenario.create",
        "scenario.bin",
        "scenario.unbin",
    ]


def test_only_a_key_that_writes_puts_anything_into_the_bin():
    desk = opened_desk()
    scenario = kept(desk).head.id
    for who in (READER, holder(desk, scenario, "edit")):
        with pytest.raises(errors.TooLittleAccessError):
            put_in_bin(desk, who, scenario, 1)
    with pytest.raises(errors.UnknownScenarioError):
        put_in_bin(desk, STRANGER, scenario, 1)


def test_a_list_holds_the_scenarios_of_the_office_alone():
    desk = opened_desk()
    mine = kept(desk, external_id="T-1").head
    kept(desk, STRANGER)
    binned = kept(desk).head.id
    put_in_bin(desk, WRITER, binned, 1)
    with desk.store.reading() as session:
        assert listed(session, READER, Listing(10)) == [mine]
        assert listed(session, READER, Listing(10, external_id="T-1")) == [mine]
        assert listed(session, READER, Listing(10, external_id="T-\0")) == []
        assert [head.id for head in listed(session, ADMIN, Listing(10, binned=True))] == [binned]
        with pytest.raises(errors.TooLittleAccessError):
            listed(session, WRITER, Listing(10, binned=True))
    friend = holder(desk, mine.id, "read")
    with desk.store.reading() as session, pytest.raises(errors.TooLittleAccessError):
        listed(session, friend, Listing(10))


def test_reading_is_for_everybody_who_may_and_for_nobody_else():
    desk = opened_desk()
    scenario = kept(desk).head.id
    friend = holder(desk, scenario, "read")
    with desk.store.reading() as session:
        for who in (READER, WRITER, ADMIN, friend):
            assert current(session, desk, who, scenario).head.id == scenario
        with pytest.raises(errors.UnknownScenarioError):
            current(session, desk, STRANGER, scenario)
        with pytest.raises(errors.UnknownScenarioError):
            current(session, desk, WRITER, numbered("sc", 404))
