"""The table of prices: what each operation is charged, in units, and why.

A unit is about a millisecond of one core, so that a caller who spends 60,000 of them in a minute
keeps one core busy. The figures follow what `python -m tests.benchmarks` measures, rounded; what
only waits or reads a row or two is 1. What shows only while a request is worked on (how many
systems and winters it costed, how many recorded winters it went through) is charged afterwards.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

from service.web.limiting.meter import Meter

COSTING, SYSTEM, WINTERS_PER_UNIT = 5, 2, 250
"""A costing: what each takes, what each system adds, and how many winters of a system are a unit.
Seven systems and 12 winters were measured at 20 ms, 12,000 winters at 17 times that."""

WINTER = 130
"""A recorded winter held against its plan for own figures: twelve took 1.8 s."""

PART = 20
"""A part of a question takes up to a second, but of workers that are few, and what waits is
limited for each office by itself; so it is charged less than it takes."""

FAILED_LOOK_UP = 20
"""A token that opens nothing: it takes a look-up and is never needed twice. Charged to the address
it came from, it slows down whoever tries one token after the other."""

BYTES_PER_UNIT = 4096
"""Reading: 37 years of daily weather, some 500 kB, are read and counted in 0.1 to 0.2 s."""

OTHERWISE = 1
"""What is at no address of the table, and answered by 404 or 405."""


@dataclass(frozen=True, slots=True)
class Price:
    """What an operation is charged, in units."""

    units: int
    """Before it is worked on."""
    why: str
    costs: bool = False
    """Whether it costs the documents that it reads."""
    winter: int = 0
    """Afterwards, for each recorded winter."""
    part: int = 0
    """Afterwards, for each part of work that was begun."""

    def owed(self, meter: Meter) -> int:
        """Return what is charged afterwards."""
        owed = meter.recorded_winters * self.winter + meter.parts * self.part
        if self.costs:
            owed += meter.documents * COSTING + meter.systems * SYSTEM
            owed += meter.system_winters // WINTERS_PER_UNIT
        return owed


FREE = Price(0, "Health, documentation and what is static must answer whoever is slowed down.")
READ = Price(1, "A row or two are looked up, or what is at hand is written out.")
PAGE_OF_LIST = Price(3, "Up to 200 rows are read and written out.")
CHANGE = Price(5, "Something is written, with its audit entry, and synced to disk.")
STORE = Price(5, "A document is read, checked and written: 3.5 ms.")
COST = partial(Price, costs=True)

PRICES: Mapping[str, Price] = {
    "get_live": FREE,
    "get_ready": FREE,
    "show_documentation": FREE,
    "get_asset": FREE,
    "get_openapi": FREE,
    "list_problems": FREE,
    "get_problem": FREE,
    "get_stored_costing": COST(1, "Answered as it is kept; tables and differences add little."),
    "get_cell": COST(2, "One figure of a costing that is kept, or that is made first."),
    "get_costing": COST(2, "Answered as it is kept, or made first."),
    "cost_document": COST(1, "Costed each time."),
    "get_workings": COST(25, "The engine with workings takes more than twice as long."),
    "get_chart": COST(15, "A picture takes 15 to 51 ms."),
    "compare_scenarios": COST(10, "Several costings are read, or made first."),
    "get_farm_page": COST(3, "From what is kept 13 ms once its pictures are at hand."),
    "get_scenario_page": COST(3, "As the page of a link."),
    "get_annex": COST(40, "An annex reads a costing and works it again for its figures."),
    "get_annex_page": COST(40, "As the annex, as a page."),
    "get_annex_table": COST(40, "As the annex, as a table."),
    "get_annex_pdf": COST(1000, "Setting a PDF takes seconds."),
    "get_plan": COST(60, "Dates, hay and a late week, costed again: 78 to 117 ms."),
    "get_card": COST(40, "The card of a plan: 59 ms."),
    "get_site": COST(15, "Distances and slopes: 31 ms."),
    "get_review": COST(
        10, "A winter against its plan is eight costings of one document.", winter=60
    ),
    "get_own_figures": COST(10, "Every recorded winter is costed several times.", winter=WINTER),
    "get_start_form": READ,
    "send_start_form": COST(60, "A farm is filled in, costed and looked at for its guesses."),
    "list_quick_start_questions": READ,
    "answer_quick_start": COST(60, "A farm is filled in, costed and looked at for its guesses."),
    "ask_question": Price(20, "Read and made ready; its parts are charged too.", part=PART),
    "answer_question": COST(100, "Answered at once, in up to about two seconds."),
    "list_analyses": PAGE_OF_LIST,
    "get_analysis": READ,
    "cancel_analysis": CHANGE,
    "forget_analysis": CHANGE,
    "start_sweep": Price(20, "Read and cut into chunks, which are charged too.", part=PART),
    "list_sweeps": PAGE_OF_LIST,
    "get_sweep": READ,
    "get_sweep_results": Price(20, "Chunks are unpacked and streamed."),
    "list_sweep_problems": Price(10, "Faults of many farms are written out."),
    "cancel_sweep": CHANGE,
    "forget_sweep": CHANGE,
    "create_scenario": STORE,
    "replace_scenario": STORE,
    "change_scenario": STORE,
    "copy_scenario": STORE,
    "restore_revision": STORE,
    "list_scenarios": PAGE_OF_LIST,
    "get_scenario": READ,
    "bin_scenario": CHANGE,
    "restore_scenario": CHANGE,
    "erase_scenario": Price(20, "Erased for good, with the log of the database truncated."),
    "list_revisions": PAGE_OF_LIST,
    "get_revision": Price(2, "A document is read; as an answer sheet it is written out."),
    "get_changes": COST(5, "Two documents are compared, and what that did to the answer."),
    "list_costings": PAGE_OF_LIST,
    "list_winters": PAGE_OF_LIST,
    "get_winter": READ,
    "record_winter": CHANGE,
    "get_winter_page": READ,
    "send_winter_form": COST(5, "A winter is kept, and looked back upon."),
    "create_link": CHANGE,
    "list_links": PAGE_OF_LIST,
    "revoke_link": CHANGE,
    "add_note": CHANGE,
    "list_notes": PAGE_OF_LIST,
    "add_weather_record": Price(20, "Daily weather is read and its winters counted, by size too."),
    "list_weather_records": PAGE_OF_LIST,
    "get_weather_record": Price(3, "Winters of a record are written out."),
    "classify_weather_record": Price(100, "The winters of a kept record are counted anew."),
    "delete_weather_record": CHANGE,
    "get_weather_days": Price(50, "Decades of days are written out."),
    "list_weather_settings": READ,
    "get_template": Price(30, "A workbook is written."),
    "get_trust_page": PAGE_OF_LIST,
    "get_trust_text": PAGE_OF_LIST,
    "get_trust_records": PAGE_OF_LIST,
    "get_trust_document": READ,
    "list_methods": READ,
    "list_structures": READ,
    "list_figures": PAGE_OF_LIST,
    "list_inputs": PAGE_OF_LIST,
    "list_places": READ,
    "list_reference_values": PAGE_OF_LIST,
    "get_reference_value": READ,
    "list_sources": PAGE_OF_LIST,
    "list_audit": PAGE_OF_LIST,
    "create_key": CHANGE,
    "list_keys": PAGE_OF_LIST,
    "revoke_key": CHANGE,
    "get_me": READ,
    "get_version": READ,
}
"""By the operation's name in the description; pages of forms by the name of their function."""

UNKNOWN = Price(OTHERWISE, "Nothing is there.")
