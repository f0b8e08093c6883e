"""Cost many farms: a line for each farm in, a line for each farm and system out.

    python planner.py farms.csv --url http://127.0.0.1:8000 --out costs.csv [--key-file FILE]

The first column is ``external_id``, every other the path of an input (GET /v1/inputs) in the unit
of its name. An empty cell leaves what the base farm has, ``default`` the reference value; words of
a list are joined by commas; columns that begin with ``_`` are notes. What is wrong with a farm goes
to a second file, and the rest goes on. Needs httpx and nothing else. Copy it and change it.
"""

import argparse
import csv
import json
import re
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx

BASE = Path(__file__).parent / "base_farms" / "tansy_county.json"
PUT_OFF, TRIES, LONGEST_PAUSE, SAID_EVERY = (429, 503), 6, 60.0, 20
NUMBER = re.compile(r"-?\d{1,15}(\.\d{1,17})?([eE][-+]?\d{1,2})?", re.ASCII)
LISTS, TEXTS = ("groups", "ground_states"), ("external_id", "name", "title")
WORDS = {"true": True, "false": False, "default": None}
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
COSTS = (
    *("external_id", "name", "system", "title", "rank", "tie_with", "annual_equivalent_cost"),
    *("out_of_pocket", "currency", "bales_short_mean", "bales_short_worst", "acres_damaged"),
)
FAULTS = ("external_id", "line", "input", "detail", "received", "allowed", "unit", "suggestion")
Row = dict[str, Any]


class Patient(httpx.Client):
    """A client that sends again what was put off, after the seconds that it is told."""

    def send(self, request: httpx.Request, **options: Any) -> httpx.Response:  # noqa: ANN401
        """Send; what is answered 429 or 503 was not done, so it may be sent again."""
        tries = 1
        while (answer := super().send(request, **options)).status_code in PUT_OFF and tries < TRIES:
            time.sleep(pause(answer, 2.0**tries))
            tries += 1
        return answer


def pause(answer: httpx.Response, otherwise: float = 1.0) -> float:
    """Return the seconds to wait before asking again."""
    told = answer.headers.get("Retry-After", "")
    return min(float(told) if told.isdecimal() else otherwise, LONGEST_PAUSE)


def wait(api: httpx.Client, answer: httpx.Response) -> httpx.Response:
    """Return what a 202 promised; an answer that names no time to come back is there already."""
    while answer.is_success and "Retry-After" in answer.headers:
        time.sleep(pause(answer))
        answer = api.get(answer.headers.get("Location", str(answer.url)))
    return answer


def pages(api: httpx.Client, address: str | None) -> Iterator[Row]:
    """Yield the items of a list, one page after the other."""
    while address:
        page = good(api.get(address)).json()
        yield from page["items"]
        address = page["next"]


def good(answer: httpx.Response) -> httpx.Response:
    """Return an answer that is one; else end with what was said instead."""
    if not answer.is_success:
        sys.exit(" ".join(f"planner: {fault['detail']}" for fault in faults_in(answer)))
    return answer


def faults_in(answer: httpx.Response) -> list[Row]:
    """Return the faults that a problem lists (RFC 9457), or what else it says."""
    if answer.headers.get("Content-Type") != "application/problem+json":
        return [{"detail": f"answered {answer.status_code} {answer.reason_phrase}"}]
    problem = answer.json()
    return problem.get("errors") or [{"detail": problem.get("detail") or problem["title"]}]


def farms_in(path: Path) -> Iterator[tuple[Row, Row]]:
    """Yield what a line of the file is about, and the settings that it holds."""
    with path.open(newline="", encoding="utf-8-sig") as file:
        table = csv.DictReader(file, restkey="(a cell without a column)", restval="")
        names = list(table.fieldnames or [""])
        if names[0] != "external_id" or len(set(names)) < len(names):
            sys.exit("planner: external_id must be the first column, and no column come twice.")
        for cells in table:
            about = {"external_id": cells["external_id"], "line": table.line_num}
            yield about, {x: value(x, cell) for x, cell in cells.items() if cell and x[:1] != "_"}


def value(path: str, cell: str) -> Any:  # noqa: ANN401 - any value of JSON
    """Return a cell as JSON has it; what is no number stays text, to be refused as such."""
    name = path.rpartition(".")[2]
    if name in TEXTS or not isinstance(cell, str):
        return cell
    if name in LISTS:
        return cell.split(",")
    return WORDS.get(cell.lower(), float(cell) if NUMBER.fullmatch(cell) else cell)


def costed(api: httpx.Client, base: Row, about: Row, settings: Row) -> tuple[list[Row], list[Row]]:
    """Cost a farm; return its rows of costs and its rows of faults."""
    try:
        sent = api.post("/v1/costings?check_first=false", json=base | {"set": settings})
        answer = wait(api, sent)
    except httpx.TransportError as error:
        return [], [about | {"detail": f"no answer: {type(error).__name__}"}]
    if not answer.is_success:
        return [], [about | fault for fault in faults_in(answer)]
    return [about | row for row in costs_in(answer.json())], []


def costs_in(costing: Row) -> Iterator[Row]:
    """Yield a row for each system, the cheapest first."""
    for system in costing["systems"]:
        bales = system["quantities"]["bales"]
        yield {
            **{name: system[name] for name in COSTS if name in system},
            "name": costing["inputs_used"].get("name"),
            "currency": costing["currency"],
            "tie_with": " ".join(system["tie_with"]),
            **{f"bales_{name}": bales[name] for name in ("short_mean", "short_worst")},
            "acres_damaged": sum(system["quantities"]["acres_damaged"].values()),
        }


def base_of(api: httpx.Client, named: str) -> Row:
    """Return what every farm is made of: a document, or a stored scenario by either of its ids."""
    if Path(named).is_file():
        base: Row = {"document": json.loads(Path(named).read_text("utf-8"))}
    else:
        query = httpx.QueryParams({"external_id": named})
        found = [one["id"] for one in pages(api, f"/v1/scenarios?{query}")]
        base = {"scenario": found[0] if found else named}
    good(api.post("/v1/costings", json=base))  # what is wrong here is wrong for every farm
    return base


def key_in(file: Path, url: httpx.URL) -> str:
    """Return the key in a file: no command line, history or list of processes shows it."""
    words = file.read_text("utf-8").split()
    if len(words) != 1 or not words[0].isascii():
        sys.exit(f"planner: {file} should hold one key and nothing else.")
    if url.scheme != "https" and url.host not in ("127.0.0.1", "::1", "localhost"):
        sys.exit("planner: a key goes over https alone.")
    return words[0]


@contextmanager
def table(path: Path, columns: tuple[str, ...]) -> Iterator[Callable[[list[Row]], None]]:
    """Open a table that rows can be added to; a spreadsheet takes no text in it for a formula."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        yield lambda rows: writer.writerows([plain(row.get(x)) for x in columns] for row in rows)


def plain(cell: Any) -> Any:  # noqa: ANN401 - any value of JSON
    """Return a cell with an apostrophe before what could be a formula."""
    return f"'{cell}" if isinstance(cell, str) and cell.lstrip(" ").startswith(FORMULA) else cell


def main(arguments: list[str]) -> int:
    """Cost the farms that the command line names; return 1 if any of them was refused."""
    asked = argparse.ArgumentParser(description="Cost many farms.")
    asked.add_argument("farms", type=Path, help="CSV: external_id, then paths of inputs")
    asked.add_argument("--url", type=httpx.URL, default="http://127.0.0.1:8000")
    asked.add_argument("--out", type=Path, default=Path("costs.csv"))
    asked.add_argument("--base", default=str(BASE), help="a document, or the id of a scenario")
    asked.add_argument("--key-file", type=Path, help="file that holds an office key")
    given = asked.parse_args(arguments)
    key = {"Authorization": f"Bearer {key_in(given.key_file, given.url)}"} if given.key_file else {}
    farms, refused, wrong = list(farms_in(given.farms)), 0, given.out.with_suffix(".faults.csv")
    with Patient(base_url=given.url, headers=key, timeout=60) as api, ThreadPoolExecutor(2) as pool:
        try:
            base = base_of(api, given.base)
        except httpx.TransportError as error:
            sys.exit(f"planner: no answer from {given.url}: {error}")
        answers = pool.map(lambda farm: costed(api, base, *farm), farms)
        with table(given.out, COSTS) as add_costs, table(wrong, FAULTS) as add_faults:
            for done, (costs, faults) in enumerate(answers, start=1):
                add_costs(costs)
                add_faults(faults)
                refused += bool(faults)
                if done % SAID_EVERY == 0 or done == len(farms):
                    print(f"{done} of {len(farms)} farms, {refused} refused", file=sys.stderr)
    return int(refused > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
