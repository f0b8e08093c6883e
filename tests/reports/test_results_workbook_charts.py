"""Whether the charts of the workbook show what the costing says."""

import io
import re
import zipfile
from functools import cache
from xml.etree import ElementTree as ET

import openpyxl
import pytest

from service.costing.lines import GROUPS
from service.reports.results_workbook.workbook import workbook_of
from tests.reports.table_bodies import ABOUT, UNSAVED, body_of, demo_body
from tests.support.situations import farm, on_lot, winter


@cache
def demo_bytes():
    return workbook_of(demo_body(), ABOUT)


CHART = "{http://schemas.openxmlformats.org/drawingml/2006/chart}"


def charts_of(content):
    with zipfile.ZipFile(io.BytesIO(content)) as files:
        names = sorted(name for name in files.namelist() if "/charts/chart" in name)
        return [ET.fromstring(files.read(name)) for name in names]  # noqa: S314 - our own bytes


def series_of(chart):
    """Return name, categories and values of each series, as they were kept with the chart."""
    return [
        tuple(
            [point.text for point in series.find(f"{CHART}{part}").iter(f"{CHART}v")]
            for part in ("tx", "cat", "val")
        )
        for series in chart.iter(f"{CHART}ser")
    ]


def test_the_first_chart_stacks_the_five_groups_of_each_system():
    body = demo_body()
    bars, _ = charts_of(demo_bytes())
    assert bars.find(f".//{CHART}grouping").get("val") == "stacked"
    titles = [system["title"] for system in body["systems"]]
    found = series_of(bars)
    assert [name for (name,), _, _ in found] == list(GROUPS.values())
    for (_, categories, values), group in zip(found, GROUPS, strict=True):
        assert categories == titles
        for value, system in zip(values, body["systems"], strict=True):
            parts = [li["annual_equivalent"] for li in system["lines"] if li["group"] == group]
            assert float(value) == pytest.approx(sum(parts), rel=1e-12)


def test_the_second_chart_has_the_cost_of_each_system_in_each_winter():
    body = demo_body()
    _, lines = charts_of(demo_bytes())
    for ((title,), seasons, values), system in zip(series_of(lines), body["systems"], strict=True):
        assert title == system["title"]
        assert seasons == [row["season"] for row in system["by_winter"]]
        costs = [row["annual_equivalent_cost"] for row in system["by_winter"]]
        assert [float(value) for value in values] == pytest.approx(costs, rel=1e-12)


def test_charts_can_be_told_apart_without_color():
    bars, lines = (ET.tostring(chart, "unicode") for chart in charts_of(demo_bytes()))
    patterns = re.findall(r'pattFill prst="(\w+)"', bars)
    assert len(patterns) == len(set(patterns)) == len(GROUPS)
    looks = list(
        zip(
            re.findall(r'symbol val="(\w+)"', lines),
            re.findall(r'prstDash val="(\w+)"', lines),
            strict=True,
        )
    )
    assert len(set(looks)) == len(demo_body()["systems"])


def test_one_winter_and_one_system_make_a_workbook_too():
    lot = {"lot": {"plan": [on_lot(presentation={"cows": "ring_open", "ewes": "sheep_rack"})]}}
    body = body_of(farm(lot, winter=winter()))
    content = workbook_of(body, UNSAVED)
    assert openpyxl.load_workbook(io.BytesIO(content))["By winter"].max_row == 3
    assert len(charts_of(content)) == 2
