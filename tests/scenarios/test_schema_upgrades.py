"""Documents of an older schema: upgraded each time they are read, kept as they were written."""

import json

from service.scenarios.desk import Desk
from service.scenarios.history import revision
from service.scenarios.keeping import replace
from service.scenarios.schema_upgrades import FIRST_SCHEMA, UPGRADES, newest_schema, upgraded
from tests.support.desks import WRITER, kept, now_of, opened_desk


def price_moved(document):
    """Return the document in an invented schema 2: ``old_price`` became the price of hay."""
    hay = {**document["hay"], "price_per_ton": document["old_price"]}
    return {name: value for name, value in document.items() if name != "old_price"} | {"hay": hay}


def renamed(document):
    """Return the document in an invented schema 3: farms are named in capitals."""
    return document | {"name": document["name"].upper()}


STEPS = {1: price_moved, 2: renamed}


def later(desk: Desk, upgrades) -> Desk:
    """Return the same desk under a program that knows newer schemas."""
    return Desk(desk.store, desk.journal, desk.read, desk.peppers, desk.now, upgrades=upgrades)


def test_no_schema_has_been_left_behind_yet():
    assert UPGRADES == {}
    assert newest_schema() == FIRST_SCHEMA == 1
    assert upgraded({"a": 1}, 1) == {"a": 1}


def test_each_step_is_taken_from_the_schema_of_the_document_on():
    old = {"name": "Tansy", "hay": {"storage": "barn"}, "old_price": 90}
    assert newest_schema(STEPS) == 3
    assert upgraded(old, 1, STEPS) == {
        "name": "TANSY",
        "hay": {"storage": "barn", "price_per_ton": 90},
    }
    assert upgraded({"name": "Tansy"}, 2, STEPS) == {"name": "TANSY"}
    assert upgraded({"name": "Tansy"}, 3, STEPS) == {"name": "Tansy"}
    assert old == {"name": "Tansy", "hay": {"storage": "barn"}, "old_price": 90}


def test_an_old_revision_is_upgraded_on_reading_and_kept_as_it_was_written():
    desk = opened_desk()
    first = kept(desk, name="Tansy")
    newer = later(desk, {1: renamed})
    read = now_of(newer, first.head.id)
    assert read.document["name"] == "TANSY"
    assert read.revision.document_schema == 1
    assert json.loads(read.revision.document)["name"] == "Tansy"


def test_what_is_written_has_the_newest_schema_and_its_history_stays_readable():
    desk = later(opened_desk(), {})
    first = kept(desk, name="Tansy")
    newer = later(desk, {1: renamed})
    document = now_of(newer, first.head.id).document
    same = replace(newer, WRITER, first.head.id, 1, document)
    assert same.head.revision == 1
    second = replace(newer, WRITER, first.head.id, 1, document | {"price_year": 2025})
    assert second.revision.document_schema == 2
    assert now_of(newer, first.head.id).document["name"] == "TANSY"
    with newer.store.reading() as session:
        assert revision(session, newer, WRITER, first.head.id, 1).document["name"] == "TANSY"
