"""Questions over HTTP: asked, answered at once or later, cancelled, forgotten."""

import json
import threading
import time

import pytest

from service.scenarios import analyses
from service.scenarios.working import work_on_next
from service.web.analysis_models import Analysis, AnalysisList, UnsavedAnalysis
from service.web.routes.analyses import SECONDS_BETWEEN_LOOKS
from tests.support.made_up_work import answer, made_up
from tests.support.offices import small_document
from tests.web.keeping import without_request_id

UNKNOWN = "sc_01JD4Q8Z3V9W7K2M5N6P8R0S1T"
ABSENT = "an_01JD5B7Q0M3T8X2Y6Z9A1C4E5G"
RISK = {"question": "risk", "draws": 7, "seed": 11}
TYPES = {"question": "winter_types"}
NOW = {"Prefer": "wait=0"}


@pytest.fixture
def scenario(keeping):
    return keeping.stored()


@pytest.fixture
def work(monkeypatch):
    """Return made-up work of five parts in the place of every question."""
    return made_up(monkeypatch)


def address(scenario, analysis=""):
    return f"/v1/scenarios/{scenario}/analyses" + (f"/{analysis}" if analysis else "")


def ask(keeping, scenario, question=RISK, by="write", **headers):
    return keeping("POST", address(scenario), by, json=question, headers=headers)


QUESTIONS = {
    "break_even": {
        "input": "hay.price_per_ton",
        "low": 20,
        "high": 400,
        "systems": ["rings", "bales_and_pad"],
    },
    "sensitivity": {"ranges": {"hay.price_per_ton": [70, 130], "prices.labor_per_hour": [15, 30]}},
    "risk": {"draws": 200, "seed": 5, "absolute_risk_aversion": [0, 0.0001]},
    "winter_types": {},
    "herd_size": {
        "system": "rings",
        "head": {"input": "herd.cows.head", "values": [20, 30]},
        "return_per_head": 1150,
        "other_costs_per_head": 520,
    },
    "plans_within_limits": {
        "start_from": "rings",
        "limits": {"acres_damaged": 5},
        "max_steps": 1,
        "most_plans": 50,
    },
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_each_question_is_answered_and_kept(keeping, scenario, question):
    asked = {"question": question, **QUESTIONS[question]}
    made = ask(keeping, scenario, asked)
    assert made.status_code == 201, made.text
    body = made.json()
    Analysis.model_validate_json(made.content)
    assert made.headers["Location"] == address(scenario, body["id"])
    assert made.headers["Cache-Control"] == "no-store"
    assert body["state"] == "done"
    assert body["progress"]["done"] == body["progress"]["total"]
    assert body["scenario"] == scenario
    assert body["result"]
    assert "warnings" not in body["result"]
    for name, value in asked.items():
        told = body["request"][name]
        assert told == value or value.items() <= told.items()
    read = keeping.get(made.headers["Location"], "read")
    assert (read.status_code, read.json()) == (200, body)
    assert "Retry-After" not in read.headers
    # What was asked, as it is told, is the same question.
    again = ask(keeping, scenario, body["request"])
    assert (again.status_code, again.json()) == (200, body)
    assert again.headers["Content-Location"] == made.headers["Location"]
    assert "Location" not in again.headers


@pytest.mark.parametrize("question", QUESTIONS)
def test_what_is_not_kept_is_answered_alike(keeping, scenario, question):
    asked = {"question": question, **QUESTIONS[question]}
    stored = ask(keeping, scenario, asked).json()
    of_scenario = keeping("POST", "/v1/analyses", "read", json={"scenario": scenario, **asked})
    document = keeping.get(f"/v1/scenarios/{scenario}").json()["document"]
    of_document = keeping("POST", "/v1/analyses", None, json={"document": document, **asked})
    for found, revision in ((of_scenario, 1), (of_document, None)):
        assert found.status_code == 200, found.text
        assert found.headers["Cache-Control"] == "no-store"
        UnsavedAnalysis.model_validate_json(found.content)
        body = found.json()
        assert body["revision"] == revision
        for name in ("question", "seed", "request", "result", "warnings", "engine_version"):
            assert body[name] == stored[name], name
    assert len(keeping.get(address(scenario)).json()["items"]) == 1


def test_only_what_is_drawn_by_chance_has_a_seed(keeping, scenario):
    seeds = {
        name: ask(keeping, scenario, {"question": name, **members}).json()["seed"]
        for name, members in QUESTIONS.items()
    }
    assert seeds.pop("risk") == 5
    assert seeds.pop("plans_within_limits") == 0
    assert set(seeds.values()) == {None}


def test_what_takes_long_is_accepted_and_done_later(keeping, scenario, work):
    taken = ask(keeping, scenario, **NOW)
    assert taken.status_code == 202
    assert taken.headers["Retry-After"] == "2"
    assert taken.headers["Preference-Applied"] == "wait=0"
    where = taken.headers["Location"]
    Analysis.model_validate_json(taken.content)
    body = taken.json()
    assert (body["state"], body["result"], body["problem"]) == ("queued", None, None)
    assert body["progress"] == {"done": 0, "total": 5, "unit": "part"}
    waiting = keeping.get(where)
    assert (waiting.status_code, waiting.json()) == (200, body)
    assert waiting.headers["Retry-After"] == "2"
    assert work_on_next(keeping.desk, "A")
    assert work.done == [0, 1, 2, 3, 4]
    done = keeping.get(where)
    assert "Retry-After" not in done.headers
    assert done.json()["result"] == {"parts": answer()["parts"]}
    assert done.json()["warnings"] == ["Made up."]
    assert done.json()["progress"]["done"] == 5


def test_progress_is_told_while_it_is_worked_on(keeping, scenario, work):
    where = ask(keeping, scenario, **NOW).headers["Location"]
    seen = []
    work.before_part = lambda _number: seen.append(keeping.get(where).json())
    work_on_next(keeping.desk, "A")
    assert [one["state"] for one in seen] == ["running"] * 5
    assert [one["progress"]["done"] for one in seen] == [0, 1, 2, 3, 4]
    assert seen[0]["started_at"] is not None


def worker_soon(keeping, seconds):
    """Let a worker take up what waits a little later."""
    timer = threading.Timer(seconds, work_on_next, (keeping.desk, "A"))
    timer.start()
    return timer


def test_the_request_waits_for_the_answer(keeping, scenario, work):
    timer = worker_soon(keeping, 0.5)
    made = ask(keeping, scenario)
    timer.join()
    assert made.status_code == 201
    assert made.headers["Location"] == address(scenario, made.json()["id"])
    assert made.json()["result"] == {"parts": answer()["parts"]}
    assert "Preference-Applied" not in made.headers
    assert "Retry-After" not in made.headers
    assert work.done == [0, 1, 2, 3, 4]


def test_it_waits_as_long_as_is_preferred(keeping, scenario, work):
    began = time.monotonic()
    taken = ask(keeping, scenario, Prefer="respond-async, wait=1; foo=bar")
    took = time.monotonic() - began
    assert taken.status_code == 202
    assert taken.headers["Preference-Applied"] == "wait=1"
    assert 1 <= took < 3
    assert work.done == []


def test_others_are_answered_while_requests_wait(keeping, scenario, work):
    # Ten wait, and a process has four threads.
    waiting = [
        threading.Thread(
            target=ask,
            args=(keeping, scenario, {**RISK, "seed": seed}),
            kwargs={"Prefer": "wait=2"},
        )
        for seed in range(10)
    ]
    began = time.monotonic()
    for one in waiting:
        one.start()
    for one in waiting:
        one.join()
    assert time.monotonic() - began < 2 * 10 / 4
    assert len(keeping.get(address(scenario)).json()["items"]) == 10
    assert SECONDS_BETWEEN_LOOKS < 2
    assert work.done == []


# RFC 7240, sections 2 and 4.3; anything else is passed over.
@pytest.mark.parametrize(
    ("prefer", "applied"),
    [
        ("wait=0", "wait=0"),
        ("Wait = 0", "wait=0"),
        ('wait="0"', "wait=0"),
        ("wait=0, wait=9", "wait=0"),
        ("return=minimal, wait=0", "wait=0"),
        ("handling=lenient; wait=7, wait=0", "wait=0"),
    ],
)
def test_preferences_are_understood(keeping, scenario, work, prefer, applied):
    taken = ask(keeping, scenario, Prefer=prefer)
    assert (taken.status_code, taken.headers["Preference-Applied"]) == (202, applied)
    assert work.done == []


@pytest.mark.parametrize("prefer", ["wait", "wait=", "wait=soon", "wait=-1", "wait=1.5", "await=3"])
def test_what_is_no_preference_is_passed_over(keeping, scenario, prefer):
    made = ask(keeping, scenario, TYPES, Prefer=prefer)
    assert made.status_code == 201
    assert "Preference-Applied" not in made.headers


def test_no_more_is_waited_than_the_most(keeping, scenario):
    made = ask(keeping, scenario, TYPES, Prefer="wait=999999999")
    assert made.headers["Preference-Applied"] == "wait=20"


def test_the_same_question_finds_the_work_that_waits(keeping, scenario, work):
    first = ask(keeping, scenario, **NOW)
    again = ask(keeping, scenario, **NOW)
    assert (again.status_code, again.json()) == (202, first.json())
    assert again.headers["Location"] == first.headers["Location"]
    timer = worker_soon(keeping, 0.3)
    done = ask(keeping, scenario)
    timer.join()
    assert done.status_code == 200  # it was made by the first
    assert done.headers["Content-Location"] == first.headers["Location"]
    assert work.done == [0, 1, 2, 3, 4]


def test_an_idempotency_key_asks_once(keeping, scenario, work):
    headers = {"Idempotency-Key": "question-1"}
    first = ask(keeping, scenario, **NOW, **headers)
    again = ask(keeping, scenario, **NOW, **headers)
    assert first.status_code == again.status_code == 202
    assert again.headers["Idempotency-Replayed"] == "true"
    assert again.headers["Location"] == first.headers["Location"]
    assert ask(keeping, scenario, {**RISK, "seed": 12}, **headers).status_code == 422
    work_on_next(keeping.desk, "A")
    done = ask(keeping, scenario, **headers)
    assert done.status_code == 201
    assert done.headers["Idempotency-Replayed"] == "true"
    assert done.json()["result"] == {"parts": answer()["parts"]}
    assert work.done == [0, 1, 2, 3, 4]


def test_an_idempotency_key_answers_a_quick_question_again(keeping, scenario):
    headers = {"Idempotency-Key": "question-2"}
    first = ask(keeping, scenario, TYPES, **headers)
    again = ask(keeping, scenario, TYPES, **headers)
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.content == again.content
    assert again.headers["Location"] == first.headers["Location"]


def test_a_new_revision_is_asked_anew_and_an_old_one_by_its_number(keeping, scenario):
    first = ask(keeping, scenario, TYPES).json()
    keeping(
        "PATCH",
        f"/v1/scenarios/{scenario}",
        "write",
        json={"hay": {"price_per_ton": 131}},
        headers={"If-Match": '"1"'},
    )
    second = ask(keeping, scenario, TYPES)
    assert (second.status_code, second.json()["revision"]) == (201, 2)
    assert second.json()["result"] != first["result"]
    assert ask(keeping, scenario, {**TYPES, "revision": 1}).json() == first
    missing = ask(keeping, scenario, {**TYPES, "revision": 3})
    assert (missing.status_code, missing.json()["type"]) == (404, "/problems/unknown-part")
    unsaved = keeping("POST", "/v1/analyses", json={"scenario": scenario, **TYPES, "revision": 1})
    assert unsaved.json()["result"] == first["result"]


def test_work_that_waits_is_cancelled_and_what_ended_is_not(keeping, scenario, work):
    where = ask(keeping, scenario, **NOW).headers["Location"]
    keeping.clock.forward(seconds=1)
    cancelled = keeping("POST", f"{where}/cancel", "write")
    assert cancelled.status_code == 202
    Analysis.model_validate_json(cancelled.content)
    assert cancelled.json()["state"] == "cancelled"
    assert cancelled.json()["cancel_requested_at"] == "2026-02-03T07:30:01.125Z"
    again = keeping("POST", f"{where}/cancel", "write", json={})
    assert (again.status_code, again.json()["type"]) == (409, "/problems/analysis-ended")
    assert "cancelled" in again.json()["detail"]
    assert keeping("POST", f"{where}/cancel", "write", json={"now": True}).status_code == 422
    assert work.done == []


def test_work_that_is_done_just_now_is_told_as_running_until_it_ends(keeping, scenario, work):
    where = ask(keeping, scenario, **NOW).headers["Location"]
    told = []

    def cancel(number):
        if number == 1:
            told.extend(keeping("POST", f"{where}/cancel", "write") for _ in range(2))

    work.before_part = cancel
    work_on_next(keeping.desk, "A")
    for one in told:
        assert (one.status_code, one.json()["state"]) == (202, "running")
        assert one.json()["cancel_requested_at"]
        assert one.headers["Retry-After"] == "2"
    ended = keeping.get(where).json()
    assert (ended["state"], ended["progress"]["done"], ended["result"]) == ("cancelled", 2, None)


def test_what_failed_says_why_as_a_refusal_would(keeping, scenario, work):
    where = ask(keeping, scenario, **NOW).headers["Location"]

    def fail(_number):
        message = "no memory left"
        raise RuntimeError(message)

    work.before_part = fail
    for _ in range(3):
        work_on_next(keeping.desk, "A")
    failed = keeping.get(where)
    Analysis.model_validate_json(failed.content)
    assert failed.json()["state"] == "failed"
    assert failed.json()["problem"]["type"] == "/problems/internal-error"
    assert failed.json()["problem"]["status"] == 500
    assert "memory" not in failed.text
    work.before_part = lambda _number: None
    assert ask(keeping, scenario, **NOW).headers["Location"] != where


def test_an_analysis_is_forgotten(keeping, scenario):
    where = ask(keeping, scenario, TYPES).headers["Location"]
    assert keeping("DELETE", where, "read").status_code == 403
    gone = keeping("DELETE", where, "write")
    assert (gone.status_code, gone.content) == (204, b"")
    missing = keeping.get(where)
    assert (missing.status_code, missing.json()["type"]) == (404, "/problems/unknown-part")
    assert keeping("DELETE", where, "write").status_code == 404
    assert ask(keeping, scenario, TYPES).status_code == 201


def test_analyses_are_listed_page_by_page(keeping, scenario):
    made = []
    for price in range(90, 95):
        keeping.clock.forward(seconds=1)
        made.append(ask(keeping, scenario, {**TYPES, "set": {"hay.price_per_ton": price}}).json())
    paged, where = [], f"{address(scenario)}?limit=2"
    while where:
        page = keeping.get(where, "read")
        AnalysisList.model_validate_json(page.content)
        paged += page.json()["items"]
        where = page.json()["next"]
    left_out = {"result", "warnings", "problem"}
    assert paged == [
        {name: value for name, value in one.items() if name not in left_out}
        for one in reversed(made)
    ]


@pytest.mark.parametrize("access", ["read", "edit"])
def test_links_read_answers_and_ask_nothing_that_is_kept(keeping, scenario, access):
    token = keeping.link(scenario, access)
    where = ask(keeping, scenario, TYPES).headers["Location"]
    assert keeping.get(where, token).status_code == 200
    assert keeping.get(address(scenario), token).status_code == 200
    refused = [
        ask(keeping, scenario, TYPES, token),
        keeping("POST", f"{where}/cancel", token),
        keeping("DELETE", where, token),
    ]
    assert [one.status_code for one in refused] == [403, 403, 403]
    unsaved = {"scenario": scenario, **TYPES, "set": {"hay.price_per_ton": 131}}
    assert keeping("POST", "/v1/analyses", token, json=unsaved).status_code == 200
    other = {**unsaved, "scenario": keeping.stored(external_id=None)}
    assert keeping("POST", "/v1/analyses", token, json=other).status_code == 404


def test_what_is_binned_erased_or_anothers_is_not_asked(keeping, scenario):
    where = ask(keeping, scenario, TYPES).headers["Location"]
    theirs = keeping.keys_elsewhere["admin"]
    for path in (address(scenario), where):
        foreign = keeping.get(path, theirs)
        unknown = keeping.get(path.replace(scenario, UNKNOWN), theirs)
        assert foreign.status_code == 404
        assert without_request_id(foreign) == without_request_id(unknown)
    keeping("DELETE", f"/v1/scenarios/{scenario}", headers={"If-Match": '"1"'})
    unsaved = {"scenario": scenario, **TYPES}
    for answered in (
        ask(keeping, scenario, TYPES),
        keeping.get(where),
        keeping("POST", "/v1/analyses", json=unsaved),
    ):
        assert answered.json()["type"] == "/problems/binned-scenario"
        assert answered.status_code == 404
    keeping("POST", f"/v1/scenarios/{scenario}/erasure")
    for answered in (
        ask(keeping, scenario, TYPES),
        keeping.get(where),
        keeping("POST", "/v1/analyses", json=unsaved),
    ):
        assert answered.json()["type"] == "/problems/unknown-scenario"


def test_an_office_may_have_only_so_much_waiting(keeping, scenario, work, monkeypatch):
    monkeypatch.setattr(analyses, "MOST_WAITING", 2)
    for seed in range(2):
        assert ask(keeping, scenario, {**RISK, "seed": seed}, **NOW).status_code == 202
    refused = ask(keeping, scenario, {**RISK, "seed": 2}, **NOW)
    assert (refused.status_code, refused.json()["type"]) == (429, "/problems/too-many-analyses")
    assert refused.headers["Retry-After"] == "2"
    assert work.done == []


def test_what_is_not_kept_is_refused_where_it_takes_long(keeping, work):
    body = {"document": small_document(), **RISK}
    answered = keeping("POST", "/v1/analyses", None, json=body)
    assert answered.status_code == 422
    (error,) = answered.json()["errors"]
    assert (error["pointer"], error["received"]) == ("/question", 5)
    assert work.done == []


def test_asking_is_as_open_as_costing_is(keeping, scenario):
    body = {"document": small_document(), **TYPES}
    of_scenario = {"scenario": scenario, **TYPES}
    assert keeping("POST", "/v1/analyses", None, json=body).status_code == 200
    assert keeping("POST", "/v1/analyses", None, json=of_scenario).status_code == 401
    keeping.app.state.open_costing = False
    try:
        assert keeping("POST", "/v1/analyses", None, json=body).status_code == 401
        assert keeping("POST", "/v1/analyses", "read", json=body).status_code == 200
        assert keeping("POST", "/v1/analyses", keeping.link(scenario), json=body).status_code == 200
    finally:
        keeping.app.state.open_costing = True


def test_without_a_database_documents_can_be_asked_about(keeping):
    desk, keeping.app.state.desk = keeping.app.state.desk, None
    try:
        body = {"document": small_document(), **TYPES}
        assert keeping("POST", "/v1/analyses", None, json=body).status_code == 200
        body = {"scenario": UNKNOWN, **TYPES}
        unknown = keeping("POST", "/v1/analyses", None, json=body)
        assert unknown.json()["type"] == "/problems/unknown-scenario"
        stored = ask(keeping, UNKNOWN, TYPES)
        assert (stored.status_code, stored.json()["type"]) == (503, "/problems/no-database")
    finally:
        keeping.app.state.desk = desk


def test_a_result_that_is_put_back_changes_the_scenario(keeping, scenario):
    # The winning system can be patched into the scenario as it stands.
    asked = {"question": "plans_within_limits", **QUESTIONS["plans_within_limits"]}
    best = ask(keeping, scenario, asked).json()["result"]["plans"][0]
    changed = keeping(
        "PATCH",
        f"/v1/scenarios/{scenario}",
        "write",
        json=best["patch"],
        headers={"If-Match": '"1"'},
    )
    assert changed.status_code == 200, changed.text
    (key,) = best["patch"]["systems"]
    costing = keeping.get(f"/v1/scenarios/{scenario}/costing").json()
    found = next(one for one in costing["systems"] if one["system"] == key)
    expected = best["annual_equivalent_cost"]
    assert found["annual_equivalent_cost"] == pytest.approx(expected, rel=1e-9)


def test_head_is_answered_as_get(keeping, scenario):
    where = ask(keeping, scenario, TYPES).headers["Location"]
    head = keeping("HEAD", where)
    assert (head.status_code, head.content) == (200, b"")
    assert int(head.headers["Content-Length"]) == len(keeping.get(where).content)
    assert keeping.get(address(scenario, ABSENT)).status_code == 404
    assert json.loads(keeping.get(f"{where}.json").content)["scenario"] == scenario
