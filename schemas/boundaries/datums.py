#!/usr/bin/python3
"""Writes the table of EPSG codes and the table of datum shifts.

    python3 datums.py ../quality_epsg.csv ../quality_datum_shifts.csv

Codes: geographic 2D reference systems in degrees, geodetic datums and datum
ensembles, ellipsoids; deprecated ones left out.

Shifts: for each cell of five degrees, the greatest distance on the ground, in
metres rounded up, between coordinates taken to be on WGS 84 and the same
numbers on any other datum that is used in the cell (an EPSG transformation to
WGS 84 by three or seven parameters, whose area of use meets it).
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
    select distinct h.code, e.south_lat, e.north_lat, e.west_lon, e.east_lon
    from helmert_transformation_table h
    join geodetic_crs s on s.auth_name = h.source_crs_auth_name and s.code = h.source_crs_code
    join usage u on u.object_auth_name = h.auth_name and u.object_code = h.code
         and u.object_table_name = 'helmert_transformation'
    join extent e on e.auth_name = u.extent_auth_name and e.code = u.extent_code
    where h.auth_name = 'EPSG' and h.deprecated = 0 and h.target_crs_auth_name = 'EPSG' and h.target_crs_code = 4326
      and s.type = 'geographic 2D' and s.deprecated = 0 and cast(s.coordinate_system_code as text) in ('6422', '6424')
    order by cast(h.code as integer)"""


def cells(west, east):
    """Western edges of the cells that meet an area, with the part of each that lies in it."""
    if east < west:
        east += 360
    for edge in range(-180, 540, 5):
        low, high = max(edge, west), min(edge + 5, east)
        if low <= high and edge < 180 + 360:
            yield (edge + 180) % 360 - 180, low, high


def shifts(db, out):
    geod = pyproj.Geod(ellps="WGS84")
    worst = {}
    for code, low_lat, high_lat, west, east in db.execute(OPERATIONS).fetchall():
        t = pyproj.Transformer.from_pipeline("urn:ogc:def:coordinateOperation:EPSG::%s" % code)
        for south in range(-90, 90, 5):
            lats = max(south, low_lat), min(south + 5, high_lat)
            if lats[0] > lats[1]:
                continue
            for edge, low, high in cells(west, east):
                for lat in lats:
                    lat = max(-89.9, min(89.9, lat))
                    for lon in (low, (low + high) / 2, high):
                        lon = (lon + 180) % 360 - 180
                        y, x = t.transform(lat, lon)
                        if math.isfinite(x) and math.isfinite(y):
                            d = geod.inv(lon, lat, x, y)[2]
                            worst[south, edge] = max(d, worst.get((south, edge), 0))
    with open(out, "w", encoding="utf-8", newline="") as f:
        f.write("# Greatest shift in metres between WGS 84 and any other datum in use, by cells of five degrees: one row for"
                " each band from its southern edge, cells from west to east. Source: %s; computed by boundaries/datums.py.\n" % VERSION)
        w = csv.writer(f, lineterminator="\n")
        w.writerow(["south", "shifts"])
        for south in range(-90, 90, 5):
            w.writerow([south, " ".join(str(math.ceil(worst.get((south, west), 0))) for west in range(-180, 180, 5))])


if __name__ == "__main__":
    path = pyproj.datadir.get_data_dir() + "/proj.db"
    with sqlite3.connect(path) as db:
        codes(db, sys.argv[1])
        shifts(db, sys.argv[2])
