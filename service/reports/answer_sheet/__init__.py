"""A scenario as a workbook to fill in, and as CSV; and back without loss.

``template`` and ``csv_of`` write, ``read_workbook`` and ``read_csv`` read. What is read is a
document and the place of each input; ``placed`` says of faults found later in which cell they are.
"""

from service.reports.answer_sheet.csv_file import csv_of, read_csv
from service.reports.answer_sheet.faults import CellFault, place_of, placed
from service.reports.answer_sheet.reading import read_workbook
from service.reports.answer_sheet.writing import About, template

__all__ = [
    "About",
    "CellFault",
    "csv_of",
    "place_of",
    "placed",
    "read_csv",
    "read_workbook",
    "template",
]
