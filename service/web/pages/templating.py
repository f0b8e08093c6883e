"""How pages are filled: what is filled in is text, never markup, and cannot turn lines around."""

import re
from base64 import b64encode
from functools import cache
from hashlib import sha256
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.responses import HTMLResponse

UNRULY = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""Control characters, and those that reverse the text after them."""

PAGE_HEADERS = {
    "Cache-Control": "no-store",
    "Vary": "Accept",
    "X-Robots-Tag": "noindex",
}


def page(template: str, status: int = 200, **content: object) -> HTMLResponse:
    """Return a page that loads nothing, runs nothing and is not kept.

    Parameters
    ----------
    template : str
        Name of the template.
    status : int
        HTTP status.
    **content
        What the template is filled with.
    """
    text = environment().get_template(template).render(style=_style(), **content)
    return HTMLResponse(
        text, status, headers={**PAGE_HEADERS, "Content-Security-Policy": content_policy()}
    )


@cache
def environment() -> Environment:
    """Return the templates; whatever is filled into them is escaped."""
    return Environment(
        loader=PackageLoader("service.web.pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=tamed,
    )


@cache
def content_policy() -> str:
    """Return what browsers may do with a page: show it in its own style, by the style's digest."""
    digest = b64encode(sha256(_style().encode()).digest()).decode()
    return (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; "
        "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
    )


def tamed(value: object) -> object:
    """Return what is filled in without characters that could do more than be read."""
    if isinstance(value, Markup) or not isinstance(value, str):
        return value
    return UNRULY.sub("", value)


@cache
def _style() -> Markup:
    text = (files("service.web.pages") / "templates" / "page.css").read_text("utf-8")
    return Markup(text)  # noqa: S704 - our own file
