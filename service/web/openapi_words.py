"""What the description of the interface says in words, and its tags."""

TITLE = "Winterground"
DESCRIPTION = """\
What each way of feeding beef cows and sheep through a wet winter costs a farm per year.

Send a scenario, get every system costed and compared; or store it, change it together, share it by
a link and compare it with others. Units are in the names of inputs and figures and again as
`x-unit`; money is in the scenario's currency at constant prices.

**Keys and links.** What is stored belongs to an office and is opened by one of its keys, or by a
share link of one scenario: `Authorization: Bearer`. A read link's token may also stand in the
address of a GET, as `token=`. What belongs to others is answered as what does not exist. `/v1/me`
says what a key or link may do; its last 30 days are announced by the header `Token-Expires`.

**Changes.** A scenario's ETag is its revision. What changes it needs `If-Match`, so that nobody's
change is lost; a change that stands already is answered again. A POST that stores something takes
an `Idempotency-Key`: the same key and body give the same answer for 24 hours.

**Lists** come a page at a time: follow `next`, or the header `Link`, as it stands. Catalogues and
tables come as JSON or CSV, some as XLSX: add `.csv` or `.xlsx` to the address, or `format=csv`, or
ask by `Accept`; `dialect` suits a spreadsheet. HEAD works wherever GET does. An `X-Request-Id` is
sent back. Times are UTC (RFC 3339). Whatever is not a success is a problem (RFC 9457) that names
every fault at once.

Planning figures from the answers given; not an engineering design, a permit, a grant decision,
veterinary or tax advice.
"""
TAGS = [
    {"name": "Costing", "description": "Cost a scenario as it is sent; nothing is stored."},
    {
        "name": "Scenarios",
        "description": "Store, change, restore, copy, cost and compare scenarios; every revision "
        "stays.",
    },
    {
        "name": "Questions",
        "description": "What an adviser asks of a costing: at what price, how sure, in which "
        "winters, how many animals, which plan.",
    },
    {
        "name": "After the decision",
        "description": "The chosen system with dates and materials, winters as they were, and what "
        "they teach of the farm.",
    },
    {
        "name": "Weather",
        "description": "Daily weather, the winters that are counted in it, and by what.",
    },
    {"name": "Sharing", "description": "Share links, notes, and the page that a farm opens."},
    {
        "name": "Spreadsheets",
        "description": "Single numbers for a cell; costings and comparisons come as tables and "
        "workbooks where they stand.",
    },
    {
        "name": "Many farms",
        "description": "Many farms or settings costed at once; the results come as CSV.",
    },
    {"name": "Reference", "description": "What can be asked and answered, and every default."},
    {"name": "Office", "description": "Keys, who did what, state and versions of the service."},
]
"""In reading order."""
