"""The page of all cases, of what could not be checked, and of the review of reference values."""

from collections.abc import Sequence
from functools import cache
from importlib.resources import files

from jinja2 import ChoiceLoader, Environment, PackageLoader
from markupsafe import Markup

from service.trust import review_wording, wording
from service.trust.gaps import not_rebuilt, unchecked
from service.trust.records import CLAIMS, ORIGINS, Case
from service.trust.review_records import GRADES, Review, ten_values
from service.web.pages import templating as pages

TEMPLATE, STYLE = "trust.html", "trust.css"


def trust_page(cases: Sequence[Case], review: Review) -> str:
    """Return the page; nothing in it is loaded from elsewhere.

    Parameters
    ----------
    cases : sequence of Case
        In the order of the page.
    review : Review
        Of the reference values.
    """
    told = [thing for thing in review.things if review_wording.is_told(thing.move)]
    return (
        _environment()
        .get_template(TEMPLATE)
        .render(
            style=own_style(),
            words=wording,
            review_words=review_wording,
            claims=CLAIMS,
            origins=ORIGINS,
            grades=GRADES,
            cases=cases,
            review=review,
            ten_values=ten_values(),
            ranked=(told[: review_wording.OPEN_RANKS], told[review_wording.OPEN_RANKS :]),
            unchecked=unchecked(),
            not_rebuilt=not_rebuilt(),
        )
    )


@cache
def own_style() -> Markup:
    """Return the style sheet of the page."""
    text = (files("service.web.pages_trust") / "templates" / STYLE).read_text("utf-8")
    return Markup(text)  # noqa: S704 - our own file


@cache
def _environment() -> Environment:
    own = PackageLoader("service.web.pages_trust")
    loader = ChoiceLoader([own, PackageLoader("service.web.pages")])
    return pages.environment().overlay(loader=loader)
