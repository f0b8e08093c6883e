"""The farm page of a costing, whether it is kept or not."""

from collections.abc import Sequence

from starlette.responses import HTMLResponse

from service.costing.scenario import Scenario
from service.scenarios.desk import Document
from service.web.pages.farm_page import Circumstances, farm_page
from service.web.pages.kept_answers import KeptAnswers
from service.web.pages.page_pictures import ShownPicture, pictures_of
from service.web.pages.templating import page
from service.web.pages.what_changes import Asked, asked_of
from service.web.reading import scenario_of

TEMPLATE = "farm.html"
STYLE = "farm.css"
SCRIPT = "what_if.js"

UNSAVED = Circumstances()

ASKED: KeptAnswers[tuple[Asked, Sequence[ShownPicture]]] = KeptAnswers()
"""By the id of a stored costing, which never changes and belongs to one scenario.

What others have asked of the same farm is not looked for: the time that a page takes would tell.
"""


def page_of(
    body: Document, document: Document | None = None, more: Circumstances = UNSAVED
) -> HTMLResponse:
    """Return the farm page of a costing.

    Parameters
    ----------
    body : dict
        The costing as it was answered.
    document : dict, optional
        What was costed, with the winters of a record in their place; the inputs that the costing
        says it used, if not given, which cost the same.
    more : Circumstances
        What is known beside it; nothing of a costing that is not kept.
    """
    what_if = more.what_if
    if more.told:
        content = farm_page(body, more, None, [])
    else:
        asked, pictures = _at_hand(body, document or body["inputs_used"])
        content = farm_page(body, more, asked, pictures)
    status = 422 if what_if is not None and what_if.faults else 200
    script = SCRIPT if what_if is not None else None
    return page(TEMPLATE, status, styles=(STYLE,), script=script, farm=content)


def _at_hand(body: Document, document: Document) -> tuple[Asked, Sequence[ShownPicture]]:
    """Return what is asked and drawn; kept for the next reader only if the costing is kept."""
    stored = body.get("id")
    return ASKED.get(stored, lambda: _asked(body, document)) if stored else _asked(body, document)


def _asked(body: Document, document: Document) -> tuple[Asked, Sequence[ShownPicture]]:
    scenario: Scenario = scenario_of(document)
    asked = asked_of(body, scenario)
    return asked, pictures_of(body, asked.hay)
