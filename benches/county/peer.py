"""The same job with geopandas, shapely and pyogrio, as a careful GIS scripter does it.

    peer.py FIELDS KEEPOUTS OUT.csv [--arrow] [--split N] [--clip] [--threads N] [--times]

UTM, 16 segments a quadrant, STRtree, union of what matches, difference; all
vectorised. The options are faster idioms, all of them fair:
--arrow    read through Arrow
--split N  cut streams into runs of N vertices before they are buffered
--clip     cut each buffer to its field first, then union the small parts
--threads  share buffering and cutting out among threads (shapely lets go of
           Python's lock while it works)
"""

import argparse
import time
from concurrent.futures import ThreadPoolExecutor

import geopandas
import numpy as np
import pyproj
import shapely

FEET = 0.3048
ACRE = 43_560 * FEET**2
SEGMENTS = 16

args = argparse.ArgumentParser()
args.add_argument("fields")
args.add_argument("keepouts")
args.add_argument("out")
args.add_argument("--arrow", action="store_true")
args.add_argument("--split", type=int, default=0)
args.add_argument("--clip", action="store_true")
args.add_argument("--threads", type=int, default=1)
args.add_argument("--times", action="store_true")
args = args.parse_args()

clock = time.perf_counter()


def lap(what):
    global clock
    now = time.perf_counter()
    if args.times:
        print(f"{what}: {now - clock:.2f} s")
    clock = now


def shared(work, *arrays):
    """Does an array's work in threads."""
    if args.threads < 2:
        return work(*arrays)
    parts = list(zip(*[np.array_split(a, args.threads * 4) for a in arrays]))
    with ThreadPoolExecutor(args.threads) as pool:
        return np.concatenate(list(pool.map(lambda part: work(*part), parts)))


def runs(lines, feet, n):
    """Lines cut into runs of n vertices that share their ends."""
    where = np.array([shapely.get_type_id(g) == 1 for g in lines])
    out, own = [lines[~where]], [feet[~where]]
    for line, distance in zip(lines[where], feet[where]):
        xy = shapely.get_coordinates(line)
        cuts = [xy[i : i + n + 1] for i in range(0, max(1, len(xy) - 1), n)]
        out.append(np.array([shapely.LineString(c) for c in cuts], dtype=object))
        own.append(np.full(len(cuts), distance))
    return np.concatenate(out), np.concatenate(own)


def read(path):
    return geopandas.read_file(path, engine="pyogrio", use_arrow=args.arrow)


fields, keepouts = read(args.fields), read(args.keepouts)
lap("read")
crs = fields.estimate_utm_crs()
fields, keepouts = fields.to_crs(crs), keepouts.to_crs(crs)
lap("project")
feet = keepouts["setback"].str.removesuffix(" ft").astype(float).to_numpy()
shapes = keepouts.geometry.to_numpy()
if args.split:
    shapes, feet = runs(shapes, feet, args.split)
zones = shared(lambda g, d: shapely.buffer(g, d, quad_segs=SEGMENTS), shapes, feet * FEET)
lap("buffer")
ground = fields.geometry.to_numpy()
field, zone = shapely.STRtree(zones).query(ground, predicate="intersects")
order = np.argsort(field, kind="stable")
field, zone = field[order], zone[order]
lap("join")
hit, start = np.unique(field, return_index=True)


def union(pieces, group):
    """One union for each group of pieces (groups are sorted)."""
    first = np.flatnonzero(np.r_[True, group[1:] != group[:-1]])
    length = np.diff(np.r_[first, len(group)])
    out = pieces[first].copy()
    for at in np.flatnonzero(length > 1):
        out[at] = shapely.union_all(pieces[first[at] : first[at] + length[at]])
    return out


gross = shapely.area(ground)
left = gross.copy()
if args.clip:
    parts = shared(shapely.intersection, ground[field], zones[zone])
    left[hit] -= shapely.area(union(parts, field))
else:
    taken = union(zones[zone], field)
    left[hit] = shapely.area(shared(shapely.difference, ground[hit], taken))
lap("cut")
# UTM shrinks near its middle meridian; areas are put right by the scale at each field.
middle = shapely.get_coordinates(shapely.centroid(fields.to_crs(4326).geometry.to_numpy()))
scale = pyproj.Proj(crs).get_factors(middle[:, 0], middle[:, 1]).areal_scale
table = np.column_stack([gross / scale / ACRE, left / scale / ACRE])
with open(args.out, "w") as out:
    out.write("field,gross_acres,spreadable_acres\n")
    out.writelines(f"{i},{g:.4f},{s:.4f}\n" for i, (g, s) in zip(fields["id"], table))
lap("write")
