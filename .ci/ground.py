"""See `.ci/full`: random farms with awkward keep-outs, held against GEOS.

Every field has some of: wells listed twice, lines that double back or are
listed the other way around too, disks that touch, long rivers with a corner
every few feet, ponds that share a side, are traced twice, have islands or lie
on the field's own edge, things in many parts. What the program writes for other
programs (`map --geojson`) and what it counts (`ground acres`) is measured with
shapely on an equal-area plane at each field's middle.

With a third argument only so many fields are tried.
"""

import json
import pathlib
import subprocess
import sys
import time

import numpy as np
import pyproj
import shapely

FEET = 0.3048
ACRE = 43_560 * FEET**2
FIELDS, A_FARM, SEED = int(sys.argv[3]) if len(sys.argv) > 3 else 3_000, 25, 20271127
# Ground as it is written may reach so many feet beyond the setback: seven
# decimals of a degree, and the planes' own.
SLACK = 0.12
# Acres may differ by so much, and by so much of the field.
ACRES, SHARE = 0.01, 2e-4
out, sward = pathlib.Path(sys.argv[1]), sys.argv[2]
rng = np.random.default_rng(SEED)
DISTANCES = [0, 10, 25, 35, 50, 100, 100, 200, 300]


def pick(things):
    return things[rng.integers(len(things))]


def star(x, y, corners, reach, rough):
    angle = 2 * np.pi * (np.arange(corners) + 0.8 * rng.random(corners)) / corners
    radius = reach * (1 - rough * rng.random(corners))
    return np.column_stack([x + radius * np.cos(angle), y + radius * np.sin(angle)])


def boundary(size):
    """Rings of a field's parts, in feet."""
    kind = rng.integers(6)
    if kind < 3:
        return [[star(0, 0, int(rng.integers(4, 50)), size, rng.uniform(0.1, 0.6))]]
    half = np.round(size / 100) * 100
    square = half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    if kind == 3:
        return [[square]]
    if kind == 4:
        return [[square, star(0, 0, int(rng.integers(3, 12)), half / 3, 0.5)]]
    left, right = square.copy(), square.copy()
    left[:, 0] = np.minimum(left[:, 0], -20)
    right[:, 0] = np.maximum(right[:, 0], 20)
    return [[left], [right]]


def winding(x, y, n, step):
    way = rng.uniform(0, 6.28) + np.cumsum(0.4 * rng.standard_normal(n))
    return np.array([x, y]) + np.cumsum(step * np.column_stack([np.cos(way), np.sin(way)]), 0)


def polygon(*rings):
    return shapely.Polygon(rings[0], rings[1:])


def things_of(parts, size):
    """Things as they are written and as they are, with their feet."""
    found = []
    spot = lambda far=1.1: np.round(rng.uniform(-far * size, far * size, 2) / 50) * 50
    side = parts[0][0]

    def add(written, feet, real=None):
        found.append((written, real or written, feet))

    for _ in range(int(rng.integers(2, 9))):
        kind, feet = rng.integers(14), pick(DISTANCES)
        (x, y), more = spot(), max(feet, 10)
        if kind == 0:
            for _ in range(int(rng.integers(1, 4))):
                add(shapely.Point(x, y), more)
        elif kind == 1:
            add(shapely.Point(x, y), more)
            add(shapely.Point(x + 2 * more, y), more)
            add(shapely.Point(x, y + more / 2), more / 2)
        elif kind == 2:
            line = np.array([[x, y], spot(), [x, y], spot(), [x, y]])
            add(shapely.LineString(line), more)
            add(shapely.LineString(line[::-1]), more)
        elif kind == 3:
            add(shapely.LineString(winding(x, y, int(rng.integers(300, 1500)), rng.uniform(1, 6))), more)
        elif kind == 4:
            add(shapely.LineString(winding(x, y, int(rng.integers(3, 40)), rng.uniform(40, 200))), more)
        elif kind == 5:
            wide = 50 * int(rng.integers(1, 6))
            add(shapely.box(x, y, x + wide, y + 100), feet)
            add(shapely.box(x + wide, y, x + 2 * wide, y + 100), feet)
        elif kind == 6:
            ring = star(x, y, int(rng.integers(3, 30)), rng.uniform(30, 300), 0.5)
            add(polygon(np.vstack([ring, ring[:1], ring])), feet, polygon(ring))
        elif kind == 7:
            ring = star(x, y, 24, rng.uniform(200, 500), 0.1)
            add(polygon(ring, star(x, y, 9, 120, 0.3)[::-1]), feet)
        elif kind == 8:
            at = int(rng.integers(len(side)))
            add(shapely.LineString(np.vstack([side, side[:1]])[at : at + 2]), more)
        elif kind == 9:
            add(shapely.LineString(np.vstack([side, side[:1]])), min(more, 50))
        elif kind == 10:
            spots = [spot() for _ in range(4)]
            add(shapely.MultiPoint(spots + spots), more)
        elif kind == 11:
            lines = [winding(*spot(), 12, 60) for _ in range(3)]
            add(shapely.MultiLineString(lines + [lines[0][::-1]]), more)
        elif kind == 12:
            at = int(rng.integers(len(side)))
            ends = np.vstack([side, side[:1]])[at : at + 2]
            add(polygon(np.vstack([ends, ends.mean(0) + rng.uniform(-100, 100, 2)])), feet)
        else:
            ring = star(x, y, 400, rng.uniform(100, 400), 0.02)
            add(polygon(ring), feet)
            add(polygon(ring[::-1]), feet)
    return found


def one(number):
    """A field with its plane, its shape in degrees and its things."""
    farm, own = divmod(number, A_FARM)
    # All within the state whose rules the farms are planned by, or `map` would refuse them.
    lon = -81 + (farm % 20) * 0.2 + (own % 5) * 0.03
    lat = 35 + (farm // 20) * 0.2 + (own // 5) * 0.03
    here = pyproj.Proj(proj="laea", lon_0=lon, lat_0=lat, ellps="WGS84")

    def degrees(points):
        return np.column_stack(here(points[:, 0] * FEET, points[:, 1] * FEET, inverse=True)).round(8)

    size = rng.uniform(300, 1_500)
    parts = boundary(size)
    shape = shapely.MultiPolygon([polygon(*part) for part in parts])
    to = lambda shape: shapely.transform(shape, degrees)
    things = [(to(written), to(real), feet) for written, real, feet in things_of(parts, size)]
    return here, to(shape), things


def flat(here, shape):
    # Edges are straight in longitude and latitude; walked in steps of some 350 ft, so on the plane too.
    shape = shapely.segmentize(shape, 1e-3) if "Point" not in shape.geom_type else shape
    return shapely.transform(shape, lambda at: np.column_stack(here(at[:, 0], at[:, 1])))


def zone(real, feet):
    """What lies within a distance, stretch by stretch: a line that doubles back comes out too
    small when GEOS draws the setback of all of it at once."""
    if "Point" in real.geom_type or not feet:
        return [real.buffer(feet, quad_segs=64)]
    lines = real.boundary if real.area else real
    lines = lines.geoms if lines.geom_type == "MultiLineString" else [lines]
    corners = [shapely.get_coordinates(line) for line in lines]
    sides = np.vstack([np.stack([ring[:-1], ring[1:]], 1) for ring in corners])
    wide = shapely.buffer(shapely.linestrings(sides), feet, quad_segs=32)
    return [*wide, real] if real.area else list(wide)


def write(path, features):
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))


def feature(shape, **properties):
    return {"type": "Feature", "properties": properties, "geometry": shapely.geometry.mapping(shape)}


def run(*args):
    done = subprocess.run([sward, *map(str, args)], capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"{' '.join(map(str, args))}\n{done.stdout}{done.stderr}"[:4000])
    return json.loads(done.stdout)


FARM = """farm: Made-up Farm
place: us-nc
region: piedmont
plan: {from: 2027-02-15, to: 2027-10-31, as_of: 2027-02-01}
spreader: {swath: 10 ft, load: 8 tons, step: 0.25 tons/ac, least: 0.25 ton/ac, most: 6 tons/ac}
litter:
  - lot: shed
    kind: broiler litter
    on_hand: 20000 tons
    stored: shed
    analysis: {lab: state lab, sampled: 2027-01-20, basis: as received, moisture: 25 %, total_n: 58 lb/ton, ammonium_n: 10 lb/ton, p2o5: 25 lb/ton, k2o: 56 lb/ton}
fields:
"""
FIELD = """  - id: {id}
    forage: tall fescue
    use: hay
    texture: fine
    yield_goal: 3.5 tons/ac
    soil_test: {{lab: state lab, sampled: 2026-10-20, extractant: mehlich-3, p: 20 index, k: 20 index}}
    phosphorus_rating: {{rating: low, by: a planner, on: 2026-11-09}}
"""


def keepouts(made):
    """Kinds that the place has no distance for, as they may be drawn: the setback is the test's own."""
    said = {"setback_by": "the test, 2027-01-05"}
    kind = lambda written: "ditch" if "Line" in written.geom_type else "rock outcrop"
    things = [(written, feet) for _, _, things in made for written, _, feet in things]
    return [feature(written, kind=kind(written), setback=f"{feet:g} ft", **said) for written, feet in things]


def spread_on(made, first):
    """What a farm of these fields writes for other programs, by field."""
    folder = out / f"farm{first}"
    folder.mkdir()
    names = [f"F{first + n}" for n in range(len(made))]
    (folder / "farm.yaml").write_text(FARM + "".join(FIELD.format(id=name) for name in names))
    write(folder / "fields.geojson", [feature(shape, id=name) for name, (_, shape, _) in zip(names, made)])
    write(folder / "keepouts.geojson", keepouts(made))
    features = run("map", folder, "--geojson")["features"]
    return {f["properties"]["field"]: shapely.geometry.shape(f["geometry"]) for f in features}


begun = time.time()
made = [one(number) for number in range(FIELDS)]
write(out / "fields.geojson", [feature(shape, id=f"F{n}") for n, (_, shape, _) in enumerate(made)])
write(out / "keepouts.geojson", keepouts(made))
counted = run("ground", "acres", out / "fields.geojson", "--keepouts", out / "keepouts.geojson", "--json")["fields"]
assert [field["id"] for field in counted] == [f"F{n}" for n in range(FIELDS)]
spread = {}
for first in range(0, FIELDS, A_FARM):
    spread |= spread_on(made[first : first + A_FARM], first)

faults, nearest, off_acres, things_in_all = [], np.inf, 0.0, 0
for number, ((here, shape, things), acres) in enumerate(zip(made, counted)):
    field = flat(here, shape)
    solid = [(flat(here, real), feet * FEET) for _, real, feet in things]
    things_in_all += len(solid)
    zones = shapely.union_all([part for real, feet in solid for part in zone(real, feet) if part.area])
    gross, left = field.area / ACRE, field.difference(zones).area / ACRE
    off = abs(acres["spreadable_acres"] - left)
    off_acres = max(off_acres, off)
    if off > ACRES + SHARE * gross or abs(acres["gross_acres"] - gross) > 1e-4 * gross:
        faults.append(f"F{number}: {acres['spreadable_acres']:.4f} of {acres['gross_acres']:.4f} ac, by GEOS {left:.4f} of {gross:.4f}")
    own = spread.get(f"F{number}")
    if own is None:
        continue
    if not own.is_valid:
        faults.append(f"F{number}: what is written is not valid: {shapely.is_valid_reason(own)}")
        continue
    ground = flat(here, own)
    if ground.area / ACRE > left + ACRES + SHARE * gross:
        faults.append(f"F{number}: {ground.area / ACRE:.4f} ac are written, {left:.4f} are left")
    inner = ground.buffer(-SLACK * FEET)
    for real, feet in solid:
        room = ground.distance(real) - feet
        if feet > 0:
            nearest = min(nearest, room / FEET)
        if room < -SLACK * FEET or (feet == 0 and real.area > 0 and inner.intersects(real)):
            faults.append(f"F{number}: {-room / FEET:.3f} ft too near a thing with {feet / FEET:g} ft")
    if not field.buffer(SLACK * FEET).covers(ground):
        faults.append(f"F{number}: it is spread on beyond the boundary")

print(f"{FIELDS} fields, {things_in_all} keep-outs, {len(spread)} fields spread on, {time.time() - begun:.0f} s")
print(f"least room beyond a setback: {nearest:.4f} ft; acres differ by {off_acres:.5f} at most")
print("\n".join(faults[:50]) if faults else f"no setback too small by more than {SLACK} ft, all shapes valid, acres within bounds")
if len(spread) < 0.6 * FIELDS:
    sys.exit("too few fields are spread on to say anything")
sys.exit(1 if faults else 0)
