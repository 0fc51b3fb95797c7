#!/usr/bin/python3
"""Writes the table of EPSG codes and the table of datum shifts.

    python3 datums.py ../quality_epsg.csv ../quality_datum_shifts.csv

Codes: geographic 2D reference systems in degrees, geodetic datums and datum
ensembles, ellipsoids; deprecated ones left out.

Shifts: the greatest distance on the ground, in
metres rounded up, between coordinates taken to be on WGS 84 and the same
numbers on any other datum (an EPSG transformation to WGS 84 by three or seven
parameters), at each fifth degree.
"""
import csv
import math
import sqlite3
import sys

import pyproj
from pyproj.database import get_database_metadata

VERSION = "EPSG dataset %s of %s, as carried by PROJ %s" % (
    get_database_metadata("EPSG.VERSION"), get_database_metadata("EPSG.DATE"), pyproj.proj_version_str)
DEGREES = "('6422', '6424')"  # coordinate systems of latitude and longitude in degrees


def codes(db, out):
    queries = [
        ("crs", "select code, name from geodetic_crs where auth_name = 'EPSG' and type = 'geographic 2D'"
                " and deprecated = 0 and cast(coordinate_system_code as text) in " + DEGREES),
        ("datum", "select code, name from geodetic_datum where auth_name = 'EPSG' and deprecated = 0"),
        ("ellipsoid", "select code, name from ellipsoid where auth_name = 'EPSG' and deprecated = 0"),
    ]
    with open(out, "w", encoding="utf-8", newline="") as f:
        f.write("# EPSG codes and names of geographic 2D reference systems in degrees, geodetic datums and ellipsoids."
                " Source: %s; written by boundaries/datums.py.\n" % VERSION)
        w = csv.writer(f, lineterminator="\n")
        w.writerow(["code", "kind", "name"])
        for kind, query in queries:
            for code, name in sorted(db.execute(query), key=lambda r: int(r[0])):
                w.writerow([code, kind, name])


OPERATIONS = """
    select distinct h.code
    from helmert_transformation_table h
    join geodetic_crs s on s.auth_name = h.source_crs_auth_name and s.code = h.source_crs_code
    where h.auth_name = 'EPSG' and h.deprecated = 0 and h.target_crs_auth_name = 'EPSG' and h.target_crs_code = 4326
      and s.type = 'geographic 2D' and s.deprecated = 0 and cast(s.coordinate_system_code as text) in ('6422', '6424')
    order by cast(h.code as integer)"""


def shifts(db, out):
    """A datum may be written for any place, so that its area of use sets no bounds."""
    lats = [max(-89.9, min(89.9, lat)) for lat in range(-90, 91, 5) for _ in range(73)]
    lons = [lon for _ in range(37) for lon in range(-180, 181, 5)]
    worst = [0] * len(lats)
    for (code,) in db.execute(OPERATIONS).fetchall():
        t = pyproj.Transformer.from_pipeline("urn:ogc:def:coordinateOperation:EPSG::%s" % code)
        y, x = t.transform(lats, lons)
        if not all(map(math.isfinite, x)) or not all(map(math.isfinite, y)):
            continue
        for i in range(len(worst)):
            worst[i] = max(worst[i], distance(lats[i], lons[i], y[i], x[i]))
    with open(out, "w", encoding="utf-8", newline="") as f:
        f.write("# Greatest shift in metres between WGS 84 and any other datum at each fifth degree: one row for"
                " each latitude, longitudes from -180 to 180. Source: %s; computed by boundaries/datums.py.\n" % VERSION)
        w = csv.writer(f, lineterminator="\n")
        w.writerow(["latitude", "shifts"])
        for row in range(37):
            w.writerow([row * 5 - 90, " ".join(str(math.ceil(d)) for d in worst[row * 73:row * 73 + 73])])


def distance(lat1, lon1, lat2, lon2):
    """Metres on a sphere of the equatorial radius, as the published example of the test has it."""
    p = math.radians
    a = math.sin(p(lat2 - lat1) / 2) ** 2 + math.cos(p(lat1)) * math.cos(p(lat2)) * math.sin(p(lon2 - lon1) / 2) ** 2
    return 2 * 6378137 * math.asin(math.sqrt(a))


if __name__ == "__main__":
    path = pyproj.datadir.get_data_dir() + "/proj.db"
    with sqlite3.connect(path) as db:
        codes(db, sys.argv[1])
        shifts(db, sys.argv[2])
