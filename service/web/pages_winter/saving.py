"""What an edit link opens: the form of a winter, empty or filled, and a winter kept from it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from starlette.requests import Request
from starlette.responses import Response

from service.costing.errors import InputError
from service.scenarios.access import found
from service.scenarios.desk import Caller, Desk
from service.scenarios.errors import (
    MistypedTokenError,
    StaleWinterError,
    UnknownPartError,
    UnknownScenarioError,
    UnknownTokenError,
)
from service.scenarios.kept import kept_at
from service.scenarios.past_winters import facts_as_sent, record_winter, winters
from service.scenarios.records import Credential, PastWinter
from service.scenarios.sharing import noted_use
from service.scenarios.tokens import masked
from service.web.attending import CHALLENGE, request_id_of
from service.web.bodies import refuse_other_types
from service.web.limiting.recognition import identified
from service.web.pages.farm_page import day
from service.web.pages_winter.form_fields import SYSTEM, WinterForm, last_seasons, winter_form
from service.web.pages_winter.looking_back import looked_back, what_was_kept
from service.web.pages_winter.reading import (
    Sent,
    UnreadableFormError,
    facts_from,
    placed,
    sent_form,
    texts_from,
)
from service.web.pages_winter.templating import page
from service.web.problem_kinds import (
    BODY_TOO_LARGE,
    INVALID_INPUT,
    NO_DATABASE,
    STALE_REVISION,
    TOO_LITTLE_ACCESS,
    UNKNOWN_SCENARIO,
    UNKNOWN_TOKEN,
)
from service.web.problems import ProblemError
from service.web.refusals import REFUSALS

FORM = "application/x-www-form-urlencoded"
MOST_TOLD = 50

NOTHING_KEPT = "No farms are kept here, so there is no winter to write down."
NO_CODE = "Paste the edit link, or the code at its end."
MISTYPED = "This link is mistyped or cut off: copy the whole of it."
OPENS_NOTHING = "This link has expired or was revoked, or never was: ask for a new one."
ONLY_READS = "This link only reads. A winter is written down with an edit link: ask for one."
IS_KEY = "This is the key of an office. It is not taken here: use an edit link of the farm."
GONE = "The farm that this link opened is gone, or lies in the bin."

# There are no cookies here, and a browser never adds a link's code by itself: a form on a
# stranger's page can send only what the stranger knows already. So nothing has to tell our form
# from another.


class ClosedError(Exception):
    """The code opens no form."""

    def __init__(self, status: int, sentence: str) -> None:
        self.status = status
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class Visit:
    """Whoever shows an edit link, and what stands on the farm's form."""

    token: str = field(repr=False)
    caller: Caller
    form: WinterForm
    seasons: Sequence[str]
    """The last winters, the newest first."""
    recorded: Mapping[str, PastWinter]

    @property
    def stands(self) -> PastWinter | None:
        """What is recorded of the winter of the form."""
        return self.recorded.get(self.form.season.name)

    def standing_texts(self) -> dict[str, str]:
        """Return what a form holds where that stands."""
        if self.stands is None:
            return {}
        return texts_from(self.form, self.stands.system, facts_as_sent(self.stands))


def closed(status: int = 200, trouble: str = "", *, keeps: bool = True) -> Response:
    """Return the page that asks for the code, and says why the last one did not open anything."""
    response = page("winter_open.html", status, trouble=trouble, keeps=keeps)
    if status == UNKNOWN_TOKEN.status:
        response.headers.update(CHALLENGE)
    return response


def asked(request: Request) -> Response:
    """Answer whoever comes without a code."""
    if request.app.state.desk is None:
        return closed(NO_DATABASE.status, NOTHING_KEPT, keeps=False)
    return closed()


def answered(request: Request, body: bytes) -> Response:
    """Answer a form that was sent: a code that is to open one, or a winter to be kept.

    Raises
    ------
    ProblemError
        If it is no form, or too large for one.
    """
    refuse_other_types(request, (FORM,))
    desk: Desk | None = request.app.state.desk
    if desk is None:
        return closed(NO_DATABASE.status, NOTHING_KEPT, keeps=False)
    try:
        sent = sent_form(body)
    except UnreadableFormError as error:
        raise ProblemError(BODY_TOO_LARGE, str(error)) from None
    try:
        caller, credential = _editor(request, desk, sent.token)
        response = _saved(desk, caller, sent) if sent.saves else _opened(desk, caller, sent)
    except ClosedError as error:
        return closed(error.status, str(error))
    except UnknownScenarioError:
        return closed(UNKNOWN_SCENARIO.status, GONE)
    noted_use(desk, credential, sent.token)
    return response


def _editor(request: Request, desk: Desk, token: str) -> tuple[Caller, Credential]:
    """Return who shows an edit link.

    Raises
    ------
    ClosedError
        If it is none, or opens nothing.
    """
    if not token:
        raise ClosedError(UNKNOWN_TOKEN.status, NO_CODE)
    try:
        with desk.store.reading() as session:
            caller, credential = identified(session, desk, token, request_id_of(request))
    except MistypedTokenError:
        raise ClosedError(UNKNOWN_TOKEN.status, MISTYPED) from None
    except UnknownTokenError:
        raise ClosedError(UNKNOWN_TOKEN.status, OPENS_NOTHING) from None
    if caller.kind != "link":
        raise ClosedError(TOO_LITTLE_ACCESS.status, IS_KEY)
    if caller.access != "edit":
        raise ClosedError(TOO_LITTLE_ACCESS.status, ONLY_READS)
    return caller, credential


def _visit(desk: Desk, caller: Caller, sent: Sent) -> Visit:
    """Return the form of a winter: of that which was asked for, or of the last one.

    It has the words of the revision that was the plan; while it is filled in, of that which it was
    shown with.

    Raises
    ------
    ClosedError
        If the farm has no such winter.
    """
    scenario = caller.scenario_id or ""
    with desk.store.reading() as session:
        head = found(session, caller, scenario, "change")
        recorded = {winter.season: winter for winter in winters(session, caller, scenario)}
        newest = kept_at(session, desk, head, head.revision)
        seasons = last_seasons(newest.document, desk.now().date())
        season = sent.season or seasons[0]
        number = recorded[season].planned_revision if season in recorded else head.revision
        if sent.saves and sent.revision:
            number = sent.revision
        try:
            plan = newest if number == head.revision else kept_at(session, desk, head, number)
            form = winter_form(plan.document, number, season)
        except (InputError, UnknownPartError):
            detail = "The plan of this farm has no winter of that name."
            raise ClosedError(INVALID_INPUT.status, detail) from None
    return Visit(sent.token, caller, form, seasons, recorded)


def _opened(desk: Desk, caller: Caller, sent: Sent) -> Response:
    visit = _visit(desk, caller, sent)
    version = visit.stands.version if visit.stands else 0
    return _form(visit, visit.standing_texts(), version)


def _saved(desk: Desk, caller: Caller, sent: Sent) -> Response:
    visit = _visit(desk, caller, sent)
    stands = facts_as_sent(visit.stands) if visit.stands else {}
    facts = facts_from(visit.form, sent.texts, stands)
    try:
        kept = _recorded(desk, visit, facts, sent.version)
    except InputError as error:
        return _form(visit, sent.texts, sent.version, error=error)
    except StaleWinterError:
        return _beside_what_stands(desk, caller, sent)
    except UnknownScenarioError:
        raise
    except tuple(REFUSALS) as error:
        problem = REFUSALS[type(error)](error)
        said = problem.detail or f"{problem.kind.title}."
        return _form(visit, sent.texts, sent.version, trouble=said, status=problem.kind.status)
    shown = texts_from(visit.form, kept.system, facts_as_sent(kept))
    return page(
        "winter_said.html",
        form=visit.form,
        code=visit.token,
        way=visit.form.way(kept.system),
        version=kept.version,
        kept=what_was_kept(visit.form, shown),
        back=looked_back(desk, caller, kept),
        link_ends=day(caller.expires_at),
    )


def _recorded(desk: Desk, visit: Visit, facts: dict[str, object], version: int) -> PastWinter:
    """Keep the facts upon the version that was read.

    A first winter that is sent twice by one hand is kept once: the same facts change nothing.
    """
    scenario, season = visit.caller.scenario_id or "", visit.form.season.name
    try:
        return record_winter(desk, visit.caller, scenario, season, facts, version or "new")
    except StaleWinterError:
        if version:
            raise
    return record_winter(desk, visit.caller, scenario, season, facts, version)


def _beside_what_stands(desk: Desk, caller: Caller, sent: Sent) -> Response:
    """Return the form with what was typed and, beside it, what somebody kept meanwhile."""
    visit = _visit(desk, caller, sent)
    stands = visit.stands
    there = visit.standing_texts()
    names = (SYSTEM, *visit.form.fields)
    differing = {
        name: there.get(name, "") for name in names if there.get(name) != sent.texts.get(name)
    }
    return _form(
        visit,
        sent.texts,
        stands.version if stands else 0,
        stale=True,
        beside=differing,
        status=STALE_REVISION.status,
    )


def _form(
    visit: Visit,
    texts: Mapping[str, str],
    version: int,
    *,
    error: InputError | None = None,
    trouble: str = "",
    stale: bool = False,
    beside: Mapping[str, str] | None = None,
    status: int = 200,
) -> Response:
    """Return the form with all that was typed, and what is to be put right beside its field."""
    faults = error.faults if error else ()
    by_name, others = placed(visit.form, texts.get(SYSTEM, ""), faults)
    return page(
        "winter.html",
        INVALID_INPUT.status if error else status,
        form=visit.form,
        code=visit.token,
        texts=texts,
        version=version,
        seasons=[
            (name, name in visit.recorded)
            for name in visit.seasons
            if name != visit.form.season.name
        ],
        stands=visit.stands,
        saved_by=_saved_by(visit.stands),
        faults=by_name,
        others=others[:MOST_TOLD],
        count=len(faults),
        trouble=masked(trouble),
        stale=stale,
        beside=beside or {},
        link_ends=day(visit.caller.expires_at),
    )


def _saved_by(stands: PastWinter | None) -> str:
    return f"{masked(stands.author_label)}, {day(stands.updated_at)}" if stands else ""
