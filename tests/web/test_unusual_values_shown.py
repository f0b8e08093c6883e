"""That a farmer's page says in words which value is out of its usual range."""

from service.demo import demo_document
from tests.web.farm_page_read import costing_of, page_on


def test_an_unusual_value_is_said_in_a_sentence():
    document = demo_document()
    document["assumptions"]["hay_waste.ring_open"] = 0.6
    costing = costing_of(document)
    page = page_on(costing)

    (warning,) = costing["warnings"]
    assert warning["sentence"] in page.text
    assert "unusual_value" not in page.text
