"""The catalogues, as JSON and as CSV."""

import csv
import io
import json

import pytest
from pydantic import TypeAdapter

from service.costing.input_tree import input_tree
from service.costing.lines import LINES
from service.costing.methods import METHODS
from service.costing.reference.table import load_edition, newest_edition
from service.costing.structures import KINDS
from service.web import catalog_items as items
from service.web.negotiation import preferred
from service.web.tables import table

CATALOGS = {
    "/v1/inputs": items.InputList,
    "/v1/figures": items.FigureList,
    "/v1/feeding-methods": items.MethodList,
    "/v1/structures": items.StructureList,
    "/v1/reference-values": items.ReferenceValueList,
    "/v1/sources": items.SourceList,
}


def _rows(text, separator=","):
    return list(csv.DictReader(io.StringIO(text, newline=""), delimiter=separator))


@pytest.mark.parametrize(("path", "model"), CATALOGS.items())
def test_a_catalogue_has_the_published_shape(call, path, model):
    TypeAdapter(model).validate_json(call.get(path).content)


@pytest.mark.parametrize("path", CATALOGS)
def test_every_way_of_asking_gives_the_same_table(call, path):
    suffix = call.get(f"{path}.csv")
    assert suffix.headers["content-type"] == "text/csv; charset=utf-8; header=present"
    assert call.get(f"{path}?format=csv").content == suffix.content
    assert call.get(path, Accept="text/csv").content == suffix.content
    assert call.get(f"{path}.json", Accept="text/csv").content == call.get(path).content
    listed = call.get(path).json()["items"]
    rows = _rows(suffix.text)
    assert len(rows) == len(listed)
    assert set(rows[0]) == set(listed[0])


def test_csv_is_written_as_the_standard_says(call):
    # RFC 4180, section 2: lines end in CRLF; a field with a comma, a quote or a line break is
    # quoted, and a quote inside it doubled.
    body = table(("a", "b"), [{"a": "x,y", "b": 'say "no"'}, {"a": "two\nlines", "b": None}])
    assert body == b'a,b\r\n"x,y","say ""no"""\r\n"two\nlines",\r\n'
    assert call.get("/v1/sources.csv").content.endswith(b"\r\n")


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1+2", "@SUM(A1)", "\tx", "\rx", "  =1"])
def test_text_never_becomes_a_formula(text):
    (row,) = csv.reader(
        io.StringIO(table(("a",), [{"a": text}]).decode().split("\r\n", 1)[1], newline="")
    )
    assert row == [f"'{text}"]


def test_numbers_keep_their_sign():
    assert table(("a",), [{"a": -0.01}]) == b"a\r\n-0.01\r\n"


def test_dialects_suit_spreadsheets(call):
    plain = _rows(call.get("/v1/reference-values.csv").text)
    excel = call.get("/v1/reference-values.csv?dialect=excel").content
    assert excel.startswith(b"\xef\xbb\xbf")
    assert _rows(excel.decode("utf-8-sig")) == plain
    european = call.get("/v1/reference-values.csv?dialect=excel-eu").content.decode("utf-8-sig")
    by_key = {row["key"]: row for row in _rows(european, ";")}
    assert len(by_key) == len(plain)
    for row in plain:
        assert by_key[row["key"]]["high"] == row["high"].replace(".", ",")
    tabs = call.get("/v1/reference-values?dialect=tsv")
    assert tabs.headers["content-type"].startswith("text/tab-separated-values")
    assert _rows(tabs.text, "\t") == plain


@pytest.mark.parametrize(
    ("accept", "best"),
    [
        # RFC 9110, section 12.5.1: the examples there.
        ("audio/*; q=0.2, audio/basic", "audio/basic"),
        ("text/plain; q=0.5, text/html, text/x-dvi; q=0.8, text/x-c", "text/html"),
        ("text/*;q=0.3, text/plain;q=0.7, */*;q=0.5", "text/plain"),
        ("*/*", "application/json"),
        ("", "application/json"),
        ("text/html;q=nonsense", "application/json"),
    ],
)
def test_accept_is_read_as_the_standard_says(accept, best):
    offers = ("application/json", "audio/mp4", "audio/basic", "text/plain", "text/html")
    assert preferred(accept, offers) == best


def test_every_input_of_the_worked_farms_is_in_the_catalogue(call, farms):
    listed = {
        item["path"].partition(".<key>")[0] for item in call.get("/v1/inputs").json()["items"]
    }

    def leaves(node, shape, path):
        if hasattr(shape, "choices") and hasattr(shape, "field"):
            shape = shape.choices[node[shape.field]]
        if hasattr(shape, "members"):
            for name, inner in node.items():
                if inner is not None:
                    yield from leaves(inner, shape.members[name].shape, [*path, name])
        elif hasattr(shape, "placeholder") and path != ["assumptions"]:
            for inner in node if isinstance(node, list) else node.values():
                yield from leaves(inner, shape.items, [*path, f"<{shape.placeholder}>"])
        else:
            yield ".".join(path)

    for farm in farms.values():
        assert set(leaves(farm, input_tree(), [])) <= listed


def test_inputs_say_what_a_fault_would_say(call):
    by_path = {item["path"]: item for item in call.get("/v1/inputs").json()["items"]}
    head = by_path["herd.<group>.head"]
    assert (head["minimum"], head["maximum"], head["unit"]) == (1, 20_000, "head")
    assert head["required"]
    assert by_path["hay.storage"]["choices"]
    assert by_path["systems.<system>.plan.<step>.spacing_ft"]["applies_to"] == ["bale_grazing"]
    assert by_path["systems.<system>.plan.<step>.field"]["applies_to"] == []
    assert set(by_path["systems.<system>.plan.<step>.method"]["choices"]) == set(METHODS)


def test_methods_and_structures_are_all_there(call):
    methods = call.get("/v1/feeding-methods").json()["items"]
    assert [item["method"] for item in methods] == list(METHODS)
    structures = call.get("/v1/structures").json()["items"]
    assert [item["kind"] for item in structures] == list(KINDS)
    assert all(item["meaning"] and item["size_unit"] for item in structures)


def test_every_number_of_the_answers_is_a_figure_of_the_catalogue(call, farms, results):
    listed = {
        item["path"] for item in call.get("/v1/figures").json()["items"] if item["of"] == "system"
    }
    answers = [call.cost(farm).json() for farm in farms.values()]
    skipped = {"lines", "structures", "warnings", "workings", "by_winter", "tie_with"}
    patterns = [path.split(".") for path in listed]

    def known(path):
        return any(
            len(pattern) == len(path)
            and all(p == q or p.startswith("<") for p, q in zip(pattern, path, strict=True))
            for pattern in patterns
        )

    def leaves(node, path):
        if isinstance(node, dict):
            for name, inner in node.items():
                if path or name not in skipped:
                    yield from leaves(inner, [*path, name])
        elif isinstance(node, int | float) and not isinstance(node, bool) and path[-1] != "limit":
            yield path

    for result in (*results.values(), *answers):
        for system in result["systems"]:
            assert [path for path in leaves(system, []) if not known(path)] == []
            assert {line["line"] for line in system["lines"]} <= set(LINES)
            assert {f"lines.{line['line']}" for line in system["lines"]} <= listed


def test_one_reference_value_comes_with_its_source(call):
    edition = load_edition(newest_edition())
    for key in list(edition.rows)[::50]:
        found = call.get(f"/v1/reference-values/{key}").json()
        assert found["source"]["key"] == edition.rows[key].source
        assert found["usual"] == edition.rows[key].usual
        assert _rows(call.get(f"/v1/reference-values/{key}.csv").text)[0]["key"] == key


def test_an_unknown_reference_value_names_the_nearest(call):
    answer = call.get("/v1/reference-values/hay_waste.ring_opn")
    assert answer.status_code == 404
    assert answer.json()["errors"][0]["suggestion"] == "hay_waste.ring_open"


def test_an_unknown_edition_is_a_problem_of_its_own(call):
    for path in ("/v1/reference-values", "/v1/reference-values/hay_waste.ring_open", "/v1/sources"):
        answer = call.get(f"{path}?edition=1066.1")
        assert answer.status_code == 404
        assert answer.json()["type"] == "/problems/unknown-edition"


def test_reference_values_can_be_asked_for_by_prefix(call):
    found = call.get("/v1/reference-values?prefix=hay_waste.").json()["items"]
    assert found
    assert all(item["key"].startswith("hay_waste.") for item in found)


def test_every_source_is_told_in_words(call):
    listed = call.get("/v1/reference-values").json()["items"]
    assert all(item["source_in_words"] for item in listed)
    sources = call.get("/v1/sources").json()["items"]
    assert sum(source["values"] for source in sources) == len(listed)
    assert json.dumps(sources)
