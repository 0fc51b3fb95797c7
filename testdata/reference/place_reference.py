#!/usr/bin/python3
"""Reference values for pipeline/place, from PROJ (pyproj) and GeographicLib
(GeoConvert). Writes place_utm.csv, place_squares.csv, place_datum.csv,
place_best.csv and place_distance.csv beside itself; the first line of each
names the versions. Needs mappings/datum_shifts.csv and utm_codes.csv for the
list of operations, not for their parameters.
Run: /usr/bin/python3 place_reference.py
"""
import csv, os, random, subprocess
import pyproj
from pyproj import CRS, Geod, Transformer

HERE = os.path.dirname(os.path.abspath(__file__))
MAPPINGS = os.path.join(HERE, "..", "..", "mappings")
PROJ = "PROJ %s, pyproj %s" % (pyproj.proj_version_str, pyproj.__version__)
GEO = subprocess.run(["GeoConvert", "--version"], capture_output=True, text=True).stdout.strip().replace("GeoConvert: ", "")
rnd = random.Random(20260601)


# Places on land in the area of a datum: towns, to a tenth of a degree or
# so; the points are strewn around them.
LAND = {
    4267: [("CA", 45.4, -75.7), ("CA", 43.7, -79.4), ("CA", 51.0, -114.1), ("CA", 49.9, -97.1), ("CA", 44.6, -63.6),
           ("CA", 60.7, -135.1), ("US", 39.7, -105.0), ("US", 33.7, -84.4), ("US", 61.2, -149.9), ("US", 44.9, -93.1),
           ("US", 38.6, -121.5), ("MX", 19.4, -99.1), ("MX", 29.1, -111.0), ("CU", 23.0, -82.3), ("CR", 9.9, -84.1)],
    4269: [("CA", 45.4, -75.7), ("CA", 53.5, -113.5), ("US", 40.0, -83.0), ("US", 35.1, -106.6), ("US", 21.3, -157.9)],
    4230: [("ES", 40.4, -3.7), ("ES", 42.9, -8.5), ("ES", 39.6, 2.9), ("FR", 48.9, 2.4), ("IT", 41.9, 12.5), ("DK", 55.7, 12.6),
           ("NO", 59.9, 10.7), ("NO", 69.6, 19.0), ("FI", 60.2, 24.9), ("GR", 38.0, 23.7), ("PT", 38.7, -9.1), ("DE", 52.5, 13.4),
           ("TR", 39.9, 32.9)],
    4277: [("GB", 51.5, -0.1), ("GB", 55.9, -3.2), ("GB", 52.4, -3.9), ("GB", 57.5, -4.2), ("GB", 50.4, -4.1)],
    4275: [("FR", 48.9, 2.4), ("FR", 45.8, 4.8), ("FR", 44.8, -0.6), ("FR", 48.1, -1.7), ("FR", 43.6, 1.4), ("FR", 42.1, 9.1)],
    4314: [("DE", 48.1, 11.6), ("DE", 53.6, 10.0), ("DE", 52.5, 13.4), ("DE", 50.9, 7.0), ("DE", 51.1, 13.7)],
    4289: [("NL", 52.1, 5.1), ("NL", 53.2, 6.6), ("NL", 51.4, 5.5)],
    4313: [("BE", 50.8, 4.4), ("BE", 50.6, 5.6)],
    4312: [("AT", 48.2, 16.3), ("AT", 47.3, 11.4)],
    4149: [("CH", 46.9, 7.4), ("CH", 47.4, 8.5)],
    4265: [("IT", 41.9, 12.5), ("IT", 45.1, 7.7), ("IT", 40.1, 9.1), ("IT", 37.5, 14.2)],
    4124: [("SE", 59.3, 17.9), ("SE", 65.6, 22.0)],
    4123: [("FI", 61.5, 23.8), ("FI", 65.0, 25.6)],
    4237: [("HU", 47.4, 19.1)],
    4121: [("GR", 38.0, 23.8)],
    4283: [("AU", -33.8, 150.9), ("AU", -23.7, 133.9)],
    4202: [("AU", -33.8, 150.9), ("AU", -37.8, 145.0), ("AU", -12.6, 131.1), ("AU", -42.8, 147.2)],
    4203: [("AU", -27.5, 152.9), ("AU", -31.9, 116.0), ("AU", -34.8, 138.8)],
    4272: [("NZ", -36.9, 174.8), ("NZ", -41.2, 175.1), ("NZ", -43.5, 172.5), ("NZ", -45.8, 170.3), ("NZ", -38.7, 176.1)],
    4618: [("BR", -15.8, -47.9), ("BR", -23.5, -46.6), ("BR", -3.1, -60.0), ("AR", -34.6, -58.7), ("PE", -12.0, -76.9),
           ("EC", -0.2, -78.5), ("VE", 10.3, -66.9), ("CL", -33.4, -70.6)],
    4248: [("EC", -0.2, -78.5), ("VE", 10.3, -66.9), ("PE", -12.0, -76.9), ("BO", -16.5, -68.1), ("CL", -33.4, -70.6), ("CO", 4.6, -74.1)],
    4301: [("JP", 35.7, 139.5), ("JP", 43.0, 141.3), ("KR", 37.5, 127.0)],
    4222: [("ZA", -25.8, 28.2), ("ZA", -33.9, 18.7)],
    4210: [("KE", -1.3, 36.8), ("TZ", -6.2, 35.7)],
    4201: [("ET", 9.0, 38.7), ("SD", 15.6, 32.5)],
}


def table(name):
    with open(os.path.join(MAPPINGS, name)) as f:
        return list(csv.DictReader(l for l in f if not l.startswith("#")))


def write(name, source, head, rows):
    with open(os.path.join(HERE, name), "w", newline="") as f:
        f.write("# %s. Written by place_reference.py.\n" % source)
        w = csv.writer(f, lineterminator="\n")
        w.writerow(head)
        w.writerows(rows)
    print(name, len(rows))


def geoconvert(lines, *flags):
    out = subprocess.run(["GeoConvert", *flags], input="\n".join(lines) + "\n", capture_output=True, text=True)
    return out.stdout.strip().split("\n")


def points():
    """Places over the whole of UTM, and more of them where zones are odd."""
    out = []
    for _ in range(260):
        out.append((rnd.uniform(-80, 84), rnd.uniform(-180, 180)))
    for _ in range(30):
        out.append((rnd.uniform(56, 64), rnd.uniform(0, 12)))     # south-west Norway
    for _ in range(40):
        out.append((rnd.uniform(72, 84), rnd.uniform(-3, 45)))    # Svalbard
    out += [(0, 0), (0, 3), (-1e-9, 3), (45, -75), (83.999999, 10), (-80, 10), (0, -180), (56, 3), (72, 9), (72, 21), (72, 33), (64, 3)]
    return [(round(a, 9), round(b, 9)) for a, b in out]


def utm():
    pts = points()
    text = ["%.9f %.9f" % p for p in pts]
    geo = geoconvert(text, "-u", "-p", "9")
    squares = geoconvert(text, "-m", "-p", "0")
    rows, sq = [], []
    for (lat, lon), u, m in zip(pts, geo, squares):
        z, e, n = u.split()
        zone, south = int(z[:-1]), z[-1] == "s"
        tr = Transformer.from_pipeline("+proj=utm +zone=%d %s+ellps=WGS84" % (zone, "+south " if south else ""))
        pe, pn = tr.transform(lon, lat)
        rows.append([repr(lat), repr(lon), zone, "S" if south else "N", e, n, "%.6f" % pe, "%.6f" % pn, m])
    write("place_utm.csv", "UTM and MGRS of places on WGS 84: easting, northing and square by %s, easting2 and northing2 by %s" % (GEO, PROJ),
          ["lat", "lon", "zone", "hemisphere", "easting", "northing", "easting2", "northing2", "mgrs"], rows)
    for i, (lat, lon) in enumerate(pts):
        digits = i % 6
        m = geoconvert(["%.9f %.9f" % (lat, lon)], "-m", "-p", str(digits - 5))[0]
        back = geoconvert([m], "-g", "-p", "9")[0].split()
        sq.append([repr(lat), repr(lon), digits, m, back[0], back[1]])
    write("place_squares.csv", "MGRS squares of places and the middles of the squares, by %s" % GEO,
          ["lat", "lon", "digits", "mgrs", "middleLat", "middleLon"], sq)


def inside(s):
    south, north, west, east = float(s["south"]), float(s["north"]), float(s["west"]), float(s["east"])
    if east < west:
        east += 360
    lon = rnd.uniform(west, east)
    return round(rnd.uniform(south, north), 7), round(lon - 360 if lon > 180 else lon, 7)


def datums():
    rows, best = [], []
    for s in table("datum_shifts.csv"):
        lat, lon = inside(s)
        tr = Transformer.from_pipeline("urn:ogc:def:coordinateOperation:EPSG::" + s["operation"][5:])
        lat2, lon2 = tr.transform(lat, lon)
        rows.append([s["code"], s["operation"], repr(lat), repr(lon), "%.10f" % lat2, "%.10f" % lon2])
    for code, places in LAND.items():
        tr = Transformer.from_crs(CRS("EPSG:%d" % code), CRS("EPSG:4326"))
        for country, lat, lon in places:
            for _ in range(4):
                lat1, lon1 = round(lat + rnd.uniform(-0.1, 0.1), 7), round(lon + rnd.uniform(-0.1, 0.1), 7)
                lat2, lon2 = tr.transform(lat1, lon1)
                try:
                    used = tr.get_last_used_operation()
                except pyproj.exceptions.ProjError:
                    used = tr  # there is only one
                assert "allpark" not in used.description, (code, country)
                best.append(["EPSG:%d" % code, country, repr(lat1), repr(lon1), "%.10f" % lat2, "%.10f" % lon2,
                             used.description, "%g" % max(used.accuracy, 0)])
    write("place_datum.csv", "Single datum shifts to WGS 84 by the EPSG operation, by %s" % PROJ,
          ["code", "operation", "lat", "lon", "lat84", "lon84"], rows)
    write("place_best.csv", "Datum shifts to WGS 84 by the operation that PROJ itself prefers, grids included where Debian packages them, by %s" % PROJ,
          ["code", "country", "lat", "lon", "lat84", "lon84", "operation", "accuracy"], best)


def grids():
    """UTM on other ellipsoids, by EPSG code of the grid, to WGS 84 unshifted."""
    rows = []
    for u in table("utm_codes.csv"):
        for code in range(int(u["first"]), int(u["last"]) + 1):
            crs = CRS.from_epsg(code)
            zone = int(u["zone"]) + code - int(u["first"])
            p = {x.name: x.value for x in crs.coordinate_operation.params}
            assert crs.geodetic_crs.to_epsg() == int(u["datum"][5:]), code
            assert abs(p["Longitude of natural origin"] - (zone * 6 - 183)) < 1e-9, code
            assert p["False northing"] == (0 if u["hemisphere"] == "N" else 1e7), code
            if code % 6:
                continue
            e, n = round(rnd.uniform(200000, 800000)), round(rnd.uniform(1000000, 9000000))
            lon, lat = Transformer.from_crs(crs, crs.geodetic_crs, always_xy=True).transform(e, n)
            rows.append([code, u["datum"], zone, u["hemisphere"], e, n, "%.10f" % lat, "%.10f" % lon])
    write("place_grids.csv", "UTM on several datums to latitude and longitude on the same datum, by %s" % PROJ,
          ["code", "datum", "zone", "hemisphere", "easting", "northing", "lat", "lon"], rows)


def distances():
    g = Geod(ellps="WGS84")
    rows = []
    for i in range(120):
        a, b = rnd.uniform(-90, 90), rnd.uniform(-180, 180)
        if i % 3 == 0:
            c, d = rnd.uniform(-90, 90), rnd.uniform(-180, 180)
        else:
            c, d = min(90, max(-90, a + rnd.uniform(-1, 1) * 10 ** rnd.uniform(-5, 1))), b + rnd.uniform(-1, 1) * 10 ** rnd.uniform(-5, 1)
        a, b, c, d = (round(x, 8) for x in (a, b, c, d))
        rows.append([a, b, c, d, "%.6f" % g.inv(b, a, d, c)[2]])
    rows += [[0, 0, 0, 1, "%.6f" % g.inv(0, 0, 1, 0)[2]], [90, 0, -90, 0, "%.6f" % g.inv(0, 90, 0, -90)[2]],
             [0, 179.5, 0, -179.5, "%.6f" % g.inv(179.5, 0, -179.5, 0)[2]], [0.5, 0, -0.5, 179.7, "%.6f" % g.inv(0, 0.5, 179.7, -0.5)[2]]]
    write("place_distance.csv", "Geodesic distances on WGS 84 in metres, by %s (Karney 2013)" % PROJ,
          ["lat1", "lon1", "lat2", "lon2", "metres"], rows)


utm()
datums()
grids()
distances()
