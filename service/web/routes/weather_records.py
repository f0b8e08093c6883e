"""Weather records: daily weather of an office, its winters, and how they are counted."""

from functools import cache
from typing import Annotated

from fastapi import APIRouter, Path, Query
from pydantic import AfterValidator, Field
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios import weather_records
from service.scenarios.access import needs
from service.scenarios.desk import Caller
from service.scenarios.replays import Answer, Then
from service.scenarios.repositories import Session
from service.scenarios.weather_records import Shown
from service.web import tables
from service.web.answers import faults_told, json_answer, json_bytes
from service.web.attending import TokenParameter, acting, desk_of, reading
from service.web.bodies import json_body, posted_once
from service.web.cursors import PageParameters, Paging
from service.web.identifiers import possible
from service.web.negotiation import CATALOG_CACHING, CSV, JSON, TableParameters, wants_csv
from service.web.problem_kinds import INVALID_PARAMETER
from service.web.problems import ProblemError
from service.web.routes.office import NO_STORE, last_id, private_table
from service.web.weather_answers import (
    WINTER_COLUMNS,
    record_body,
    record_item,
    settings_body,
    winter_rows,
)
from service.web.weather_bodies import read_classification, read_new_record, record_pointer

RECORDS = "/v1/weather-records"
ADDRESS_FORMS = (".csv", ".json", "")
"""The plain address last: it would take the others for ids."""

Added = tuple[Shown, bool]
"""A record, and whether it is new."""

RecordId = Annotated[
    str,
    Path(title="Weather record", description="Id of a weather record."),
    AfterValidator(possible),
]

router = APIRouter(tags=["Weather"])


class RecordParameters(TokenParameter, TableParameters):
    """Which winters of a record, and in which form."""

    classifier: str | None = Field(
        None,
        max_length=40,
        title="Classifier",
        description="An earlier classification; the newest, if not given.",
    )


@router.post(
    RECORDS,
    status_code=201,
    operation_id="add_weather_record",
    summary="Keep daily weather",
    responses={200: {"description": "These days are kept already; they were counted as sent."}},
    openapi_extra={"x-body": "NewWeatherRecord", "x-answer": "KeptWeatherRecord"},
)
async def add_weather_record(request: Request) -> Response:
    """Keep a record of daily weather and count its winters.

    The answer's `rows` are what `winter.rows` of a scenario takes; a scenario may as well name the
    record as `winter.weather_record`. The same days sent again are kept once, under the label that
    they have, and counted by the settings that come with them. A body may have 10 MiB.
    """
    sent = await json_body(request)

    def work(caller: Caller) -> Response:
        needs(caller, "write", office=True)
        desk = desk_of(request)
        with faults_told(record_pointer):
            asked = read_new_record(sent)

        def act(then: Then[Added]) -> Added:
            with faults_told(record_pointer):
                return weather_records.add_record(desk, caller, asked, then)

        return posted_once(request, desk, caller, sent, act, _added)

    return await acting(request, work)


@router.get(f"{RECORDS}.json", include_in_schema=False)
@router.get(
    RECORDS,
    operation_id="list_weather_records",
    summary="The office's weather records",
    openapi_extra={"x-answer": "WeatherRecordList"},
)
async def list_weather_records(
    request: Request, parameters: Annotated[PageParameters, Query()]
) -> Response:
    """List the weather records of the office, the newest first, without their winters."""

    def work(session: Session, caller: Caller) -> Response:
        paging = Paging(request, desk_of(request), caller, "weather records", parameters)
        rows = weather_records.records(session, caller, last_id(paging), paging.wanted)
        return paging.answer(rows, record_item, lambda row: (row.id,))

    return await reading(request, work)


@router.get(
    f"{RECORDS}/{{record}}/days.csv",
    operation_id="get_weather_days",
    summary="The days of a weather record",
    response_class=Response,
    responses={200: {"content": {CSV: {"schema": {"type": "string"}}}}},
)
async def get_weather_days(
    request: Request, record: RecordId, parameters: Annotated[TokenParameter, Query()]
) -> Response:
    """Return the days as plain columns, in °C, mm and cm, as they can be sent again."""
    del parameters

    def work(session: Session, caller: Caller) -> Response:
        days = weather_records.days_of(session, caller, record)
        return Response(
            days,
            media_type=f"{CSV}; charset=utf-8; header=present",
            headers=NO_STORE | {"Content-Disposition": 'attachment; filename="weather-days.csv"'},
        )

    return await reading(request, work)


async def get_weather_record(
    request: Request, record: RecordId, parameters: Annotated[RecordParameters, Query()]
) -> Response:
    """Return a record with its winters as they were counted last, or by an earlier classification.

    As CSV it is the winters alone, a row each.
    """

    def work(session: Session, caller: Caller) -> Response:
        body = record_body(_found(session, caller, record, parameters.classifier))
        if not wants_csv(request, parameters):
            return json_answer(body, headers={"Vary": "Accept"})
        table = tables.table(WINTER_COLUMNS, winter_rows(body), parameters.dialect)
        return private_table("winters", table, parameters)

    return await reading(request, work)


for suffix in ADDRESS_FORMS:
    router.add_api_route(
        f"{RECORDS}/{{record}}{suffix}",
        get_weather_record,
        methods=["GET"],
        operation_id=f"get_weather_record_as_{suffix[1:]}" if suffix else "get_weather_record",
        summary="A weather record",
        openapi_extra={"x-answer": "KeptWeatherRecord", "x-table": True},
        include_in_schema=not suffix,
    )


@router.patch(
    f"{RECORDS}/{{record}}",
    operation_id="classify_weather_record",
    summary="Count the winters of a record anew",
    openapi_extra={"x-body": "WeatherClassification", "x-answer": "KeptWeatherRecord"},
)
async def classify_weather_record(request: Request, record: RecordId) -> Response:
    """Count the winters by other settings; what is not given stays as it was counted last.

    How they were counted before stays listed. A stored scenario keeps the winters that it has
    until its own `winter.weather_classifier` is changed, or set to null to take the newest.
    """
    sent = await json_body(request)

    def work(caller: Caller) -> Response:
        needs(caller, "write", office=True)
        desk = desk_of(request)
        with desk.store.reading() as session:
            now = weather_records.settings_now(session, caller, record)
        with faults_told(record_pointer):
            settings = read_classification(sent, now)
            shown = weather_records.reclassify(desk, caller, record, settings)
        return json_answer(record_body(shown))

    return await acting(request, work)


@router.delete(
    f"{RECORDS}/{{record}}",
    status_code=204,
    operation_id="delete_weather_record",
    summary="Delete a weather record",
)
async def delete_weather_record(request: Request, record: RecordId) -> Response:
    """Delete a record with its winters for good, unless a scenario takes its winters from it."""

    def work(caller: Caller) -> Response:
        weather_records.delete_record(desk_of(request), caller, record)
        return Response(status_code=204, headers=NO_STORE)

    return await acting(request, work)


@router.get("/v1/weather-settings.json", include_in_schema=False)
@router.get(
    "/v1/weather-settings",
    operation_id="list_weather_settings",
    summary="How winters are counted",
    openapi_extra={"x-answer": "WeatherSettingsCatalog"},
)
async def list_weather_settings() -> Response:
    """List drainage classes, thresholds with presets, the numbers of the method, file formats.

    `mark` says where a number comes from: seen in the source named, from memory of it and still
    to be checked, or our own choice.
    """
    return Response(_settings(), media_type=JSON, headers={"Cache-Control": CATALOG_CACHING})


@cache
def _settings() -> bytes:
    return json_bytes(settings_body())


def _added(added: Added) -> Answer:
    shown, new = added
    address = f"{RECORDS}/{shown.record.id}"
    headers = {"Location" if new else "Content-Location": address}
    return Answer(201 if new else 200, json_bytes(record_body(shown)), headers, shown.record.id)


def _found(session: Session, caller: Caller, record_id: str, classifier: str | None) -> Shown:
    """Return a record under a classification.

    Raises
    ------
    ProblemError
        If it was never classified so; names the classifications that there are.
    """
    newest = weather_records.shown(session, caller, record_id)
    if classifier is None:
        return newest
    known = [found.classifier for found in newest.classifications]
    if classifier in known:
        return weather_records.shown(session, caller, record_id, classifier)
    error = {
        "input": "classifier",
        "detail": f"The winters of this record were never counted so; known: {', '.join(known)}.",
        "received": classifier,
    }
    raise ProblemError(INVALID_PARAMETER, errors=[error])
