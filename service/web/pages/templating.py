"""How pages are filled: what is filled in is text, never markup, and cannot turn lines around."""

import re
from base64 import b64encode
from collections.abc import Sequence
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
STYLES = ("page.css",)


def page(
    template: str,
    status: int = 200,
    *,
    styles: Sequence[str] = STYLES,
    script: str | None = None,
    **content: object,
) -> HTMLResponse:
    """Return a page that loads nothing from elsewhere and is not kept.

    Parameters
    ----------
    template : str
        Name of the template.
    status : int
        HTTP status.
    styles : sequence of str
        Names of the style sheets that it has.
    script : str, optional
        Name of the script that it may run; it may then ask its own host, and send a form there.
    **content
        What the template is filled with.
    """
    style = own_text(*styles)
    code = own_text(script) if script else Markup()
    text = environment().get_template(template).render(style=style, script=code, **content)
    policy = content_policy(style, code)
    return HTMLResponse(text, status, headers={**PAGE_HEADERS, "Content-Security-Policy": policy})


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
def content_policy(style: str, script: str = "") -> str:
    """Return what browsers may do with a page: show it in its own style, run its own script.

    Both are known by the digests of their text.
    """
    allowed = [f"default-src 'none'; style-src {_digest(style)}; img-src data:"]
    if script:
        allowed.append(f"script-src {_digest(script)}; connect-src 'self'; form-action 'self'")
    else:
        allowed.append("form-action 'none'")
    return "; ".join((*allowed, "frame-ancestors 'none'; base-uri 'none'"))


def tamed(value: object) -> object:
    """Return what is filled in without characters that could do more than be read."""
    if isinstance(value, Markup) or not isinstance(value, str):
        return value
    return UNRULY.sub("", value)


@cache
def own_text(*names: str) -> Markup:
    """Return style sheets or scripts as they go into a page."""
    folder = files("service.web.pages") / "templates"
    text = "\n".join((folder / name).read_text("utf-8") for name in names)
    return Markup(text)  # noqa: S704 - our own files


def _digest(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"
