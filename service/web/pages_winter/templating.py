"""How the form of a winter and what it ends on are filled: by the rules of all pages."""

from functools import cache
from importlib.resources import files

from jinja2 import ChoiceLoader, Environment, PackageLoader
from markupsafe import Markup
from starlette.responses import HTMLResponse

from service.web.pages import templating as pages

SHARED_STYLE = "page.css"
STYLES = (("service.web.pages_start", "start.css"), ("service.web.pages_winter", "winter.css"))
"""The look of forms, and what this one adds to it."""

SCRIPT = ("service.web.pages_winter", "winter.js")


def page(template: str, status: int = 200, **content: object) -> HTMLResponse:
    """Return a page that runs its own script alone, sends forms to its own host, and is not kept.

    Parameters
    ----------
    template : str
        Name of the template.
    status : int
        HTTP status.
    **content
        What the template is filled with.
    """
    style, script = _style(), _own(*SCRIPT)
    text = _environment().get_template(template).render(style=style, script=script, **content)
    policy = pages.content_policy(style, script)
    return HTMLResponse(
        text, status, headers={**pages.PAGE_HEADERS, "Content-Security-Policy": policy}
    )


@cache
def _environment() -> Environment:
    own = PackageLoader("service.web.pages_winter")
    loader = ChoiceLoader([own, PackageLoader("service.web.pages")])
    return pages.environment().overlay(loader=loader)


@cache
def _style() -> Markup:
    return Markup("\n").join([pages.own_text(SHARED_STYLE), *(_own(*named) for named in STYLES)])


@cache
def _own(package: str, name: str) -> Markup:
    text = (files(package) / "templates" / name).read_text("utf-8")
    return Markup(text)  # noqa: S704 - our own files
