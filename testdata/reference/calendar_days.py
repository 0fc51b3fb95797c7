#!/usr/bin/python3
"""Write calendar_days.csv: weekday, day of the year and spreadsheet day numbers
of days from 1900-03-01 to 2099, by Python's datetime and pandas."""
import datetime as dt
import sys

import pandas as pd

start = dt.date(1900, 3, 1)
with open("calendar_days.csv", "w") as f:
    f.write(f"# made by calendar_days.py with Python {sys.version.split()[0]} and pandas {pd.__version__}\n")
    f.write("date,weekday,yearday,serial1900,serial1904\n")
    for i in range(0, 73000, 137):
        d = start + dt.timedelta(days=i)
        serial = (pd.Timestamp(d) - pd.Timestamp("1899-12-30")).days
        mac = (pd.Timestamp(d) - pd.Timestamp("1904-01-01")).days
        f.write(f"{d.isoformat()},{d.isoweekday()},{d.timetuple().tm_yday},{serial},{mac if mac >= 0 else ''}\n")
