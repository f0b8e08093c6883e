"""Whether a comparison as a table says what the comparison says."""

import pytest

from service.reports.tables.comparison_table import comparison_table
from service.scenarios.comparison import compared
from tests.support.desks import WRITER, kept, opened_desk


@pytest.fixture(scope="module")
def comparison():
    at = opened_desk()
    first, other = kept(at, name="Alder Fold", external_id="0417"), kept(at, name="=1+1")
    return compared(at, WRITER, [(first.head.id, None), (other.head.id, 1)])


def test_there_is_a_row_for_each_scenario_and_system_with_its_figures(comparison):
    found = comparison_table(comparison)
    assert found.names[:6] == [
        "scenario",
        "external_id",
        "revision",
        "engine_version",
        "reference_edition",
        "currency",
    ]
    expected = [(entry, system) for entry in comparison["compared"] for system in entry["systems"]]
    assert len(found.rows) == len(expected) >= 2
    for row, (entry, system) in zip(found.rows, expected, strict=True):
        assert set(row) == set(found.names)
        for name in ("scenario", "external_id", "revision", "name", "costing", "best_system"):
            assert row[name] == entry[name]
        assert (row["system"], row["system_title"]) == (system["system"], system["title"])
        for figure in comparison["figures"]:
            assert row[figure["figure"]] == system[figure["figure"]]


def test_figures_keep_title_and_unit(comparison):
    columns = {column.name: column for column in comparison_table(comparison).columns}
    for figure in comparison["figures"]:
        column = columns[figure["figure"]]
        assert (column.title, column.unit) == (figure["title"], figure["unit"])
