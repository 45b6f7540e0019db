"""See `.ci/accuracy`: makes the fields, runs both, says how far they are apart.

The difference is given in percent of the field's spreadable acres. Where less
than a tenth of a field is left, that would be a percentage of next to nothing,
so there it is in percent of the gross acres. How many such fields there were
is said.
"""

import json
import subprocess
import sys

import numpy as np
import pyproj
import shapely

FEET = 0.3048
ACRE = 43_560 * FEET**2
FIELDS, SEED = 1_000, 20261125
out, sward = sys.argv[1:3]
rng = np.random.default_rng(SEED)


def plane(lon, lat):
    return pyproj.Proj(proj="laea", lon_0=lon, lat_0=lat, ellps="WGS84")


def star(x, y, corners, reach, rough):
    angle = 2 * np.pi * (np.arange(corners) + 0.8 * rng.random(corners)) / corners
    radius = reach * (1 - rough * rng.random(corners))
    return np.column_stack([x + radius * np.cos(angle), y + radius * np.sin(angle)])


def winding(x, y, n):
    way = rng.uniform(0, 6.28) + np.cumsum(0.5 * rng.standard_normal(n))
    return np.array([x, y]) + np.cumsum(rng.uniform(40, 200, n)[:, None] * np.column_stack([np.cos(way), np.sin(way)]), 0)


def one(number):
    """A field somewhere in the country, and what lies in it and around it, in degrees."""
    # Far enough from each other that no field meets another's things.
    lon, lat = -124 + (number % 40) * 1.4 + rng.random(), 25 + (number // 40) * 0.95 + 0.9 * rng.random()
    here = plane(lon, lat)

    def degrees(points):
        points = np.atleast_2d(points) * FEET
        return np.column_stack(here(points[:, 0], points[:, 1], inverse=True)).round(7).tolist()

    size = rng.uniform(400, 1_600)
    spot = lambda far=1.3: rng.uniform(-far * size, far * size, 2)
    ring = degrees(star(0, 0, int(rng.integers(5, 61)), size, rng.uniform(0.1, 0.7)))
    field = {"type": "Polygon", "coordinates": [ring + ring[:1]]}
    things = []
    for _ in range(int(rng.integers(11, 20))):
        kind = rng.integers(5)
        if kind < 2:
            thing, feet = {"type": "Point", "coordinates": degrees(spot())[0]}, [25, 100, 200, 300][rng.integers(4)]
        elif kind == 2:
            line = degrees(winding(*spot(), int(rng.integers(2, 30))))
            thing, feet = {"type": "LineString", "coordinates": line}, [10, 25, 35, 100][rng.integers(4)]
        elif kind == 3:
            ring = degrees(star(*spot(), int(rng.integers(4, 25)), rng.uniform(20, 200), 0.5))
            thing, feet = {"type": "Polygon", "coordinates": [ring + ring[:1]]}, [0, 35, 100][rng.integers(3)]
        else:
            ends = degrees([spot(), spot()])
            thing, feet = {"type": "LineString", "coordinates": ends}, round(rng.uniform(5, 60), 1)
        things.append((thing, feet))
    return (lon, lat), field, things


def feature(geometry, **properties):
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def write(name, features):
    with open(f"{out}/{name}", "w") as file:
        json.dump({"type": "FeatureCollection", "features": features}, file)


def reference(field, things):
    """Gross and spreadable acres by shapely, on an equal-area plane at the field's middle."""
    shape = shapely.geometry.shape(field)
    middle = shape.centroid
    here = plane(middle.x, middle.y)

    def flat(geometry):
        # Edges are straight in longitude and latitude; walked in steps of some 25 ft, so on the plane too.
        geometry = shapely.segmentize(geometry, 7e-5) if geometry.geom_type != "Point" else geometry
        return shapely.transform(geometry, lambda at: np.column_stack(here(at[:, 0], at[:, 1])))

    ground = flat(shape)
    zones = [flat(shapely.geometry.shape(thing)).buffer(feet * FEET, quad_segs=512) for thing, feet in things]
    return ground.area / ACRE, ground.difference(shapely.union_all(zones)).area / ACRE


made = [one(number) for number in range(FIELDS)]
write("fields.geojson", [feature(field, id=f"F{n}") for n, (_, field, _) in enumerate(made)])
write("keepouts.geojson", [feature(g, setback=f"{feet} ft") for _, _, things in made for g, feet in things])
run = [sward, "ground", "acres", f"{out}/fields.geojson", "--keepouts", f"{out}/keepouts.geojson", "--json"]
done = subprocess.run(run, capture_output=True, text=True)
if done.returncode:
    sys.exit(done.stdout + done.stderr)
own = json.loads(done.stdout)["fields"]
assert [field["id"] for field in own] == [f"F{n}" for n in range(FIELDS)]

real = np.array([[field["gross_acres"], field["spreadable_acres"]] for field in own])
ideal = np.array([reference(field, things) for _, field, things in made])
little = ideal[:, 1] < 0.1 * ideal[:, 0]
base = np.where(little, ideal[:, 0], ideal[:, 1])
off = 100 * np.abs(real[:, 1] - ideal[:, 1]) / base
over = (real[:, 1] - ideal[:, 1]) / ideal[:, 0]
gross = 100 * np.abs(real[:, 0] / ideal[:, 0] - 1)
counts = [len(things) for _, _, things in made]
print(f"{FIELDS} fields of {ideal[:, 0].min():.1f} to {ideal[:, 0].max():.1f} ac, {min(counts)} to {max(counts)} setbacks each,")
print(f"{100 * ideal[:, 1].sum() / ideal[:, 0].sum():.0f} % of their ground left")
print(f"gross acres: {gross.mean():.1e} % off on average, {gross.max():.1e} % at most")
print(f"spreadable acres: {off.mean():.5f} % off on average, {np.quantile(off, 0.99):.5f} % in 99 of 100, {off.max():.5f} % at most")
print(f"(percent of spreadable acres; of gross acres in the {little.sum()} fields of which less than a tenth is left)")
print(f"most acres more than the reference: {over.max():.1e} of gross")
# The reference's rounds lie a hair inside the true ones, so nothing may be left beyond them.
ok = off.mean() <= 0.02 and off.max() <= 0.1 and over.max() <= 1e-5
print("within the bounds" if ok else "NOT within the bounds: 0.02 % on average, 0.1 % at most, nothing over")
sys.exit(0 if ok else 1)
