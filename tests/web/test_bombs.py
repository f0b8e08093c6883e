"""What is small when it is sent and large when it is read is refused, in words and little memory.

Bombs in the package of an answer sheet are in ``tests/reports/test_answer_sheet_package.py`` and
``tests/web/test_answer_sheet_in.py``; here are those that come nested, in great numbers or upon
each other (D. Fifield, A better zip bomb, 13th USENIX Workshop on Offensive Technologies, 2019:
members that share their bytes; from memory), and entities that lie outside (OWASP, XML External
Entity Prevention; from memory). Numbers that no float holds are told at their place by
``test_bad_input.py``; here each operation that takes a body is sent each of them.
"""

import asyncio
import contextlib
import gzip
import io
import json
import re
import socket
import struct
import tracemalloc
import zipfile
import zlib

import pytest

from service.reports.answer_sheet import package
from service.web.app import ROUTES, create_app
from service.web.middleware import LARGER_BODIES, LARGEST_BODY, LARGEST_SHEET
from service.web.negotiation import CSV, JSON, XLSX
from service.web.openapi import describe
from service.web.strict_json import NotJsonError, parse
from tests.reports.answer_sheets import filled, repacked
from tests.support.offices import small_document
from tests.web.keeping import Keeping

MEGABYTE = 1_000_000
FORM = "application/x-www-form-urlencoded"
CSV_TYPE = {"Content-Type": CSV}


@pytest.fixture(scope="module")
def kept():
    return Keeping(create_app())


@pytest.fixture(scope="module")
def parts(kept):
    """Return what stands for the names in an address."""
    return {
        "scenario": kept.stored(),
        "revision": "1",
        "season": "2025-26",
        "analysis": "an_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
        "record": "wr_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
        "sweep": "sw_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
    }


@contextlib.contextmanager
def little_memory(most):
    """Check how much is held at once meanwhile [bytes]."""
    tracemalloc.start()
    try:
        yield
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < most


# Bodies in JSON, at every operation that takes one

TAKING = [
    (method.upper(), path)
    for path, methods in describe(create_app())["paths"].items()
    for method, operation in methods.items()
    if JSON in operation.get("requestBody", {}).get("content", {})
]
DEEP = 100_000
HOSTILE = {
    "nested lists": b"[" * DEEP + b"]" * DEEP,
    "nested objects": b'{"a":' * DEEP + b"1" + b"}" * DEEP,
    "nested and not closed": b'[{"a":' * DEEP,
    "nested where it is read": b'{"document":{"herd":' + b"[" * 900 + b"]" * 900 + b"}}",
    "a huge exponent": b'{"document":{"herd":1e400},"set":{"a":-1e999999999},"text":1e400}',
    "a tiny exponent": b'{"document":1e-999999999,"label":1e-400}',
    "a long whole number": b'{"text":' + b"7" * 100_000 + b',"set":{"a":-' + b"9" * 100_000 + b"}}",
    "a long fraction": b'{"text":0.' + b"3" * 100_000 + b"}",
    "no number": b'{"text":NaN,"label":Infinity,"document":{"herd":-Infinity}}',
    "the same name again and again": b"{" + b'"document":{},' * 6_000 + b'"document":{}}',
    "many names": json.dumps({f"n{number}": 0 for number in range(4_000)}).encode(),
    "many names inside": json.dumps(
        {"document": {"herd": {f"n{n}": 0 for n in range(4_000)}}}
    ).encode(),
    "a long name": b'{"' + b"n" * 900_000 + b'":1}',
    "a long text": json.dumps({"text": "x" * 900_000, "label": "x" * 9}).encode(),
    "many items": b'{"farms":[' + b"0," * 40_000 + b"0]}",
    "escapes": b'{"text":"' + b"\\u0000" * 150_000 + b'"}',
    "half a pair": b'{"text":"\\ud800","label":"\\udfff"}',
    "not in UTF-8": b'{"text":"\xff\xfe\xed\xa0\x80"}',
    "overlong UTF-8": b'{"text":"\xc0\xaf\xe0\x80\xaf"}',
    "UTF-16": '{"text":"x"}'.encode("utf-16"),
    "a quote without its end": b'{"text":"' + b"\\" * 900_001,
}


@pytest.mark.parametrize("body", HOSTILE.values(), ids=HOSTILE)
def test_a_hostile_body_is_refused_in_words_wherever_it_is_sent(kept, parts, body):
    assert len(body) <= LARGEST_BODY
    for method, path in TAKING:
        headers = {"Content-Type": JSON, "If-Match": "*"}
        address = path.format_map(parts)
        answer = kept(method, address, content=body, headers=headers)
        assert 400 <= answer.status_code < 500, (path, answer.text[:300])
        assert answer.headers["content-type"] == "application/problem+json"
        assert len(answer.content) < 100_000, path


def test_the_walk_goes_to_all_that_take_a_body():
    routes = [route for found in ROUTES for route in found.router.routes]
    changing = {
        (method, re.sub(":path}", "}", route.path))
        for route in routes
        for method in set(route.methods) & {"POST", "PUT", "PATCH"}
    }
    without = {path for method, path in changing - set(TAKING)}
    assert without <= {
        *("/start", "/winter"),
        "/v1/scenarios/{scenario}/restore",
        "/v1/scenarios/{scenario}/revisions/{revision}/restore",
        "/v1/scenarios/{scenario}/analyses/{analysis}/cancel",
        "/v1/sweeps/{sweep}/cancel",
    }


@pytest.mark.parametrize("name", ["nested lists", "a long whole number", "many items", "escapes"])
def test_a_hostile_body_is_read_in_little_memory(name):
    body = HOSTILE[name]
    with little_memory(40 * MEGABYTE), contextlib.suppress(NotJsonError):
        parse(body)


# Bodies that are compressed: nobody unpacks them (RFC 9110, section 15.5.16: 415)


@pytest.mark.parametrize("coding", ["gzip", "deflate", "br", "gzip, gzip"])
def test_no_body_is_unpacked(kept, parts, coding):
    bomb = gzip.compress(b" " * 20 * MEGABYTE)
    assert len(bomb) < 100_000
    for method, path in (*TAKING, ("POST", "/start"), ("POST", "/winter")):
        kind = FORM if path in {"/start", "/winter"} else JSON
        headers = {"Content-Type": kind, "Content-Encoding": coding, "If-Match": "*"}
        with little_memory(10 * MEGABYTE):
            answer = kept(method, path.format_map(parts), content=bomb, headers=headers)
        assert answer.status_code == 415, path
        assert answer.headers["accept-encoding"] == "identity"


@pytest.mark.parametrize("kind", [XLSX, CSV])
def test_no_sheet_is_unpacked_on_its_way(kept, parts, kind):
    headers = {"Content-Type": kind, "Content-Encoding": "gzip", "If-Match": "*"}
    for method, path in (("POST", "/v1/scenarios"), ("PUT", "/v1/scenarios/{scenario}")):
        answer = kept(method, path.format_map(parts), content=gzip.compress(b"x"), headers=headers)
        assert answer.status_code == 415
    answer = kept("POST", "/v1/sweeps", content=gzip.compress(b"x"), headers=headers)
    assert answer.status_code == 415


# Queries, forms and headers

LONG_QUERIES = (
    "set.hay.price_per_ton=1e400",
    "set.hay.price_per_ton=" + "9" * 50_000,
    "&".join(f"set.n{number}=1" for number in range(5_000)),
    "&".join(["set.hay.price_per_ton=1"] * 2_500),
    "set." + "a." * 20_000 + "b=1",
    "&" * 60_000,
    "=" * 60_000,
    "%" * 60_000,
    "x=" + "%00" * 20_000,
    "limit=" + "9" * 50_000,
    "limit=1e400",
    "revision=" + "9" * 50_000,
    "cursor=" + "A" * 60_000,
    "dialect=" + "x" * 60_000,
)


@pytest.mark.parametrize("query", LONG_QUERIES, ids=lambda query: query[:24])
def test_a_long_query_is_refused_in_few_words(kept, parts, query):
    for path in (
        *("/v1/scenarios", "/v1/scenarios/{scenario}/costing", "/v1/inputs", "/v1/comparisons"),
        *("/v1/cell/best_system", "/v1/scenarios/{scenario}/notes", "/v1/audit", "/v1/sweeps"),
    ):
        answer = kept.get(f"{path.format_map(parts)}?{query}")
        assert answer.status_code < 500, path
        assert len(answer.content) < 100_000 or answer.status_code == 200


QUADRATIC = (
    *(" " * 30_000 + "x", '"' + "x" * 60_000, "x" + "\t" * 60_000 + "x", ", " * 30_000 + "x"),
    *('"1"' + " " * 60_000 + "x", "W/" * 30_000, '"1",' * 15_000, "*," * 30_000, "a;q=1," * 10_000),
    *("text/" * 12_000, ";" * 60_000, "q=" * 30_000, "9" * 60_000, "wait=" + "9" * 60_000),
)
"""Long texts on which patterns are known to try the same again and again."""

READ_HEADERS = (
    *("If-Match", "If-None-Match", "Accept", "Accept-Encoding", "Prefer", "Idempotency-Key"),
    *("Content-Type", "Content-Encoding", "X-Request-Id", "X-Forwarded-For", "Authorization"),
    *("Content-Length-Of-None", "Origin", "Cookie", "Range"),
)


def in_time(asked):
    """Do what takes a few seconds at most; the square of it would take many minutes."""

    async def waited():
        await asyncio.wait_for(asyncio.to_thread(asked), 90)

    asyncio.run(waited())


@pytest.mark.parametrize("header", READ_HEADERS)
def test_a_long_header_is_gone_through_once(kept, parts, header):
    def asked():
        for value in QUADRATIC:
            for method, path in (
                ("GET", "/v1/scenarios/{scenario}/costing"),
                ("PATCH", "/v1/scenarios/{scenario}"),
                ("POST", "/v1/scenarios/{scenario}/copies"),
            ):
                headers = {"Content-Type": JSON, "If-Match": "*", header: value}
                by = None if header == "Authorization" else "admin"
                answer = kept(method, path.format_map(parts), by, headers=headers, content=b"{}")
                assert answer.status_code < 500

    in_time(asked)


def test_many_rows_with_faults_are_gone_through_a_few_times(kept):
    document = small_document()
    document["winter"]["rows"] = [{"season": f"s{number}"} for number in range(8_000)]

    def asked():
        answer = kept("POST", "/v1/costings", None, json={"document": document})
        assert answer.status_code == 422
        assert len(answer.json()["errors"]) == 200
        assert answer.json()["errors_in_all"] >= 8_000
        assert "/winter/rows/199" in answer.text

    in_time(asked)


def test_many_farms_with_faults_are_gone_through_once(kept):
    farms = [{"set": {"a": 1}, "b": 2, "c": 3, "d.e": 4}] * 8_000

    def asked():
        answer = kept("POST", "/v1/sweeps", json={"farms": farms})
        pointers = {error["pointer"] for error in answer.json()["errors"]}
        assert pointers >= {"/farms/0/b", "/farms/40/d.e"}

    in_time(asked)


# Weather and farms as tables


def _record(csv, kind="ghcn_daily"):
    return {"label": "Tansy Vale", "format": kind, "csv": csv, "latitude": 45.0}


def test_a_line_without_an_end_is_refused_before_it_is_all_there(kept):
    sent = 0

    async def line():
        nonlocal sent
        yield b'{"label":"a","format":"ghcn_daily","latitude":45,"csv":"STATION'
        for _ in range(50):
            sent += 1
            yield b"," * MEGABYTE

    with little_memory(60 * MEGABYTE):
        answer = kept("POST", "/v1/weather-records", content=line(), headers={"Content-Type": JSON})
    assert answer.status_code == 413
    assert sent * MEGABYTE <= LARGER_BODIES["/v1/weather-records"] + 2 * MEGABYTE


LONG = 2 * MEGABYTE
LONG_LINES = {
    "commas": "," * LONG,
    "digits": "DATE,TMAX,TMIN\n" + "9" * LONG,
    "one cell": "DATE,TMAX,TMIN\n2020-01-01," + "9" * LONG + ",1",
    "open quote": 'DATE,TMAX,TMIN\n"' + "x" * LONG,
    "empty lines": "\n" * LONG,
    "quotes": '"' * LONG,
    "columns": "DATE" + ",TMAX" * 100_000 + "\n1",
    "lines": "DATE,TMAX,TMIN\n" + "2020-01-01,1,x\n" * 20_000,
}


@pytest.mark.parametrize("kind", ["ghcn_long", "plain"])
@pytest.mark.parametrize("csv", LONG_LINES.values(), ids=LONG_LINES)
def test_a_weather_file_of_one_long_line_is_refused_in_few_words(kept, csv, kind):
    def asked():
        answer = kept("POST", "/v1/weather-records", json=_record(csv, kind))
        assert answer.status_code == 422, answer.text[:300]
        assert len(answer.content) < 100_000
        assert {error["pointer"] for error in answer.json()["errors"]} == {"/csv"}

    in_time(asked)


@pytest.mark.parametrize(
    "table",
    [
        b"," * LONG,
        b"hay.price_per_ton\n" + b"9" * LONG,
        b'"' + b"x" * LONG,
        b"hay.price_per_ton" + b",a" * 20_000,
        b"hay.price_per_ton\n" + b"1,2\n" * 20_000,
    ],
    ids=["commas", "digits", "open quote", "columns", "lines"],
)
def test_farms_in_one_long_line_are_refused_in_few_words(kept, parts, table):
    def asked():
        address = f"/v1/sweeps?scenario={parts['scenario']}"
        answer = kept("POST", address, content=table, headers=CSV_TYPE)
        assert answer.status_code == 422, answer.text[:300]
        assert len(answer.content) < 100_000

    in_time(asked)


# Packages


def put(kept, data):
    return kept("POST", "/v1/scenarios", content=data, headers={"Content-Type": XLSX})


def refused(kept, data):
    """Check that a workbook is refused in words, in little memory; return the words."""
    assert len(data) <= LARGEST_SHEET
    with little_memory(60 * MEGABYTE):
        answer = put(kept, data)
    assert answer.status_code == 422, answer.text[:300]
    [error] = answer.json()["errors"]
    return error["detail"]


def zipped(members, compression=zipfile.ZIP_DEFLATED):
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", compression) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return file.getvalue()


def test_a_package_in_a_package_in_a_package_is_never_opened(kept):
    inner = zipped({"zeros": b"\0" * 2 * MEGABYTE})
    for depth in range(4):
        inner = zipped({f"{depth}-{number}.zip": inner for number in range(8)})
    assert "no .xlsx workbook" in refused(kept, inner)
    with little_memory(60 * MEGABYTE):
        answer = put(kept, repacked(lambda found: found.update({"xl/embeddings/a.zip": inner})))
    assert answer.status_code < 500


def test_members_upon_the_same_bytes_are_weighed_each(kept):
    kernel = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = kernel.compress(b"\0" * MEGABYTE) + kernel.flush()
    local = struct.pack(
        *("<4sHHHHHIIIHH", b"PK\3\4", 20, 0, 8, 0, 0, zlib.crc32(b"\0" * MEGABYTE), len(packed)),
        *(MEGABYTE, 1, 0),
    )
    data = bytearray(local + b"a" + packed)
    names = [b"xl/workbook.xml", b"[Content_Types].xml", *(b"m%d" % n for n in range(450))]
    start = len(data)
    for name in names:
        data += struct.pack(
            *("<4sHHHHHHIIIHHHHHII", b"PK\1\2", 20, 20, 0, 8, 0, 0, zlib.crc32(b"\0" * MEGABYTE)),
            *(len(packed), MEGABYTE, len(name), 0, 0, 0, 0, 0, 0),
        )
        data += name
    data += struct.pack(
        "<4sHHHHIIH", b"PK\5\6", 0, 0, len(names), len(names), len(data) - start, start, 0
    )
    refused(kept, bytes(data))


def test_a_member_that_lies_about_its_size_is_refused(kept):
    data = bytearray(zipped({"xl/workbook.xml": b"\0" * 20 * MEGABYTE, "[Content_Types].xml": b""}))
    central = data.index(b"PK\1\2")
    data[central + 24 : central + 28] = struct.pack("<I", 100)  # APPNOTE, 4.4.9: size unpacked
    data[22:26] = struct.pack("<I", 100)
    refused(kept, bytes(data))


def test_more_members_than_are_counted_are_refused(kept):
    many = zipped({f"m{number}": b"" for number in range(3_000)}, zipfile.ZIP_STORED)
    assert "too many parts" in refused(kept, many)
    crowd = repacked(lambda found: found.update({f"m{n}": b"" for n in range(3_000)}))
    assert "too many parts" in refused(kept, crowd)


ROOT = b'<?xml version="1.0"?><!DOCTYPE a ['
LAUGHS = b"".join(
    b'<!ENTITY l%d "%s">' % (number, b"&l%d;" % (number - 1) * 10) for number in range(1, 10)
)
OUTSIDE = {
    "laughs": ROOT + b'<!ENTITY l0 "ha">' + LAUGHS + b"]><a>&l9;</a>",
    "one long": ROOT + b'<!ENTITY a "' + b"x" * 50_000 + b'">]><a>' + b"&a;" * 50_000 + b"</a>",
    "a file": ROOT + b'<!ENTITY f SYSTEM "file:///etc/hostname">]><a>&f;</a>',
    "an address": ROOT + b'<!ENTITY f SYSTEM "http://127.0.0.1:%d/x">]><a>&f;</a>',
    "a parameter": ROOT + b'<!ENTITY %% p SYSTEM "http://127.0.0.1:%d/x"> %%p;]><a/>',
    "a whole": b'<?xml version="1.0"?><!DOCTYPE a SYSTEM "http://127.0.0.1:%d/x"><a/>',
    "an inclusion": b'<a xmlns:x="http://www.w3.org/2001/XInclude">'
    b'<x:include href="http://127.0.0.1:%d/x"/></a>',
    "a style sheet": b'<?xml-stylesheet href="http://127.0.0.1:%d/x"?><a/>',
}
XML_PARTS = (
    *("[Content_Types].xml", "_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"),
    *("xl/sharedStrings.xml", "xl/worksheets/sheet2.xml", "docProps/core.xml"),
)


@pytest.fixture
def listening():
    """Return a port, and what tells whether anybody came to it."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.05)

        def came():
            try:
                server.accept()[0].close()
            except TimeoutError:
                return False
            return True

        yield server.getsockname()[1], came


@pytest.mark.parametrize("text", OUTSIDE.values(), ids=OUTSIDE)
def test_what_a_part_of_a_workbook_names_is_never_fetched(kept, listening, text):
    port, came = listening
    armed = text.replace(b"%d", str(port).encode()).replace(b"%%", b"%")
    for part in XML_PARTS if b"DOCTYPE" in armed else XML_PARTS[2:4]:
        assert part in zipfile.ZipFile(io.BytesIO(filled())).namelist()
        answer = put(kept, repacked(lambda found, part=part: found.update({part: armed})))
        assert answer.status_code < 500, answer.text[:300]
        if b"DOCTYPE" in armed:
            assert "declares what no workbook needs" in answer.text, part
        assert not came()


def test_links_of_a_workbook_to_elsewhere_are_not_followed(kept, listening):
    port, came = listening
    relation = (
        b'<Relationship Id="rX" Type="http://schemas.openxmlformats.org/officeDocument/2006/'
        b'relationships/externalLink" Target="http://127.0.0.1:%d/x" TargetMode="External"/>' % port
    )

    def linked(members):
        name = "xl/_rels/workbook.xml.rels"
        members[name] = members[name].replace(b"</Relationships>", relation + b"</Relationships>")

    answer = put(kept, repacked(linked))
    assert answer.status_code < 500
    assert not came()


@pytest.mark.parametrize("name", ["../../a.xml", "/a.xml", "..\\a.xml"])
def test_names_of_members_lead_nowhere(kept, name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    data = repacked(lambda found: found.update({name: b"<a/>"}))
    assert put(kept, data).status_code < 500
    assert not list(tmp_path.parent.glob("a.xml"))
    assert not list(tmp_path.iterdir())


def test_the_walk_has_something_to_refuse(kept):
    # Everything above would pass as well if no workbook were ever taken.
    assert package.fault_of(filled()) is None
    assert put(kept, filled()).status_code in {201, 409}  # its number may be there already
    body = json.dumps(small_document()).encode()
    headers = {"Content-Type": JSON}
    assert kept("POST", "/v1/scenarios", content=body, headers=headers).status_code == 201
