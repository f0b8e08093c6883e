"""An annex as a page, and that page as PDF where the library for it is installed."""

from functools import cache
from importlib import import_module
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader
from markupsafe import Markup

from service.web.annexes.annex import Annex
from service.web.annexes.layout import blocks_of, is_long, unknown_lines
from service.web.pages import templating as pages

PACKAGE = "service.web.annexes"


class NoPdfError(Exception):
    """The library that makes PDF is not installed."""


def html_of(annex: Annex) -> str:
    """Return an annex as a page that loads nothing and runs nothing."""
    return (
        _environment()
        .get_template("annex.html")
        .render(
            style=_style(),
            annex=annex,
            blocks=blocks_of(annex),
            unknown=unknown_lines(annex),
            dense=is_long(annex),
        )
    )


def pdf_of(annex: Annex) -> bytes:
    """Return an annex as PDF.

    Raises
    ------
    NoPdfError
        If the library for it is not installed.
    """
    try:
        library: Any = import_module("weasyprint")
    except (ImportError, OSError) as error:  # OSError: the system's text libraries are missing
        raise NoPdfError from error
    return library.HTML(string=html_of(annex), url_fetcher=_refused).write_pdf()


def _refused(url: str, *_: object, **__: object) -> dict[str, object]:
    """Refuse to load anything: a page holds all that it needs."""
    message = f"nothing is loaded from {url[:40]!r}"
    raise ValueError(message)


def content_policy() -> str:
    """Return what browsers may do with a page: show it in its own style."""
    return pages.content_policy(_style())


@cache
def _environment() -> Environment:
    return pages.environment().overlay(loader=PackageLoader(PACKAGE))


@cache
def _style() -> Markup:
    text = (files(PACKAGE) / "templates" / "annex.css").read_text("utf-8")
    return Markup(text)  # noqa: S704 - our own file
