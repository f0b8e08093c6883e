"""Scenarios and revisions side by side as a table: one row a scenario, revision and system."""

from collections.abc import Mapping
from typing import Any

from service.reports.tables.table import IDENTIFYING, Column, Row, Table, identity

Document = Mapping[str, Any]

OF_THE_SCENARIO = ("name", "costing", "price_year", "winters", "best_system")


def comparison_table(compared: Document) -> Table:
    """Return a comparison as a table.

    Parameters
    ----------
    compared : mapping
        The comparison as it is answered: what is ``compared``, each with its ``systems``, and the
        ``figures`` with title and unit.

    Returns
    -------
    Table
        Amounts are in the currency of their row; units have its name where it is one for all.
    """
    figures = [
        Column(figure["figure"], figure["title"], figure["unit"]) for figure in compared["figures"]
    ]
    columns = [
        *IDENTIFYING,
        Column("name", "Name"),
        Column("costing", "Costing"),
        Column("price_year", "Prices of"),
        Column("winters", "Winters"),
        Column("best_system", "Cheapest system"),
        Column("system", "System"),
        Column("system_title", "Title of the system"),
        Column("rank", "Rank"),
        *figures,
    ]
    rows: list[Row] = [
        identity(entry, entry)
        | {
            **{name: entry[name] for name in OF_THE_SCENARIO},
            "system": system["system"],
            "system_title": system["title"],
            "rank": system["rank"],
            **{figure.name: system[figure.name] for figure in figures},
        }
        for entry in compared["compared"]
        for system in entry["systems"]
    ]
    return Table("comparison", columns, rows)
