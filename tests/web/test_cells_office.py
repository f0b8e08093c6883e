"""An office suite reads single numbers from a server, by WEBSERVICE in a cell."""

import json
import urllib.request

import pytest

from tests.benchmarks.server import served
from tests.support.installation import installation, stocked
from tests.support.office_typing import office_program, worked_out

DIGITS = 1e-14
"""Fifteen digits are sent and kept."""


@pytest.fixture(scope="module")
def typed(tmp_path_factory):
    """Return what formulas come to, by name, and the costing that they read."""
    program = office_program()
    folder = tmp_path_factory.mktemp("served")
    stock = stocked(installation(folder))
    scenario = stock.scenarios[1]
    with served(str(folder)) as (port, _):
        host = f"http://127.0.0.1:{port}"

        def cell(figure: str, query: str = "") -> str:
            address = f"{host}/v1/cell/{figure}?scenario={scenario}&token={stock.link}{query}"
            return f'WEBSERVICE("{address}")'

        cost = cell("annual_equivalent_cost", "&system=baseline")
        formulas = {
            "text": f"={cost}",
            "number": f'=NUMBERVALUE({cost};".")',
            "twice": f'=2*NUMBERVALUE({cost};".")',
            "word": f"={cell('best_system')}",
            "fault": f"={cell('annual_equivalent_costs', '&system=best&errors=text')}",
            "problem": f"={cell('annual_equivalent_costs', '&system=best')}",
            "changed": '=NUMBERVALUE({};".")'.format(
                cell(
                    "annual_equivalent_cost",
                    '&system=baseline&set.hay.price_per_ton="&ENCODEURL(250)&"',
                )
            ),
        }
        found = worked_out(program, list(formulas.values()))
        address = f"{host}/v1/scenarios/{scenario}/costing?token={stock.link}"
        with urllib.request.urlopen(address, timeout=60) as answer:  # noqa: S310 - this machine
            costing = json.load(answer)
    return dict(zip(formulas, found, strict=True)), costing


def _baseline(costing):
    key = costing["comparison"]["baseline"]
    return next(system for system in costing["systems"] if system["system"] == key)


def test_a_cell_holds_the_number_of_the_costing(typed):
    found, costing = typed
    cost = _baseline(costing)["annual_equivalent_cost"]
    assert float(found["text"]) == pytest.approx(cost, rel=DIGITS)
    assert float(found["number"]) == pytest.approx(cost, rel=DIGITS)
    assert float(found["twice"]) == pytest.approx(2 * cost, rel=DIGITS)


def test_a_cell_holds_a_word(typed):
    found, costing = typed
    assert found["word"].strip() == costing["best_system"]


def test_a_setting_comes_from_the_sheet(typed):
    found, costing = typed
    assert float(found["changed"]) > _baseline(costing)["annual_equivalent_cost"]


def test_a_fault_is_read_in_the_cell_or_is_an_error_of_the_sheet(typed):
    found, _ = typed
    assert found["fault"].startswith("There is no figure 'annual_equivalent_costs'")
    assert found["problem"].startswith(("#", "Err:"))
