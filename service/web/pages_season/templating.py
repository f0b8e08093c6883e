"""How the pages of a season are filled: by the rules of all pages, in a style of their own."""

from functools import cache
from importlib.resources import files

from jinja2 import ChoiceLoader, Environment, PackageLoader
from markupsafe import Markup
from starlette.responses import HTMLResponse

from service.web.pages import templating as pages

STYLE = "season.css"


def page(template: str, **content: object) -> HTMLResponse:
    """Return a page that loads nothing, runs nothing and sends nothing."""
    style = _style()
    text = _environment().get_template(template).render(style=style, **content)
    policy = pages.content_policy(style)
    return HTMLResponse(text, headers={**pages.PAGE_HEADERS, "Content-Security-Policy": policy})


@cache
def _environment() -> Environment:
    own = PackageLoader("service.web.pages_season")
    loader = ChoiceLoader([own, PackageLoader("service.web.pages")])
    return pages.environment().overlay(loader=loader)


@cache
def _style() -> Markup:
    text = (files("service.web.pages_season") / "templates" / STYLE).read_text("utf-8")
    return Markup(text)  # noqa: S704 - our own file
