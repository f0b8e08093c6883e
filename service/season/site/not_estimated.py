"""What a screening does not say, and why."""

from service.season.site.records import NotEstimated

ALWAYS = (
    NotEstimated(
        "Share of the nitrogen and phosphorus that reaches water",
        "It depends on each storm, the path of the water and the state of the ground. No model of "
        "a single farm's feeding ground is good enough to print a number; published runoff trials "
        "give a direction and not an amount.",
    ),
    NotEstimated(
        "Nitrogen and phosphorus of grazed grass, soil and bought fertilizer",
        "They were on the farm already, or are spread by plan. Counted is what hay brings.",
    ),
    NotEstimated(
        "Bacteria",
        "They grow and die with weather and sun; nothing entered here tells how many reach water "
        "or a well. Have wells tested.",
    ),
    NotEstimated(
        "Leaching to groundwater",
        "It needs the depth of soil and of the water table and what lies between, which a visit to "
        "the site finds out.",
    ),
    NotEstimated(
        "Floods",
        "Whether and how often the ground goes under water is not among the answers. Look at the "
        "flood map and ask neighbors.",
    ),
    NotEstimated(
        "Plants lost for good on the feeding ground",
        "Published trials of beef on feeding paddocks do not give a share of plants lost; acres by "
        "how badly they are trodden stand in the costing.",
    ),
)
NO_DISTANCE = NotEstimated(
    "Nutrients near water on fields without a distance",
    "The distance to water is not given for {fields}; what falls there is left out of the sums "
    "near water.",
)
