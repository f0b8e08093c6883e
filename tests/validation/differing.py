"""The lines that do not agree, by case; why stands in each line."""

DISAGREEING: dict[str, set[str]] = {
    "V02": {"2012: urea 500, hay 40", "2019: urea 400, hay 60"},
    "V01": {"Bought hay, as the text reads", "Bought hay against raised hay"},
    "V04": {"The processor's extra cost for the winter"},
    "V11": {"Slatted unit: with 10 % maintenance, as the text says"},
    "R02": {"Saving an animal unit, 15 % of hay wasted"},
    "R05": {
        "Phosphorus at the printed 0.03 %",
        "Potassium, second mention",
        "Phosphorus in money",
        "Potassium in money",
        "All three in money",
    },
    "R09": {"32 days by what the cow eats"},
    "R10": {"Corn residue for 60 days, then hay", "Stockpiled fescue for 90 days, then hay"},
    "R18": {
        "Once a week, 45 minutes a move, a cow and day",
        "Every second day against once a week",
    },
    "V05": {
        "100 cows: cost of the cone against shredding",
        "300 cows: cost of the cone against shredding",
        "100 cows: cost of the cone against rolling out",
    },
    "V07": {
        "Potassium kept on the ground, against what the soil gained",
        "Saving of bale grazing against pens",
        "Saving of bale grazing, a cow and day",
        "Saving of shredding on grass against pens",
        "Saving of shredding on grass, a cow and day",
    },
    "V08": {
        "Hay saved by a day on corn stalks, against a day on grass",
    },
    "R03": {
        "Grass without nitrogen",
        "Grass that 46 lb of nitrogen adds",
        "Days an acre, for 1,000 lb of cow",
        "Days an acre that nitrogen adds",
        "Days an acre lasts 25 cows of 1,200 lb",
    },
    "R11": {
        "Cow-days a hectare of corn against barley",
    },
    "R15": {
        "Days that 4 ha feed 500 ewes",
    },
    "S02": {
        "Dry prairie: grass of the year after",
        "Clay, as it was fed on: what feeding does to the ground",
        "Clay, as it was fed on, frozen: grass of the year after",
        "Clay, had it been wet: what feeding does to the ground",
    },
    "A": {
        "Waste: open ring",
        "Work: bale grazing, 366 head",
        "Work: strip grazing, 180 head",
        "Grazing against hay, work and machines, 30 cows: wire moved every day",
        "Grazing against hay, work and machines, 30 cows: wire moved every three days",
        "Worth of nutrients of a ton of hay: unrolled",
        "Worth of nutrients of a ton of hay: bale grazed",
        "Worth of nutrients of a ton of hay: lot",
        "K2O that a cow of 1,250 lb leaves a day",
        "Gravel pad, a cow",
        "Stockpiled grass: days an acre, for 1,000 lb of cow",
    },
}
NOT_COMPARED: dict[str, set[str]] = {
    "V01": {"Mix: the 30 days of raised hay, spread over the winter"},
    "R11": {"Cost a cow-day: triticale, corn, barley, pens"},
    "R13": {"Feed for a lb of gain"},
    "R15": {"Cost a ewe, housed against on swedes"},
    "A": {"Waste: shredded on snow"},
}
