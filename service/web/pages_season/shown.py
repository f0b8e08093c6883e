"""Plan, card and calendar of one system, as a scenario and the link to it show them."""

from datetime import date
from typing import Literal

from starlette.requests import Request
from starlette.responses import Response

from service.scenarios.chosen import Chosen
from service.season.plan.calendar_file import calendar_of
from service.season.plan.card import card_of
from service.season.plan.planned import planned
from service.web.pages_season.card_page import card_page
from service.web.pages_season.plan_page import plan_page
from service.web.season_forms import CALENDAR, revalidated

View = Literal["plan", "card", "calendar"]
CALENDAR_TYPE = f"{CALENDAR}; charset=utf-8"


def shown(request: Request, view: View, found: Chosen, today: date) -> Response:
    """Show a plan or a card as a page, or the plan as a calendar file.

    Parameters
    ----------
    request : Request
        May say which calendar file the caller has.
    view : str
        Which of the three.
    found : Chosen
        The system and the winter.
    today : date
        From when on the page says what comes next.
    """
    name, revision = found.subject.scenario.name or "", found.kept.revision.number
    if view == "card":
        return card_page(card_of(found.subject), name=name, revision=revision)
    plan = planned(found.subject)
    if view == "plan":
        return plan_page(plan, name=name, revision=revision, today=today)
    scenario = found.kept.head.id
    content = calendar_of(plan, uid=scenario, stamp=found.kept.revision.created_at)
    saved = {"Content-Disposition": f'inline; filename="plan-{scenario}-{revision}.ics"'}
    return revalidated(request, content, CALENDAR_TYPE, saved)
