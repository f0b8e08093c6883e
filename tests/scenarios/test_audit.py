"""The audit: who did what, by ids alone."""

from dataclasses import astuple

import pytest

from service.scenarios import errors
from service.scenarios.audit import audited
from service.scenarios.sharing import make_link
from tests.support.desks import (
    ADMIN,
    READER,
    STRANGER,
    WRITER,
    holder,
    kept,
    now_of,
    opened_desk,
)


@pytest.fixture
def desk():
    return opened_desk()


@pytest.fixture
def scenario(desk):
    return kept(desk).head.id


def test_the_audit_is_for_the_admin_and_about_the_office(desk, scenario):
    for who in (READER, WRITER, holder(desk, scenario, "edit")):
        with desk.store.reading() as session, pytest.raises(errors.TooLittleAccessError):
            audited(session, who, None, None, 10)
    with desk.store.reading() as session:
        every = audited(session, ADMIN, None, None, 10)
        assert [entry.action for entry in every] == ["link.create", "scenario.create"]
        assert audited(session, ADMIN, None, every[0].number, 10) == every[1:]
        assert audited(session, ADMIN, scenario, None, 10) == every[1:]
        assert audited(session, ADMIN, "a\0b", None, 10) == []
        assert audited(session, STRANGER, None, None, 10) == []
        assert every[0].request_id == WRITER.request_id


def test_the_audit_holds_ids_alone(desk, scenario):
    make_link(desk, WRITER, scenario, "read", "the farmer's phone", 90)
    told = repr([astuple(entry) for entry in desk.store.tables.audit.values()])
    for text in ("phone", "laptop", now_of(desk, scenario).head.name):
        assert text not in told
