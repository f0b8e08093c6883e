"""How a request comes before the desk: in a thread, with its token looked up first.

A request that reads does so in one session together with the look-up of its token. One that acts
has its token looked up in a session of its own; the act then opens the session it needs.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from anyio.to_thread import run_sync
from pydantic import BaseModel, ConfigDict
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios.costings import note_opened, opened, opened_before
from service.scenarios.desk import Caller, Desk
from service.scenarios.errors import MistypedTokenError, UnknownTokenError
from service.scenarios.records import Credential, StoredCosting
from service.scenarios.repositories import Session
from service.scenarios.sharing import noted_use, seen_in_url, use_to_note
from service.scenarios.tokens import kind_of
from service.web.answers import is_head
from service.web.limiting.meter import token_known, token_refused
from service.web.limiting.recognition import identified
from service.web.observing.request_log import seen_of
from service.web.problem_kinds import NO_DATABASE, NO_TOKEN, UNKNOWN_LINK, UNKNOWN_TOKEN
from service.web.problems import ProblemError

BEARER = "bearer"
WARNING = timedelta(days=30)
"""How long before its end a token says when that is."""
MISPLACED = (
    "Only a read link may stand in an address, and only to read. Whatever else stood there may be "
    "known to others now: revoke it and make a new one."
)
CHALLENGE = {"WWW-Authenticate": 'Bearer realm="winterground"'}


class TokenParameter(BaseModel):
    """The token of a read link in the address; every address that can be read takes it."""

    model_config = ConfigDict(extra="forbid")

    token: str | None = None


@dataclass(frozen=True, slots=True)
class Shown:
    """The token that a request shows, and where."""

    token: str
    in_url: bool


@dataclass(frozen=True, slots=True)
class Opened:
    """A stored costing, the token that opens it, and what is kept of that."""

    shown: Shown
    credential: Credential
    costing: StoredCosting


def desk_of(request: Request) -> Desk:
    """Return the desk.

    Raises
    ------
    ProblemError
        If the service keeps nothing.
    """
    desk = request.app.state.desk
    if desk is None:
        raise ProblemError(NO_DATABASE)
    return desk


def shown_by(request: Request) -> Shown | None:
    """Return the token that a request shows, in its header or in the address; None without one."""
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    if (token := token.strip()) and scheme.lower() == BEARER:
        return Shown(token, in_url=False)
    token = request.query_params.get("token", "")
    return Shown(token, in_url=True) if token else None


async def reading(request: Request, work: Callable[[Session, Caller], Response]) -> Response:
    """Answer a request that only reads, in one session with the look-up of its token."""
    return await run_sync(_read, request, work)


async def acting(request: Request, work: Callable[[Caller], Response]) -> Response:
    """Answer a request that acts, or that needs more than one session."""
    return await run_sync(_act, request, work)


async def opening(request: Request, desk: Desk, scenario_id: str, costing_id: str) -> Opened:
    """Return a stored costing and what opens it: what is asked most, and takes least.

    It is looked up here and now where the store has it at hand; handing so little to a thread
    would take longer than the look-up.
    """
    shown = shown_by(request)
    if shown is None or shown.in_url:
        shown = await run_sync(_demanded, request, desk)
    if desk.store.answers_at_once:
        return _opened(request, desk, shown, scenario_id, costing_id)
    return await run_sync(_opened, request, desk, shown, scenario_id, costing_id)


def _opened(
    request: Request, desk: Desk, shown: Shown, scenario_id: str, costing_id: str
) -> Opened:
    with desk.store.at_once() as session:
        try:
            credential, costing = opened(session, desk, shown.token, scenario_id, costing_id)
        except UnknownTokenError as error:
            token_refused()
            raise _refusal(shown, error) from None
    token_known(credential.id)
    _note_who(request, credential)
    return Opened(shown, credential, costing)


async def opened_answer(
    request: Request, desk: Desk, known: Opened, response: Response
) -> Response:
    """Note what is noted once a day, and say when the token expires."""
    credential, costing = known.credential, known.costing
    if use_to_note(desk, credential):
        await run_sync(noted_use, desk, credential, known.shown.token)
    if opened_before(desk, costing) and not is_head(request):
        await run_sync(note_opened, desk, costing)
    return _expiry_told(credential, desk.now(), response)


def _read(request: Request, work: Callable[[Session, Caller], Response]) -> Response:
    desk = desk_of(request)
    shown = _demanded(request, desk)
    with desk.store.reading() as session:
        caller, credential = _caller(session, desk, shown, request)
        response = work(session, caller)
    return _after(desk, shown, credential, response)


def _act(request: Request, work: Callable[[Caller], Response]) -> Response:
    desk = desk_of(request)
    shown = _demanded(request, desk)
    with desk.store.reading() as session:
        caller, credential = _caller(session, desk, shown, request)
    return _after(desk, shown, credential, work(caller))


def _demanded(request: Request, desk: Desk) -> Shown:
    """Return the token that a request shows, if it adds up and stands where it may.

    Raises
    ------
    ProblemError
        If there is none, if it is mistyped or cut off, which is told without the store, or if it
        stands in an address where it must not.
    """
    shown = shown_by(request)
    if shown is None:
        raise ProblemError(NO_TOKEN, headers=CHALLENGE)
    try:
        kind = kind_of(shown.token)
    except MistypedTokenError as error:
        raise _refusal(shown, error) from None
    if shown.in_url and (kind != "read_link" or request.method != "GET"):
        _note_seen(desk, shown)
        raise ProblemError(UNKNOWN_LINK, MISPLACED)
    return shown


def _note_seen(desk: Desk, shown: Shown) -> None:
    """Note of a token that it stood in an address, if it opens anything."""
    with desk.store.reading() as session:
        try:
            _, credential = identified(session, desk, shown.token)
        except UnknownTokenError:
            return
    seen_in_url(desk, credential)


def _caller(
    session: Session, desk: Desk, shown: Shown, request: Request
) -> tuple[Caller, Credential]:
    """Look up who shows a token.

    Raises
    ------
    ProblemError
        If the token opens nothing.
    """
    try:
        caller, credential = identified(session, desk, shown.token, request_id_of(request))
    except UnknownTokenError as error:
        raise _refusal(shown, error) from None
    _note_who(request, credential)
    return caller, credential


def _note_who(request: Request, credential: Credential) -> None:
    """Let the log know whose request it is, by ids alone."""
    seen = seen_of(request.scope)
    if seen is not None:
        seen.office, seen.credential = credential.office_id, credential.id


def _refusal(shown: Shown, error: UnknownTokenError) -> ProblemError:
    if shown.in_url:
        return ProblemError(UNKNOWN_LINK, str(error))
    return ProblemError(UNKNOWN_TOKEN, str(error), headers=CHALLENGE)


def request_id_of(request: Request) -> str:
    """Return the id of a request."""
    return str(request.scope.get("request_id", ""))


def _after(desk: Desk, shown: Shown, credential: Credential, response: Response) -> Response:
    noted_use(desk, credential, shown.token)
    return _expiry_told(credential, desk.now(), response)


def _expiry_told(credential: Credential, now: datetime, response: Response) -> Response:
    if credential.expires_at - now < WARNING:
        response.headers["Token-Expires"] = f"{credential.expires_at:%Y-%m-%dT%H:%M:%SZ}"
    return response
