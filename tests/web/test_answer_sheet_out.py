"""A stored scenario comes as the answer sheet, and the empty one is there for everybody."""

import io

import openpyxl
import pytest
from hypothesis import HealthCheck, Phase, given, settings

from service.demo import demo_document
from service.reports.answer_sheet import read_csv, read_workbook, template
from service.scenarios.canonical import canonical_text
from service.web.negotiation import CSV, XLSX
from service.web.sheet_order import in_order_of
from tests.reports.answer_sheets import documents

FORMS = {"xlsx": XLSX, "csv": CSV}


@pytest.fixture
def scenario(keeping):
    return keeping.stored(demo_document())


def _document(keeping, scenario):
    return keeping.get(f"/v1/scenarios/{scenario}").json()["document"]


def _read(answer, form):
    found = read_workbook(answer.content) if form == "xlsx" else read_csv(answer.text)
    return found[0]


def _kind(answer):
    return answer.headers["content-type"].partition(";")[0]


def _facts(answer):
    """Return scenario and revision as the workbook names them."""
    sheet = openpyxl.load_workbook(io.BytesIO(answer.content), read_only=True)["Read me"]
    return sheet["B3"].value, sheet["B4"].value


@pytest.mark.parametrize("form", FORMS)
def test_a_scenario_comes_as_an_answer_sheet_without_loss(keeping, scenario, form):
    answer = keeping.get(f"/v1/scenarios/{scenario}.{form}", "read")
    assert answer.status_code == 200
    assert _kind(answer) == FORMS[form]
    assert _read(answer, form) == _document(keeping, scenario)
    name = f"scenario-{scenario}-1.{form}"
    assert answer.headers["content-disposition"] == f'attachment; filename="{name}"'
    assert answer.headers["cache-control"] == "private, no-cache"


@pytest.mark.parametrize("form", FORMS)
def test_the_form_goes_by_suffix_then_parameter_then_accept(keeping, scenario, form):
    address, kind = f"/v1/scenarios/{scenario}", FORMS[form]
    assert _kind(keeping.get(f"{address}?format={form}", Accept="application/json")) == kind
    accepted = keeping.get(address, Accept=kind)
    assert _kind(accepted) == kind
    assert accepted.headers["vary"] == "Accept"
    assert _kind(keeping.get(f"{address}.{form}?format=json")) == kind
    assert _kind(keeping.get(f"{address}?format=json", Accept=kind)) == "application/json"
    assert keeping.get(address).headers["vary"] == "Accept"
    refused = keeping.get(f"{address}?format=pdf")
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["input"] == "format"


@pytest.mark.parametrize("form", FORMS)
def test_every_revision_comes_as_an_answer_sheet(keeping, scenario, form):
    address = f"/v1/scenarios/{scenario}"
    patch = {"hay": {"price_per_ton": 131}}
    keeping("PATCH", address, json=patch, headers={"If-Match": '"1"'})
    newest, first = keeping.get(f"{address}.{form}"), keeping.get(f"{address}/revisions/1.{form}")
    assert newest.headers["content-location"] == f"{address}/revisions/2.{form}"
    assert _read(newest, form)["hay"]["price_per_ton"] == 131
    assert _read(first, form)["hay"] == demo_document()["hay"]
    named = keeping.get(f"{address}/revisions/1?format={form}")
    assert named.content == first.content
    if form == "xlsx":
        assert (_facts(newest), _facts(first)) == ((scenario, "2"), (scenario, "1"))
    assert keeping.get(f"{address}/revisions/1.json").json()["revision"] == 1
    assert keeping.get(f"{address}/revisions/7.{form}").status_code == 404


@pytest.mark.parametrize("form", FORMS)
def test_what_the_caller_has_is_not_sent_again(keeping, scenario, form):
    # RFC 9110, section 8.8.3: a strong tag belongs to one representation, so each form has its own.
    address = f"/v1/scenarios/{scenario}"
    tag = keeping.get(f"{address}.{form}").headers["etag"]
    assert tag == f'"1-{form}"'
    again = keeping.get(f"{address}.{form}", **{"If-None-Match": tag})
    assert (again.status_code, again.content) == (304, b"")
    as_json = keeping.get(address, **{"If-None-Match": tag})
    assert as_json.status_code == 200


@pytest.mark.parametrize("form", FORMS)
def test_a_read_link_opens_the_answer_sheet_and_nobody_elses(keeping, scenario, form):
    token, address = keeping.link(scenario), f"/v1/scenarios/{scenario}"
    for path in (f"{address}.{form}", f"{address}/revisions/1.{form}"):
        assert keeping.get(f"{path}?token={token}", None).status_code == 200
        assert keeping.get(path, None).status_code == 401
        there = keeping.get(path, keeping.keys_elsewhere["admin"])
        never = keeping.get(
            path.replace(scenario, f"sc_{'0' * 26}"), keeping.keys_elsewhere["admin"]
        )
        assert there.status_code == never.status_code == 404
        assert there.content == never.content


def test_a_hostile_name_is_no_formula(keeping):
    scenario = keeping.stored(demo_document() | {"name": "=1+1"})
    answer = keeping.get(f"/v1/scenarios/{scenario}.xlsx")
    workbook = openpyxl.load_workbook(io.BytesIO(answer.content))
    cells = [cell for sheet in workbook for row in sheet.iter_rows() for cell in row]
    assert "'=1+1" in [cell.value for cell in cells]
    assert not [cell for cell in cells if cell.data_type == "f"]
    assert "name,'=1+1," in keeping.get(f"/v1/scenarios/{scenario}.csv").text


def test_the_empty_answer_sheet_is_open_to_everybody(call):
    answer = call.get("/v1/templates/scenario.xlsx")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == XLSX
    assert answer.headers["cache-control"].startswith("public")
    assert answer.headers["content-disposition"] == 'attachment; filename="scenario.xlsx"'
    assert read_workbook(answer.content)[0] == {}
    assert _facts(answer) == (None, None)


@settings(
    max_examples=8,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
    deadline=None,
)
@given(documents())
def test_a_sheet_in_the_order_of_what_stands_has_the_same_text(document):
    read = read_workbook(template(document))[0]
    ordered = in_order_of(document, read)
    assert ordered == read
    assert canonical_text(ordered) == canonical_text(document)


def test_the_order_of_systems_is_taken_from_the_sheet():
    document = demo_document()
    turned = document | {"systems": dict(reversed(document["systems"].items()))}
    turned["hay"] = dict(reversed(document["hay"].items()))
    ordered = in_order_of(document, turned)
    assert list(ordered["systems"]) == list(turned["systems"])
    assert list(ordered["hay"]) == list(document["hay"])
