"""What each error of the desk becomes over HTTP: one table."""

import logging
from collections.abc import Callable, Mapping

from fastapi import FastAPI, Request
from starlette.responses import Response

from service.scenarios import errors
from service.web import problem_kinds as kinds
from service.web.leaf_rules import received, said
from service.web.observing.log_format import text_of_error
from service.web.problems import ProblemError, problem_of

RETRY_AFTER_SECONDS = 2

log = logging.getLogger(__name__)


def etag_of_revision(number: int, form: str = "") -> str:
    """Return the strong entity tag of a revision (RFC 9110, section 8.8.3).

    Another form than JSON has one of its own; what changes a scenario takes either.
    """
    return f'"{number}-{form}"' if form else f'"{number}"'


def _stale(error: Exception) -> ProblemError:
    assert isinstance(error, errors.StaleRevisionError)  # noqa: S101 - tells the type checker
    return ProblemError(
        kinds.STALE_REVISION,
        f"Revision {error.current} stands now.",
        errors=[
            {"input": path, "detail": f"{path} differs in revision {error.current}."}
            for path in error.differing
        ],
        headers={"ETag": etag_of_revision(error.current)},
    )


def _stale_winter(error: Exception) -> ProblemError:
    assert isinstance(error, errors.StaleWinterError)  # noqa: S101 - tells the type checker
    if error.current is None:
        return ProblemError(kinds.STALE_WINTER, "No such winter is recorded.")
    return ProblemError(
        kinds.STALE_WINTER,
        f"Version {error.current} stands now.",
        errors=[
            {
                "input": path,
                "detail": f"{path} differs in version {error.current}: {said(stands)} stands, "
                f"{said(sent)} was sent.",
                **({} if sent is None else {"received": received(sent)}),
            }
            for path, stands, sent in error.differing
        ],
        headers={"ETag": etag_of_revision(error.current)},
    )


def _unread_winter(error: Exception) -> ProblemError:
    assert isinstance(error, errors.UnreadWinterError)  # noqa: S101 - tells the type checker
    detail = (
        "The winter is recorded already. Send If-Match with the ETag of the version you have read; "
        f'"{error.current}" stands.'
    )
    return ProblemError(kinds.PRECONDITION_REQUIRED, detail)


def _taken(error: Exception) -> ProblemError:
    assert isinstance(error, errors.ExternalIdTakenError)  # noqa: S101 - tells the type checker
    where = ", which lies in the bin" if error.binned else ""
    detail = f"Scenario {error.scenario_id}{where} has this external id."
    return ProblemError(
        kinds.EXTERNAL_ID_TAKEN,
        detail,
        errors=[{"input": "external_id", "detail": detail, "suggestion": error.scenario_id}],
    )


def _in_use(error: Exception) -> ProblemError:
    assert isinstance(error, errors.RecordInUseError)  # noqa: S101 - tells the type checker
    return ProblemError(
        kinds.RECORD_IN_USE,
        errors=[
            {"detail": f"Scenario {scenario} takes its winters from it.", "received": scenario}
            for scenario in error.scenarios
        ],
    )


def _later(kind: kinds.Kind) -> Callable[[Exception], ProblemError]:
    return lambda _: ProblemError(kind, headers={"Retry-After": str(RETRY_AFTER_SECONDS)})


def _busy(_: Exception) -> ProblemError:
    detail = f"Send the request again in {RETRY_AFTER_SECONDS} seconds."
    return ProblemError(kinds.STORE_BUSY, detail, headers={"Retry-After": str(RETRY_AFTER_SECONDS)})


def _full(_: Exception) -> ProblemError:
    return ProblemError(kinds.STORE_FULL, "Whoever runs the service must make room first.")


def _said(kind: kinds.Kind) -> Callable[[Exception], ProblemError]:
    return lambda error: ProblemError(kind, str(error))


def _plain(kind: kinds.Kind) -> Callable[[Exception], ProblemError]:
    return lambda _: ProblemError(kind)


REFUSALS: Mapping[type[Exception], Callable[[Exception], ProblemError]] = {
    errors.TooLittleAccessError: _said(kinds.TOO_LITTLE_ACCESS),
    errors.UnknownScenarioError: _plain(kinds.UNKNOWN_SCENARIO),
    errors.UnknownPartError: _said(kinds.UNKNOWN_PART),
    errors.BinnedError: _plain(kinds.BINNED_SCENARIO),
    errors.NotBinnedError: _plain(kinds.NOT_BINNED),
    errors.ExternalIdTakenError: _taken,
    errors.StaleRevisionError: _stale,
    errors.StaleWinterError: _stale_winter,
    errors.UnreadWinterError: _unread_winter,
    errors.TooManyWintersError: _said(kinds.TOO_MANY_WINTERS),
    errors.LastAdminKeyError: _plain(kinds.LAST_ADMIN_KEY),
    errors.TooManyLinksError: _said(kinds.TOO_MANY_LINKS),
    errors.KeyInFlightError: _later(kinds.KEY_IN_FLIGHT),
    errors.StoreBusyError: _busy,
    errors.StoreFullError: _full,
    errors.UnknownWeatherRecordError: _plain(kinds.UNKNOWN_WEATHER_RECORD),
    errors.RecordInUseError: _in_use,
    errors.UnknownSweepError: _plain(kinds.UNKNOWN_SWEEP),
    errors.SweepEndedError: _said(kinds.SWEEP_ENDED),
    errors.JobEndedError: _said(kinds.ANALYSIS_ENDED),
    errors.TooManyJobsError: _later(kinds.TOO_MANY_ANALYSES),
    errors.KeyReusedError: _plain(kinds.KEY_REUSED),
    errors.SecretShownError: lambda error: ProblemError(kinds.SECRET_SHOWN, f"It made {error}."),
}


def answer_refusals(app: FastAPI) -> None:
    """Make every error of the desk a problem."""
    for error in REFUSALS:
        app.add_exception_handler(error, _on_refusal)


def _on_refusal(request: Request, error: Exception) -> Response:
    problem = REFUSALS[type(error)](error)
    if isinstance(error, errors.StoreBusyError):
        # A line, not forty: while a database is away this is said of each request.
        cause = text_of_error(error.__cause__ or error)
        log.error("request %s: %s", request.scope.get("request_id", ""), cause)
    elif problem.kind.status >= kinds.INTERNAL_ERROR.status:
        log.error("request %s: %s", request.scope.get("request_id", ""), error, exc_info=error)
    return problem_of(problem)
