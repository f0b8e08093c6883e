"""Somebody tells of a winter on a phone: opens the form, fills it in, sends it."""

from datetime import UTC, datetime
from urllib.parse import urlencode

from service.demo import demo_document
from tests.support.offices import Clock, desk
from tests.web.form_read import FORM, FormPage
from tests.web.keeping import Keeping

AFTER_WINTER = datetime(2027, 5, 20, 7, 30, tzinfo=UTC)
SEASON = "2026-27"
WAY = "by_the_ground"


class Phone:
    """Somebody with an edit link of the demo farm, in the spring after its winter."""

    def __init__(self, app, document=None):
        self.kept = Keeping(app, desk(now=Clock(AFTER_WINTER)))
        self.scenario = self.kept.stored(document or demo_document())
        self.token = self.kept.link(self.scenario, "edit")

    def post(self, pairs):
        """Send a form."""
        return self.kept.call("POST", "/winter", content=urlencode(pairs), headers=FORM)

    def open(self, token=None, **more):
        """Send the code alone."""
        return self.post({"code": self.token if token is None else token, **more})

    def form(self, **more):
        """Return the form that the link opens."""
        answer = self.open(**more)
        assert answer.status_code == 200, answer.text
        return FormPage(answer.text)

    def save(self, page=None, **texts):
        """Fill the form and send it."""
        return self.post(filled(page or self.form(), texts))

    def faulty(self, **texts):
        """Return the form that comes back with faults; nothing is kept."""
        answer = self.save(**texts)
        assert answer.status_code == 422, answer.text
        assert self.recorded() == []
        return FormPage(answer.text)

    def recorded(self):
        """Return the winters that the interface answers."""
        return self.kept.get(f"/v1/scenarios/{self.scenario}/winters").json()["items"]

    def facts(self):
        """Return the facts of the only winter."""
        (one,) = self.recorded()
        return one["facts"]

    def put(self, facts, season=SEASON, **headers):
        """Record a winter through the interface."""
        path = f"/v1/scenarios/{self.scenario}/winters/{season}"
        return self.kept("PUT", path, "write", json=facts, headers=headers)


def standing(page):
    """Return what a browser would send of the form that saves, as it stands."""
    start = next(number for number, one in enumerate(page.elements) if one[1].get("id") == "winter")
    found = {}
    for tag, given in page.elements[start:]:
        is_picked = given.get("type") == "radio"
        if tag == "input" and (not is_picked or "checked" in given):
            found[given["name"]] = given.get("value") or ""
        elif tag == "textarea":
            found[given["name"]] = page.by_id.get(given["id"], "").removeprefix("\n")
    return found


def filled(page, texts):
    """Return the form with other texts; a name has dots where a keyword has two underscores."""
    given = {name.replace("__", "."): text for name, text in texts.items()}
    found = standing(page)
    assert given.keys() <= {one.get("name") for _, one in page.elements}, given.keys()
    return found | given
