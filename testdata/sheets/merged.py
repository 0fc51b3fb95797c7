#!/usr/bin/python3
"""Writes merged.xls: toads of an invented seep, whose dates and sites stand in cells that are merged over rows.

Made with python3-xlwt 1.3.0-4 of Debian: python3 merged.py, in this folder.
"""
import datetime

import xlwt

ROWS = [
    ["Date", "Site", "No", "Sex", "SVL mm"],
    [datetime.date(2024, 5, 3), "Alder Seep", 1, "F", 61],
    [None, None, 2, "M", 55],
    [None, None, 3, "M", 57.5],
    [datetime.date(2024, 5, 4), None, 4, "F", 66.5],
    [None, None, 5, "M", 58],
    [datetime.date(2024, 5, 5), "Old Ferry Ditch", 6, "M", 60],
    [None, None, 7, "F", 64],
]
MERGED = [(1, 3, 0), (1, 5, 1), (4, 5, 0)]  # first row, last row, column, from 0

book = xlwt.Workbook()
sheet = book.add_sheet("Toads")
day = xlwt.easyxf(num_format_str="YYYY-MM-DD")
under = {(r, c): (a, b) for a, b, c in MERGED for r in range(a, b + 1)}
for r, row in enumerate(ROWS):
    for c, value in enumerate(row):
        style = day if isinstance(value, datetime.date) else xlwt.Style.default_style
        if (r, c) in under:
            first, last = under[r, c]
            if r == first:
                sheet.write_merge(first, last, c, c, value, style)
        elif value is not None:
            sheet.write(r, c, value, style)
book.save("merged.xls")
