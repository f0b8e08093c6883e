"""What pages keep in memory: of a stored costing alone, of one scenario alone, and not for ever."""

import json

import pytest

from service.web.pages import answered_page
from service.web.pages.answered_page import ASKED, page_of
from tests.support.offices import small_document


@pytest.fixture
def drawn(monkeypatch):
    """Return how often questions were asked and pictures drawn."""
    ASKED.forget()
    times = []
    work = answered_page.pictures_of
    monkeypatch.setattr(answered_page, "pictures_of", lambda *a: times.append(a) or work(*a))
    yield times
    ASKED.forget()


def opened(keeping, scenario):
    assert keeping.get(f"/s/{keeping.link(scenario)}", None).status_code == 200


def test_a_stored_costing_is_asked_and_drawn_once(keeping, drawn):
    scenario = keeping.stored()
    opened(keeping, scenario)
    opened(keeping, scenario)
    assert len(drawn) == 1


def test_the_same_farm_of_another_scenario_is_asked_and_drawn_for_itself(keeping, drawn):
    document = small_document(external_id=None)
    opened(keeping, keeping.stored(document))
    opened(keeping, keeping.stored(document))
    assert len(drawn) == 2


def test_nothing_is_kept_of_a_costing_that_is_not_stored(keeping, drawn):
    body = json.loads(keeping.call.cost(small_document()).content)
    page_of(body)
    page_of(body)
    assert len(drawn) == 2


def test_what_was_drawn_goes_with_an_erased_scenario(keeping, drawn):
    stays = keeping.stored(small_document(external_id=None))
    opened(keeping, stays)
    erased = keeping.stored(small_document(external_id=None))
    assert keeping("POST", f"/v1/scenarios/{erased}/erasure", "admin", json={}).is_success
    opened(keeping, stays)
    assert len(drawn) == 2
