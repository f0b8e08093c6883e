"""All pictures alike: well formed, the same each time, harmless, to be read by anybody."""

import json
import os
import re
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from functools import cache

import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from service.costing.errors import InputError
from service.demo import demo_document
from service.reports.pictures import PICTURES, looks, picture
from service.reports.pictures.wording import fitted, lines_of, plain, width
from tests.reports.pictures_read import SVG, XLINK, costed, demo, more_for, seen

EVERY = pytest.mark.parametrize("name", list(PICTURES))
MOST_BYTES = 60_000
HOSTILE = {
    "script": "<script>alert(1)</script><img src=x onerror=alert(1)>",
    "formula": "=1+1",
    "turned around": "safe\u202egnp.exe\u2066 \u200f\u061c",
    "long": "Grass " * 34,
    "long word": "W" * 4_000,
    "mathematics": r"$\frac{1}{0}$ costs $5 a day \textbf{x} $",
    "markup": "]]> & &lt; &#0; \" ' <!-- --> <?xml?> %s {0} {}",
    "marks of texts": "@0@ @1@",
    "control": "a\x00b\x07c\ud800d\ufffee\nf\tg\u2028h",
    "scripts": "مزرعة חווה 农场 ферма ทุ่งหญ้า 🐄🐑",
    "piled accents": "Z" + "\u0334\u0301\u0308\u0359" * 40 + "algo",
    "empty": "",
    "unseen": "\u200b\u202e",
}


@cache
def usual(name):
    return seen(name)


def with_titles(title):
    body = demo()
    for item in body["systems"]:
        item["title"] = title
    return body


@EVERY
def test_the_title_and_what_is_told_come_first_and_name_the_picture(name):
    found = seen(name)
    title, told = found.root[0], found.root[1]
    assert (title.tag, told.tag) == (f"{SVG}title", f"{SVG}desc")
    assert found.root.get("role") == "img"
    assert found.root.get("aria-labelledby") == f"{title.get('id')} {told.get('id')}"
    assert title.text == PICTURES[name].title == found.texts[0]
    assert told.text.endswith(".")
    assert re.search(r"\d", told.text)


@EVERY
def test_it_fits_any_width_and_is_small(name):
    found = seen(name)
    assert found.root.get("viewBox") == f"0 0 360 {found.height():g}"
    assert found.root.get("width") is None
    assert found.root.get("height") is None
    assert len(found.text.encode()) < MOST_BYTES


@EVERY
def test_nothing_is_loaded_run_or_styled(name):
    found = seen(name)
    allowed = {"svg", "title", "desc", "g", "defs", "path", "text", "use", "pattern", "rect"}
    ids = {item.get("id") for item in found.root.iter()}
    for item in found.root.iter():
        assert item.tag.removeprefix(SVG) in allowed
        assert not {"style", "class", "href"} & set(item.attrib)
        assert not any(key.startswith("on") for key in item.attrib)
        link = item.get(f"{XLINK}href")
        assert link is None or (link.startswith("#") and link[1:] in ids)
        for value in item.attrib.values():
            for inside in re.findall(r"url\(([^)]*)\)", value):
                assert inside.startswith("#")
                assert inside[1:] in ids
    addresses = set(re.findall(r"https?://[^\"'< ]+", found.text))
    assert addresses == {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}


@EVERY
def test_a_second_drawing_has_the_same_bytes(name):
    body = demo()
    first = picture(name, body, more_for(name, body))
    assert picture(name, demo(), more_for(name, body)) == first


def test_threads_that_draw_at_once_draw_what_one_draws_alone():
    body = demo()
    jobs = [name for name in PICTURES for _ in range(3)]
    alone = {name: picture(name, body, more_for(name, body)) for name in PICTURES}
    with ThreadPoolExecutor(4) as threads:
        drawn = list(threads.map(lambda name: picture(name, body, more_for(name, body)), jobs))
    assert drawn == [alone[name] for name in jobs]


DRAW = (
    "import json, sys; from service.reports.pictures import picture;"
    "assert 'matplotlib' not in sys.modules;"
    "sys.stdout.buffer.write(picture('acres_to_fix', json.load(sys.stdin)).encode())"
)


def test_a_users_own_settings_change_nothing_and_the_library_is_loaded_late(tmp_path):
    settings = tmp_path / "matplotlibrc"
    settings.write_text("font.size: 30\nhatch.linewidth: 9\nsavefig.facecolor: red\n")
    body = demo()
    drawn = subprocess.run(  # noqa: S603 - the interpreter that runs the tests
        [sys.executable, "-c", DRAW],
        input=json.dumps(body).encode(),
        capture_output=True,
        check=True,
        env={**os.environ, "MATPLOTLIBRC": str(settings), "PYTHONHASHSEED": "7"},
    )
    assert drawn.stdout.decode() == picture("acres_to_fix", body)


def test_several_on_one_page_share_no_id():
    body = demo()
    drawn = [seen(name, body) for name in PICTURES]
    drawn.append(seen("bale_flow", body, {"system": "rock_pad"}))
    drawn.append(seen("cash_by_year", body, {"system": "pack_barn"}))
    ids = [item.get("id") for found in drawn for item in found.root.iter() if item.get("id")]
    assert len(ids) == len(set(ids))


@EVERY
@pytest.mark.parametrize("title", HOSTILE.values(), ids=list(HOSTILE))
def test_a_hostile_title_is_only_text(name, title):
    found = seen(name, with_titles(title))
    plain_one = usual(name)
    assert {item.tag for item in found.root.iter()} <= {item.tag for item in plain_one.root.iter()}
    for text in [*found.texts, found.told]:
        assert not re.search(r"[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\u200e\u200f]", text)
    for text in found.texts:
        assert width(text, 10) < 360
    assert abs(found.height() - plain_one.height()) < 90
    assert len(found.text.encode()) < MOST_BYTES


def test_a_title_of_markup_reads_as_it_was_written():
    found = seen("acres_to_fix", with_titles("<b>Rings</b> & $2 @0@"))
    assert found.texts.count("<b>Rings</b> & $2 @0@") == 7


@EVERY
def test_texts_stay_on_the_sheet(name):
    """Measured with the metrics of DejaVu Sans, the widest of the fonts in common use."""
    found = seen(name)
    for item in found.root.iter(f"{SVG}text"):
        if "transform" in item.attrib:
            continue
        weight = "bold" if item.get("font-weight") == "700" else "normal"
        font = FontProperties(family="DejaVu Sans", weight=weight)
        size = float(item.get("font-size").removesuffix("px"))
        long = text_to_path.get_text_width_height_descent(item.text, font, ismath=False)[0]
        long *= size / font.get_size_in_points()
        part = {"middle": 0.5, "end": 1}.get(item.get("text-anchor"), 0)
        left = float(item.get("x")) - part * long
        assert left >= 0, item.text
        assert left + long <= 360, item.text
        assert 0 < float(item.get("y")) < found.height()


@EVERY
def test_words_are_large_enough_on_a_phone(name):
    """At 360 px, a unit of the picture is a pixel; 10 px is the least: common practice."""
    for item in seen(name).root.iter(f"{SVG}text"):
        assert float(item.get("font-size").removesuffix("px")) >= 10


def luminance(shade):
    """Return the relative luminance of a color, by WCAG 2.1."""
    parts = [int(shade[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    linear = [
        part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one, other):
    """Return the contrast ratio of two colors, by WCAG 2.1."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_gives_the_ends_of_its_definition():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def test_words_and_markers_stand_out():
    """WCAG 2.1: 4.5 to 1 for words (1.4.3), 3 to 1 for graphics (1.4.11)."""
    assert contrast(looks.INK, looks.PAPER) >= 4.5
    assert contrast(looks.QUIET, looks.PAPER) >= 4.5
    for fills in (looks.GROUPS, looks.STATES, looks.SEVERITIES):
        for fill in fills.values():
            ground = looks.PAPER if fill.hatch and not fill.dark else fill.shade
            assert contrast(looks.PAPER if fill.dark else looks.INK, ground) >= 4.5
    for stroke in looks.SYSTEMS:
        assert contrast(stroke.shade, looks.PAPER) >= 3


@pytest.mark.parametrize("fills", [looks.GROUPS, looks.STATES, looks.SEVERITIES])
def test_areas_differ_by_more_than_color(fills):
    fills = list(fills.values())
    for place, one in enumerate(fills):
        for other in fills[place + 1 :]:
            assert one.hatch != other.hatch or contrast(one.shade, other.shade) >= 3


def test_systems_differ_by_marker_and_by_dash():
    assert len({stroke.marker for stroke in looks.SYSTEMS}) == len(looks.SYSTEMS)
    assert len({stroke.dash for stroke in looks.SYSTEMS}) == len(looks.SYSTEMS)


def test_a_picture_that_does_not_exist_names_the_nearest():
    with pytest.raises(InputError) as raised:
        picture("winter", demo())
    [fault] = raised.value.faults
    assert fault.suggestion == "winters"
    assert "bale_flow" in fault.allowed


@pytest.mark.parametrize("name", [name for name in PICTURES if PICTURES[name].takes_system])
def test_a_system_that_does_not_exist_names_the_nearest(name):
    with pytest.raises(InputError) as raised:
        picture(name, demo(), {"system": "rock_pads"})
    [fault] = raised.value.faults
    assert fault.suggestion == "rock_pad"


def test_more_systems_than_there_are_looks_are_left_out_by_rank_and_said():
    document = demo_document()
    for number in range(3):
        document["systems"][f"more_{number}"] = document["systems"]["pack_barn"]
    body = costed(document)
    for name in ("cost_by_group", "winters", "acres_to_fix"):
        found = seen(name, body)
        assert found.told.endswith("3 more systems are not drawn.")
        assert "Today: rings on the Barn Lot" in found.texts


@pytest.mark.parametrize("name", ["cost_by_group", "winters", "bale_flow", "acres_to_fix"])
@pytest.mark.parametrize("head", [1, 20_000])
def test_farms_of_any_size_fit(name, head):
    document = demo_document()
    document["herd"]["cows"]["head"] = head
    for key in document["systems"].keys() - {"lot_open_rings", "lot_better_feeders"}:
        del document["systems"][key]
    for field in document["land"]["fields"].values():
        field["acres"] *= max(1, head / 62)
    found = seen(name, costed(document))
    assert len(found.text.encode()) < MOST_BYTES
    assert found.height() < 1_000


def test_a_farm_that_costs_nothing_is_drawn_all_the_same():
    body = demo()
    for item in body["systems"]:
        item["annual_equivalent_cost"] = 0.0
        for line in item["lines"]:
            line["annual_equivalent"] = 0.0
        item["quantities"]["acres_damaged"] = dict.fromkeys(("light", "moderate", "severe"), 0.0)
        for row in item["by_winter"]:
            row["annual_equivalent_cost"] = 0.0
    for name in ("cost_by_group", "winters", "acres_to_fix"):
        assert "0" in seen(name, body).words()


def test_the_longest_text_is_cut_at_once():
    start = time.process_time()
    fitted("W" * 200_000, 300)
    assert time.process_time() - start < 1


def test_a_text_is_cut_where_its_room_ends_and_keeps_its_words_apart():
    assert plain(" a \n b\u202e ") == "a b"
    cut = fitted("Roofed concrete pad and manure storage", 100)
    assert cut.endswith("…")
    assert width(cut, 11) <= 100
    assert all(width(line, 10) <= 120 for line in lines_of("feed where the ground carries it", 120))
    assert lines_of("", 100) == [""]
