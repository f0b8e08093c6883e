"""The lines that do not agree, by case; why stands in each line."""

DISAGREEING: dict[str, set[str]] = {
    "V02": {"2012: urea 500, hay 40", "2019: urea 400, hay 60"},
}
NOT_COMPARED: dict[str, set[str]] = {}
