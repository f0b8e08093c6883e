"""Changes: one revision after another, and nobody's is lost."""

from contextlib import contextmanager

import pytest

from service.costing.errors import InputError
from service.scenarios import errors
from service.scenarios.keeping import patch, put_in_bin, replace
from tests.support.desks import (
    ADMIN,
    WRITER,
    done,
    holder,
    kept,
    now_of,
    opened_desk,
)
from tests.support.fake_store import FakeStore
from tests.support.offices import START, small_document


def faults_of(refusal):
    return {fault.input: fault for fault in refusal.value.faults}


def test_a_document_is_replaced_by_a_new_revision_and_the_old_one_stays():
    desk = opened_desk()
    first = kept(desk)
    later = desk.now.forward(hours=1)
    second = replace(
        desk,
        holder(desk, first.head.id, "edit"),
        first.head.id,
        1,
        small_document(name="Sorrel", external_id="T-2"),
        "renamed",
    )
    assert now_of(desk, first.head.id) == second
    assert (second.head.revision, second.head.name, second.head.external_id) == (2, "Sorrel", "T-2")
    assert (second.head.created_at, second.head.updated_at) == (START, later)
    assert (second.revision.made_by, second.revision.remark) == ("put", "renamed")
    assert second.revision.author_label == "edit link"
    assert done(desk)[-1] == ("scenario.change", first.head.id, 2)
    with desk.store.reading() as session:
        assert session.scenarios.revision(first.head.id, 1) == first.revision


def test_a_patch_changes_what_it_names_and_a_list_as_a_whole():
    desk = opened_desk()
    first = kept(desk, name="Tansy", price_year=2026)
    name = first.document["baseline"]
    plan = first.document["systems"][name]["plan"][::-1]
    second = patch(
        desk,
        WRITER,
        first.head.id,
        1,
        {
            "hay": {"price_per_ton": 131},
            "price_year": None,
            "systems": {name: {"plan": plan}},
        },
    )
    assert second.revision.made_by == "patch"
    assert second.document["hay"] == first.document["hay"] | {"price_per_ton": 131}
    assert "price_year" not in second.document
    assert second.document["systems"][name]["plan"] == plan
    assert second.document["name"] == "Tansy"


def test_a_patch_that_removes_the_baseline_is_refused_naming_it():
    desk = opened_desk()
    made = kept(desk)
    baseline = made.document["baseline"]
    other = {**made.document["systems"][baseline], "title": "Another"}
    patch(desk, WRITER, made.head.id, 1, {"systems": {"another": other}})
    with pytest.raises(InputError) as refusal:
        patch(desk, WRITER, made.head.id, 2, {"systems": {baseline: None}})
    fault = faults_of(refusal)["baseline"]
    assert fault.received == baseline
    assert baseline in fault.detail
    assert now_of(desk, made.head.id).head.revision == 2


def test_a_patch_that_is_no_object_takes_the_place_of_all_and_so_is_no_scenario():
    desk = opened_desk()
    made = kept(desk)
    with pytest.raises(InputError):
        patch(desk, WRITER, made.head.id, 1, ["a"])


def test_a_stale_change_is_refused_with_the_inputs_that_differ():
    desk = opened_desk()
    scenario = kept(desk, price_year=2026).head.id
    patch(desk, WRITER, scenario, 1, {"hay": {"price_per_ton": 131}, "price_year": None})
    for change in (
        lambda: replace(desk, WRITER, scenario, 1, small_document(name="Mine")),
        lambda: patch(desk, WRITER, scenario, 1, {"name": "Mine"}),
        lambda: put_in_bin(desk, WRITER, scenario, 1),
        lambda: patch(desk, WRITER, scenario, 1, {"baseline": "nowhere"}),
    ):
        with pytest.raises(errors.StaleRevisionError) as refusal:
            change()
        assert refusal.value.current == 2
        assert list(refusal.value.differing) == ["hay.price_per_ton", "price_year"]
    assert now_of(desk, scenario).head.revision == 2


@pytest.mark.parametrize("expected", [0, -1, 3, 10**30])
def test_a_revision_that_never_was_is_stale_without_differences(expected):
    desk = opened_desk()
    scenario = kept(desk).head.id
    with pytest.raises(errors.StaleRevisionError) as refusal:
        patch(desk, WRITER, scenario, expected, {"name": "Mine"})
    assert (refusal.value.current, list(refusal.value.differing)) == (1, [])
    with pytest.raises(errors.StaleRevisionError):
        put_in_bin(desk, WRITER, scenario, expected)


def test_no_more_than_fifty_differing_inputs_are_named():
    desk = opened_desk()
    scenario = kept(desk, name="Tansy").head.id
    field = small_document()["land"]["fields"]["hill_field"]
    more = {f"field_{number}": field for number in range(20)}
    patch(desk, WRITER, scenario, 1, {"land": {"fields": more}})
    with pytest.raises(errors.StaleRevisionError) as refusal:
        patch(desk, WRITER, scenario, 1, {"name": "Mine"})
    assert len(refusal.value.differing) == 50


def test_the_repeat_of_a_change_that_was_applied_changes_nothing():
    desk = opened_desk()
    scenario = kept(desk).head.id
    price = {"hay": {"price_per_ton": 131}}
    second = patch(desk, WRITER, scenario, 1, price)
    assert patch(desk, WRITER, scenario, 1, price) == second
    assert replace(desk, WRITER, scenario, 1, second.document) == second
    assert replace(desk, WRITER, scenario, 2, second.document) == second
    third = patch(desk, WRITER, scenario, 2, {"name": "Sorrel"})
    assert patch(desk, WRITER, scenario, 1, price) == third
    assert [revision for action, _, revision in done(desk) if action == "scenario.change"] == [2, 3]


class Meddled(FakeStore):
    """A store in which somebody else acts just before the next writing session."""

    meddle = None

    @contextmanager
    def writing(self):
        """Open a session once the other has acted."""
        meddle, self.meddle = self.meddle, None
        if meddle:
            meddle()
        with super().writing() as session:
            yield session


def test_whoever_loses_the_race_is_refused_and_the_other_change_stands():
    desk = opened_desk(store=Meddled())
    scenario = kept(desk).head.id
    desk.store.meddle = lambda: patch(desk, ADMIN, scenario, 1, {"hay": {"price_per_ton": 131}})
    with pytest.raises(errors.StaleRevisionError) as refusal:
        patch(desk, WRITER, scenario, 1, {"name": "Mine"})
    assert (refusal.value.current, list(refusal.value.differing)) == (2, ["hay.price_per_ton"])
    assert now_of(desk, scenario).document["hay"]["price_per_ton"] == 131


def test_whoever_loses_the_race_to_the_same_change_is_answered_with_it():
    desk = opened_desk(store=Meddled())
    scenario = kept(desk).head.id
    desk.store.meddle = lambda: patch(desk, ADMIN, scenario, 1, {"name": "Ours"})
    answer = patch(desk, WRITER, scenario, 1, {"name": "Ours"})
    assert (answer.head.revision, answer.revision.author_id) == (2, ADMIN.credential_id)


def test_a_change_that_meets_the_bin_on_its_way_is_refused():
    desk = opened_desk(store=Meddled())
    scenario = kept(desk).head.id
    desk.store.meddle = lambda: put_in_bin(desk, ADMIN, scenario, 1)
    with pytest.raises(errors.BinnedError):
        patch(desk, WRITER, scenario, 1, {"name": "Mine"})


def test_a_change_is_made_after_all_if_the_scenario_comes_back_from_the_bin_meanwhile():
    class OnceRefused(Meddled):
        refusals = 1

        @contextmanager
        def writing(self):
            """Open a session in which the first change meets a scenario that moved."""
            with super().writing() as session:
                advance = session.scenarios.advance

                def refusing(head, revision):
                    self.refusals -= 1
                    return self.refusals < 0 and advance(head, revision)

                object.__setattr__(session.scenarios, "advance", refusing)
                yield session

    desk = opened_desk(store=OnceRefused())
    scenario = kept(desk).head.id
    assert patch(desk, WRITER, scenario, 1, {"name": "Mine"}).head.revision == 2
    assert now_of(desk, scenario).head.name == "Mine"


def test_whoever_has_a_link_is_not_told_which_other_scenario_has_an_external_id():
    desk = opened_desk()
    kept(desk, external_id="T-1")
    mine = kept(desk).head.id
    with pytest.raises(InputError) as refusal:
        patch(desk, holder(desk, mine, "edit"), mine, 1, {"external_id": "T-1"})
    assert set(faults_of(refusal)) == {"external_id"}
    with pytest.raises(errors.ExternalIdTakenError):
        patch(desk, WRITER, mine, 1, {"external_id": "T-1"})
