#!/usr/bin/python3
"""Reference answers for places of a fixed pseudo-random sequence.

    npm pack world-atlas@2.0.2 && tar xzf world-atlas-2.0.2.tgz
    python3 boundary.py package/countries-10m.json > boundary.csv

By another way than the program: the TopoJSON itself, containment by the winding
angle of every ring as seen from the place, distances by the haversine formula
to the corners of all rings, edges longer than 2 km cut into pieces. Columns: the
name of the country whose land holds the place, the name of the nearest country,
the distance to its land in kilometres.
"""
import json
import sys

import numpy as np

RADIUS = 6371.0088


def rings(topology):
    sx, sy = topology["transform"]["scale"]
    tx, ty = topology["transform"]["translate"]
    arcs = [np.cumsum(np.array(a), axis=0) * [sx, sy] + [tx, ty] for a in topology["arcs"]]
    for g in topology["objects"]["countries"]["geometries"]:
        polygons = g["arcs"] if g["type"] == "MultiPolygon" else [g["arcs"]]
        for polygon in polygons:
            for ring in polygon:
                parts = [arcs[i] if i >= 0 else arcs[~i][::-1] for i in ring]
                yield g["properties"]["name"], np.concatenate(parts)


def winds(points, lon, lat):
    """Whole turns that the ring makes around the place on the plane of longitude and latitude."""
    x = points[:, 0] - lon
    x = np.concatenate([[0], np.cumsum((np.diff(x) + 180) % 360 - 180)]) + (x[0] + 180) % 360 - 180
    if abs(x[-1] - x[0]) > 180:  # around the pole: close it far south
        x = np.concatenate([x, [x[-1], x[0], x[0]]])
        y = np.concatenate([points[:, 1], [-200, -200, points[0, 1]]]) - lat
    else:
        y = points[:, 1] - lat
    total = 0
    for shift in (-360, 0, 360):
        angle = np.arctan2(y, x + shift)
        total += abs(int(round(np.sum((np.diff(angle) + np.pi) % (2 * np.pi) - np.pi) / (2 * np.pi))))
    return total


def densify(points):
    x, y = points[:, 0], points[:, 1]
    dx, dy = (np.diff(x) + 180) % 360 - 180, np.diff(y)
    n = np.maximum(1, np.ceil(np.hypot(dx * np.cos(np.radians(y[:-1])), dy) * 111.2 / 2).astype(int))
    k = np.concatenate([np.arange(m) / m for m in n])
    i = np.repeat(np.arange(len(n)), n)
    return np.column_stack([x[i] + k * dx[i], y[i] + k * dy[i]])


def main(name):
    with open(name, encoding="utf-8") as f:
        all_rings = list(rings(json.load(f)))
    dense = [densify(p) for _, p in all_rings]
    owner = np.repeat(np.arange(len(dense)), [len(d) for d in dense])
    cloud = np.radians(np.concatenate(dense))
    print("# Reference answers by boundary.py (numpy %s) from world-atlas 2.0.2, countries at 1:10 000 000." % np.__version__)
    print("latitude,longitude,land,nearest,km")
    state = 12345
    for _ in range(240):
        state = (state * 1103515245 + 12345) % 2**31
        lon = round(state / 2**31 * 360 - 180, 3)
        state = (state * 1103515245 + 12345) % 2**31
        lat = round(np.degrees(np.arcsin(state / 2**31 * 2 - 1)), 3)
        turns = {}
        for country, points in all_rings:
            turns[country] = turns.get(country, 0) + winds(points, lon, lat)
        land = [c for c, n in turns.items() if n % 2]
        a = np.sin((cloud[:, 1] - np.radians(lat)) / 2) ** 2 \
            + np.cos(np.radians(lat)) * np.cos(cloud[:, 1]) * np.sin((cloud[:, 0] - np.radians(lon)) / 2) ** 2
        i = int(np.argmin(a))
        km = 2 * RADIUS * np.arcsin(np.sqrt(a[i]))
        print('%.3f,%.3f,%s,%s,%.1f' % (lat, lon, ";".join(land), all_rings[owner[i]][0], km))


if __name__ == "__main__":
    main(sys.argv[1])
