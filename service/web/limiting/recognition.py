"""The look-up of a token, with a note for the meter of whose it is or that it opens nothing."""

from service.scenarios import access
from service.scenarios.desk import Caller, Desk
from service.scenarios.errors import UnknownTokenError
from service.scenarios.records import Credential
from service.scenarios.repositories import Session
from service.web.limiting.meter import token_known, token_refused


def identified(
    session: Session, desk: Desk, token: str, request_id: str = ""
) -> tuple[Caller, Credential]:
    """Return who shows a token, and what is kept of it.

    Raises
    ------
    UnknownTokenError
        If it is mistyped or opens nothing.
    """
    try:
        caller, credential = access.identified(session, desk, token, request_id)
    except UnknownTokenError:
        token_refused()
        raise
    token_known(credential.id)
    return caller, credential
