"""Questions asked of a scenario: answered once and kept, queued where they take long."""

from dataclasses import replace

import pytest

from service.analysis.questions import QUESTIONS, Risk, WinterTypes, document_of, question_of
from service.analysis.work import QUICK_PARTS
from service.costing.errors import InputError
from service.scenarios import analyses, erasure, keeping
from service.scenarios.analyses import KEPT_DAYS, MOST_WAITING, Asked
from service.scenarios.errors import (
    BinnedError,
    JobEndedError,
    TooLittleAccessError,
    TooManyJobsError,
    UnknownPartError,
    UnknownScenarioError,
)
from service.scenarios.records import Job
from service.scenarios.retention import tidy
from service.scenarios.working import work_on_next
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
from tests.support.made_up_work import ASKED, QUESTION, answer, made_up

ABSENT = "an_01JD5B7Q0M3T8X2Y6Z9A1C4E5G"


@pytest.fixture
def desk():
    return opened_desk()


@pytest.fixture
def scenario(desk):
    return kept(desk).head.id


def ask(desk, scenario, asked=ASKED, who=WRITER):
    return analyses.ask(desk, who, scenario, asked)


def standing(desk, job, who=READER) -> Job:
    with desk.store.reading() as session:
        return analyses.analysis(session, who, job.scenario_id, job.id)


@pytest.mark.parametrize("parts", [1, QUICK_PARTS])
def test_what_is_quick_is_answered_and_kept_at_once(desk, scenario, monkeypatch, parts):
    work = made_up(monkeypatch, parts)
    job, is_new = ask(desk, scenario)
    assert is_new
    assert work.done == list(range(parts))
    assert (job.state, job.done, job.total, job.attempts) == ("done", parts, parts, 0)
    assert job.created_at == job.started_at == job.finished_at == desk.now()
    assert (job.expires_at - job.created_at).days == KEPT_DAYS
    assert analyses.result_of(job) == answer(parts)
    assert standing(desk, job) == job
    assert (job.question, job.seed, job.revision) == ("risk", QUESTION.seed, 1)
    assert analyses.request_of(job) == document_of(QUESTION) | {"set": {}}
    assert not work_on_next(desk, "A")


def test_what_takes_long_waits_for_a_worker(desk, scenario, monkeypatch):
    work = made_up(monkeypatch, QUICK_PARTS + 1)
    job, _ = ask(desk, scenario)
    assert (job.state, job.done, job.total, job.result) == ("queued", 0, QUICK_PARTS + 1, None)
    assert work.done == []
    assert work_on_next(desk, "A")
    assert analyses.result_of(standing(desk, job)) == answer(QUICK_PARTS + 1)


@pytest.mark.parametrize("parts", [1, 5])
def test_the_same_question_is_answered_once(desk, scenario, monkeypatch, parts):
    work = made_up(monkeypatch, parts)
    first, _ = ask(desk, scenario)
    desk.now.forward(days=1)
    again = ask(desk, scenario, who=ADMIN)
    assert again == (first, False)
    assert len(work.done) == (parts if parts <= QUICK_PARTS else 0)
    assert [one for one in done(desk) if one[0] == "analysis.create"] == [
        ("analysis.create", first.id, 1)
    ]


@pytest.mark.parametrize(
    "other",
    [
        Asked(replace(QUESTION, seed=12)),
        Asked(replace(QUESTION, draws=8)),
        Asked(WinterTypes()),
        Asked(QUESTION, settings={"hay.price_per_ton": 99}),
    ],
)
def test_another_question_is_another_analysis(desk, scenario, monkeypatch, other):
    made_up(monkeypatch, 1)
    first, _ = ask(desk, scenario)
    second, is_new = ask(desk, scenario, other)
    assert is_new
    assert second.id != first.id
    assert second.request_key != first.request_key


def test_another_revision_engine_or_scenario_is_asked_anew(desk, scenario, monkeypatch):
    made_up(monkeypatch, 1)
    first, _ = ask(desk, scenario)
    keeping.patch(desk, WRITER, scenario, 1, {"hay": {"price_per_ton": 131}})
    newest, is_new = ask(desk, scenario)
    assert (newest.revision, is_new) == (2, True)
    assert ask(desk, scenario, replace(ASKED, revision=1)) == (first, False)
    newer = replace(desk, engine_version="99.0.0")
    assert ask(newer, scenario, replace(ASKED, revision=1))[1]
    elsewhere, is_new = ask(desk, kept(desk).head.id)
    assert is_new
    assert elsewhere.request_key == first.request_key  # kept apart by the scenario alone


def test_settings_in_another_order_are_the_same_question(desk, scenario, monkeypatch):
    made_up(monkeypatch, 1)
    settings = {"hay.price_per_ton": 99, "prices.labor_per_hour": 21}
    first, _ = ask(desk, scenario, Asked(QUESTION, settings=settings))
    turned = dict(reversed(settings.items()))
    assert ask(desk, scenario, Asked(QUESTION, settings=turned)) == (first, False)


def test_settings_change_what_is_asked_of(desk, scenario, monkeypatch):
    subjects = []
    work = made_up(monkeypatch, 1)
    monkeypatch.setattr(
        analyses, "prepared", lambda subject, _question: subjects.append(subject) or work
    )
    ask(desk, scenario, Asked(QUESTION, settings={"hay.price_per_ton": 99}))
    assert subjects[0].scenario.hay.price_per_ton == 99
    kept_still = now_of(desk, scenario)
    assert kept_still.revision.number == 1
    assert kept_still.document["hay"]["price_per_ton"] != 99


@pytest.mark.parametrize(
    "settings", [{"hay.price": 99}, {"hay.price_per_ton": -1}, {"hay.price_per_ton": "dear"}]
)
def test_settings_that_cannot_be_are_refused_and_nothing_is_kept(desk, scenario, settings):
    with pytest.raises(InputError) as refused:
        ask(desk, scenario, Asked(QUESTION, settings=settings))
    assert [fault.input for fault in refused.value.faults] == list(settings)
    with desk.store.reading() as session:
        assert analyses.analyses(session, READER, scenario, None, 9) == []


def test_what_is_passed_on_is_called_once_before_the_commit(desk, scenario, monkeypatch):
    made_up(monkeypatch, 1)
    heard = []
    first = analyses.ask(desk, WRITER, scenario, ASKED, lambda _, made: heard.append(made))
    again = analyses.ask(desk, WRITER, scenario, ASKED, lambda _, made: heard.append(made))
    assert heard == [first, again]
    assert [is_new for _, is_new in heard] == [True, False]

    def fail(_session, _made):
        message = "the answer could not be kept"
        raise RuntimeError(message)

    with pytest.raises(RuntimeError):
        analyses.ask(desk, WRITER, scenario, Asked(WinterTypes()), fail)
    with desk.store.reading() as session:
        assert len(analyses.analyses(session, READER, scenario, None, 9)) == 1


def test_a_question_asked_twice_at_once_is_kept_once(desk, scenario, monkeypatch):
    twins = []
    work = made_up(monkeypatch, 1)

    def meanwhile(_number):
        work.before_part = lambda _: None
        twins.append(ask(desk, scenario))

    work.before_part = meanwhile
    found, is_new = ask(desk, scenario)
    assert not is_new
    assert twins == [(found, True)]


def test_an_office_may_have_only_so_much_waiting(desk, scenario, monkeypatch):
    made_up(monkeypatch, 5)
    for seed in range(MOST_WAITING):
        ask(desk, scenario, Asked(Risk(seed=seed)))
    with pytest.raises(TooManyJobsError):
        ask(desk, scenario, Asked(Risk(seed=MOST_WAITING)))
    assert ask(desk, scenario, Asked(Risk(seed=0)))[1] is False
    work_on_next(desk, "A")
    assert ask(desk, scenario, Asked(Risk(seed=MOST_WAITING)))[1]


def test_who_may_ask_cancel_and_forget(desk, scenario, monkeypatch):
    made_up(monkeypatch, 5)
    job, _ = ask(desk, scenario)
    for who in (READER, holder(desk, scenario, "read"), holder(desk, scenario, "edit")):
        assert standing(desk, job, who) == job
        with pytest.raises(TooLittleAccessError):
            ask(desk, scenario, who=who)
        with pytest.raises(TooLittleAccessError):
            analyses.cancel(desk, who, scenario, job.id)
        with pytest.raises(TooLittleAccessError):
            analyses.forget(desk, who, scenario, job.id)
    for act in (
        lambda: ask(desk, scenario, who=STRANGER),
        lambda: standing(desk, job, STRANGER),
        lambda: analyses.cancel(desk, STRANGER, scenario, job.id),
        lambda: analyses.forget(desk, STRANGER, scenario, job.id),
    ):
        with pytest.raises(UnknownScenarioError):
            act()
    assert standing(desk, job) == job


def test_what_is_not_there_is_told_apart(desk, scenario, monkeypatch):
    made_up(monkeypatch, 5)
    with pytest.raises(UnknownPartError, match="revision 2"):
        ask(desk, scenario, replace(ASKED, revision=2))
    for act in (analyses.cancel, analyses.forget):
        with pytest.raises(UnknownPartError):
            act(desk, WRITER, scenario, ABSENT)
    job, _ = ask(desk, scenario)
    keeping.put_in_bin(desk, WRITER, scenario, 1)
    for act in (lambda: ask(desk, scenario), lambda: standing(desk, job)):
        with pytest.raises(BinnedError):
            act()
    erasure.erase(desk, ADMIN, scenario)
    with pytest.raises(UnknownScenarioError):
        ask(desk, scenario)


def test_an_analysis_of_another_scenario_is_not_found(desk, scenario, monkeypatch):
    made_up(monkeypatch, 1)
    job, _ = ask(desk, kept(desk).head.id)
    with desk.store.reading() as session, pytest.raises(UnknownPartError):
        analyses.analysis(session, READER, scenario, job.id)


def test_what_waits_is_cancelled_at_once_and_only_once(desk, scenario, monkeypatch):
    made_up(monkeypatch, 5)
    job, _ = ask(desk, scenario)
    assert analyses.cancel(desk, WRITER, scenario, job.id).state == "cancelled"
    with pytest.raises(JobEndedError) as refused:
        analyses.cancel(desk, WRITER, scenario, job.id)
    assert refused.value.state == "cancelled"
    assert not work_on_next(desk, "A")
    assert ask(desk, scenario)[1]


def test_acts_are_audited_by_ids(desk, scenario, monkeypatch):
    made_up(monkeypatch, 5)
    job, _ = ask(desk, scenario)
    analyses.cancel(desk, WRITER, scenario, job.id)
    analyses.forget(desk, WRITER, scenario, job.id)
    assert done(desk)[-3:] == [
        ("analysis.create", job.id, 1),
        ("analysis.cancel", job.id, 1),
        ("analysis.delete", job.id, 1),
    ]


def test_analyses_are_listed_newest_first_without_results(desk, scenario, monkeypatch):
    made_up(monkeypatch, 1)
    asked = []
    for seed in range(3):
        desk.now.forward(seconds=1)
        asked.append(ask(desk, scenario, Asked(Risk(seed=seed)))[0])
    with desk.store.reading() as session:
        page = analyses.analyses(session, READER, scenario, None, 2)
        rest = analyses.analyses(session, READER, scenario, page[-1].id, 2)
    assert [one.seed for one in (*page, *rest)] == [2, 1, 0]
    assert not any(isinstance(one, Job) for one in page)


def test_an_analysis_is_forgotten_with_time_and_with_its_scenario(desk, scenario, monkeypatch):
    made_up(monkeypatch, 1)
    job, _ = ask(desk, scenario)
    desk.now.forward(days=KEPT_DAYS)
    tidy(desk)
    assert standing(desk, job, WRITER) == job
    desk.now.forward(seconds=1)
    tidy(desk)
    with pytest.raises(UnknownPartError):
        standing(desk, job, WRITER)


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_question_comes_back_from_its_document(name):
    filled = {
        "break_even": {"input": "hay.price_per_ton", "low": 1, "high": 2, "systems": ["a", "b"]},
        "sensitivity": {"inputs": ["hay.price_per_ton"], "ranges": {"hay.price_per_ton": [1, 2]}},
        "risk": {"vary": {"hay.price_per_ton": {"low": 1, "usual": 2, "high": 3}}},
        "herd_size": {"system": "a", "head": {"input": "herd.cows.head", "values": [1, 2]}},
        "plans_within_limits": {"start_from": "a", "limits": {"labor_hours": 4}},
    }.get(name, {})
    question = question_of({"question": name, **filled})
    document = document_of(question)
    assert document["question"] == name
    assert filled.items() <= document.items() or name == "plans_within_limits"
    assert question_of(document) == question
