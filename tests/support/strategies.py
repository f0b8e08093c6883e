"""Farms drawn at random around the invented one: herd, winters, land, plans, sizes and finance."""

from copy import deepcopy

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from service.costing.units import STATES
from tests.support import situations as of

WINTER_DAYS = 121

few = settings(
    max_examples=12,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
"""A farm takes a while to draw and to cost."""


def amounts(low, high):
    """Draw a number to a tenth, so that nothing next to nothing comes up."""
    return st.integers(round(low * 10), round(high * 10)).map(lambda tenths: tenths / 10)


@st.composite
def ground_days(draw):
    """Draw how 121 days fall into the four ground states; a state may have none."""
    cuts = sorted(draw(st.lists(st.integers(0, WINTER_DAYS), min_size=3, max_size=3)))
    parts = [high - low for low, high in zip([0, *cuts], [*cuts, WINTER_DAYS], strict=True)]
    return of.days(*map(float, parts))


@st.composite
def winters(draw):
    """Draw one to three winters, with temperatures or without."""
    rows = [
        of.row(
            f"w{number}",
            draw(ground_days()),
            draw(amounts(0.1, 3)),
            growth=draw(amounts(0, 2)),
            hay=draw(amounts(0.5, 2)),
            rain_in=draw(amounts(0, 30)),
            temperature=draw(st.none() | amounts(-20, 50)),
        )
        for number in range(draw(st.integers(1, 3)))
    ]
    spells = {state: draw(amounts(1, 12)) for state in STATES}
    return of.three_winters(rows=rows, spell_days=spells)


@st.composite
def lands(draw):
    """Draw the fields, from too small to ample, and what was repaired last spring."""
    land = of.land()
    for field in land["fields"].values():
        field["acres"] = draw(amounts(0.5, 80))
        field["drainage"] = draw(st.sampled_from(["well", "moderate", "poor"]))
        field["forage_yield_ton_dm_per_acre"] = draw(amounts(0, 5))
    repaired = draw(st.none() | amounts(0, 20))
    return land | ({} if repaired is None else {"acres_repaired_last_spring": repaired})


@st.composite
def plans(draw, land):
    """Draw the systems: the steps of each with their limits, and the sizes of their floors."""
    hard = st.lists(st.sampled_from(STATES), min_size=1, unique=True)
    hours = draw(amounts(1, 23))
    on_part = {"ground_states": draw(hard), "share_of_herd": draw(amounts(0.1, 1))}
    spell = {"min_spell_days": float(draw(st.integers(1, 4)))}
    longest = draw(st.none() | amounts(0.5, 80))
    most = {} if longest is None else {"max_days": longest}
    meadow = land["fields"]["long_meadow"]["acres"]
    grass = of.on_grass(
        acres=meadow * draw(amounts(0.1, 1)),
        nitrogen_lb_per_acre=draw(amounts(0, 80)),
        days_per_move=draw(amounts(0.5, 20)),
        **on_part | spell,
    )
    bales = of.on_bales(
        bales_set_out=draw(amounts(1, 400)), spacing_ft=draw(amounts(15, 120)), **on_part | most
    )
    systems = of.all_systems()
    systems["grass"]["plan"] = [grass, of.on_lot()]
    systems["bales"]["plan"] = [bales, of.on_lot(**most), of.on_lot()]
    systems["pad"]["plan"] = [of.on_pad(hours_on_method=hours), of.on_lot()]
    systems["pad"]["structures"]["pad"] |= draw(pad_sizes())
    systems["mixed"] = {
        "plan": [bales | spell, grass, of.on_pad(hours_on_method=hours, **most), of.on_lot()],
        "structures": deepcopy(systems["pad"]["structures"]),
    }
    return systems


def pad_sizes():
    """Draw a pad by rule, of a size, or an existing one that is enlarged."""
    existing = st.fixed_dictionaries(
        {
            "existing_area_sqft": amounts(500, 9_000),
            "remaining_life_years": st.integers(0, 20).map(float),
            "tie_in_cost": amounts(0, 900),
        }
    )
    return st.just({}) | st.fixed_dictionaries({"area_sqft": amounts(500, 9_000)}) | existing


@st.composite
def farms(draw, *names):
    """Draw a farm; with names, only those of its systems, the first as the baseline."""
    land = draw(lands())
    systems = draw(plans(land))
    chosen = {name: systems[name] for name in names or systems}
    finance = {
        "real_rate": draw(amounts(-0.2, 1.5)) / 10,
        "horizon_years": float(draw(st.integers(1, 30))),
    }
    herd = {of.COWS: of.cows(draw(amounts(1, 300))), of.EWES: of.ewes(draw(amounts(1, 200)))}
    return of.farm(chosen, winter=draw(winters()), herd=herd, land=land, finance=finance)
