"""Makes up a county: fields and what to stay away from, as GeoJSON.

    generate.py FOLDER FIELDS [SEED]

FIELDS = 20,000 gives 100 streams of 1,000 vertices, 20,000 wells, 20,000
houses and 5,000 ponds; other numbers of fields give as many things for each
field. Everything is invented. The same seed gives the same county.
"""

import json
import sys

import numpy as np

FEET = 0.3048
LON, LAT = -79.5, 35.7
# Feet in a degree near LAT, for laying things out; nothing is measured with it.
PER_LON, PER_LAT = 296_700.0, 364_000.0
ACRES = 25.0
PITCH = 1_500.0  # feet from field to field: 52 acres each, half of the land


def rough(rng, x, y, corners, area):
    """A ring of random corners around a middle, with this area in square feet."""
    angle = 2 * np.pi * (np.arange(corners) + 0.8 * rng.random(corners)) / corners
    # Fields are longer than wide, with a ragged edge.
    reach = 1 + 0.15 * rng.standard_normal() * np.cos(2 * angle + rng.random() * 6) + 0.08 * rng.standard_normal(corners)
    reach = np.clip(reach, 0.4, 1.7)
    px, py = reach * np.cos(angle) * rng.uniform(0.75, 1.0), reach * np.sin(angle)
    turn = rng.random() * 2 * np.pi
    px, py = px * np.cos(turn) - py * np.sin(turn), px * np.sin(turn) + py * np.cos(turn)
    own = 0.5 * abs(np.sum(px * np.roll(py, -1) - np.roll(px, -1) * py))
    scale = np.sqrt(area / own)
    return np.column_stack([x + px * scale, y + py * scale])


def degrees(points):
    points = np.atleast_2d(points)
    lon = LON + points[:, 0] / PER_LON
    lat = LAT + points[:, 1] / PER_LAT
    return [[round(float(a), 7), round(float(b), 7)] for a, b in zip(lon, lat)]


def closed(points):
    ring = degrees(points)
    return [ring + ring[:1]]


def write(path, name, features):
    """One feature a line, as GIS programs write it."""
    with open(path, "w") as out:
        out.write('{"type": "FeatureCollection", "name": "%s", "features": [\n' % name)
        first = True
        for properties, kind, coordinates in features:
            feature = {"type": "Feature", "properties": properties, "geometry": {"type": kind, "coordinates": coordinates}}
            out.write(("" if first else ",\n") + json.dumps(feature))
            first = False
        out.write("\n]}\n")


def fields(rng, count, side):
    columns = max(1, round(side / PITCH))
    for n in range(count):
        x = (n % columns + 0.5) * PITCH + rng.uniform(-100, 100)
        y = (n // columns + 0.5) * PITCH + rng.uniform(-100, 100)
        area = ACRES * 43_560 * rng.uniform(0.5, 1.5)
        ring = rough(rng, x, y, int(rng.integers(24, 61)), area)
        yield {"id": f"F{n + 1}", "owner_no": int(rng.integers(1, 5000))}, "Polygon", closed(ring)


def things(rng, share, side):
    def spot():
        return rng.uniform(0, side, 2)

    for n in range(max(1, round(100 * share))):
        # A stream winds across the county: 1,000 vertices some 100 ft apart.
        heading = rng.uniform(0, 2 * np.pi)
        turns = np.cumsum(0.25 * rng.standard_normal(1000))
        turns -= 0.02 * np.cumsum(turns) / 10
        way = heading + 0.8 * np.sin(turns)
        steps = 100 * np.column_stack([np.cos(way), np.sin(way)])
        line = spot() + np.cumsum(steps, axis=0)
        yield {"kind": "perennial stream", "name": f"creek {n + 1}", "setback": "100 ft"}, "LineString", degrees(line)
    for _ in range(round(20_000 * share)):
        yield {"kind": "well", "setback": "100 ft"}, "Point", degrees(spot())[0]
    for _ in range(round(20_000 * share)):
        yield {"kind": "dwelling", "setback": "200 ft"}, "Point", degrees(spot())[0]
    for _ in range(round(5_000 * share)):
        x, y = spot()
        ring = rough(rng, x, y, int(rng.integers(12, 25)), 43_560 * rng.uniform(0.2, 2.0))
        yield {"kind": "pond", "setback": "35 ft"}, "Polygon", closed(ring)


def main():
    folder, count = sys.argv[1], int(sys.argv[2])
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 20261125
    rng = np.random.default_rng([seed, count])
    side = PITCH * np.sqrt(count)
    write(f"{folder}/fields.geojson", "fields (invented)", fields(rng, count, side))
    write(f"{folder}/keepouts.geojson", "keep-outs (invented)", things(rng, count / 20_000, side))


main()
