"""How the form and what stands around the farm's page are filled: by the rules of all pages."""

from functools import cache
from importlib.resources import files

from jinja2 import ChoiceLoader, Environment, PackageLoader
from markupsafe import Markup
from starlette.responses import HTMLResponse

from service.web.pages import templating as pages

SHARED_STYLE = "page.css"
NO_FORM, OWN_FORM = "form-action 'none'", "form-action 'self'"
HEADER_ENDS, MAIN_ENDS = "</header>", "</main>"


def page(template: str, status: int = 200, **content: object) -> HTMLResponse:
    """Return a page that loads nothing, runs nothing, and sends a form to its own host alone."""
    style = _style()
    text = _rendered(template, style=style, **content)
    policy = _with_form(pages.content_policy(style))
    return HTMLResponse(
        text, status, headers={**pages.PAGE_HEADERS, "Content-Security-Policy": policy}
    )


def around(farm_page: HTMLResponse, **content: object) -> HTMLResponse:
    """Return the farm's page with what the form has to say after its heading and at its end.

    Texts of a farm are escaped: none of them can be taken for the end of an element.
    """
    before = _rendered("answered_before.html", **content)
    after = _rendered("answered_after.html", **content)
    text = bytes(farm_page.body).decode()
    head, header, rest = text.partition(HEADER_ENDS)
    main, end, tail = rest.rpartition(MAIN_ENDS)
    policy = _with_form(farm_page.headers["Content-Security-Policy"])
    return HTMLResponse(
        f"{head}{header}{before}{main}{after}{end}{tail}",
        farm_page.status_code,
        headers={**pages.PAGE_HEADERS, "Content-Security-Policy": policy},
    )


def _rendered(template: str, **content: object) -> str:
    return _environment().get_template(template).render(**content)


def _with_form(policy: str) -> str:
    return policy.replace(NO_FORM, OWN_FORM)


@cache
def _environment() -> Environment:
    shared = pages.environment()
    own = PackageLoader("service.web.pages_start")
    return shared.overlay(loader=ChoiceLoader([own, PackageLoader("service.web.pages")]))


@cache
def _style() -> Markup:
    own = (files("service.web.pages_start") / "templates" / "start.css").read_text("utf-8")
    return pages.own_text(SHARED_STYLE) + Markup(own)  # noqa: S704 - our own file
