"""See `.ci/exchange`: writes every format, reads it through OGR, compares.

Acres of the plan are taken down to the hundredth, so that ground may measure up
to a hundredth more than ACRES says, and never less.
"""

import csv
import datetime
import json
import os
import subprocess
import sys
import xml.etree.ElementTree as xml

import numpy as np
import pyogrio.raw
import pyproj
import shapely

ACRE = 43_560 * 0.3048**2
# Of a job, in every format, by the names of the KML and the shapefile in small letters.
COLUMNS = ("field", "lot", "rate", "tons", "acres", "first", "last", "season", "job")
EARTH = pyproj.Geod(ellps="WGS84")
# A coordinate has seven decimals, and the plan measures on a plane.
SLACK = 0.001
out, sward = sys.argv[1:3]
faults = []


def run(*args):
    done = subprocess.run([sward, *args], capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"{' '.join(args)}\n{done.stdout}{done.stderr}")
    return done.stdout


def read(path, **options):
    """The layer's rows, each with its geometry; and its projection."""
    meta, _, shapes, columns = pyogrio.raw.read(path, **options)
    shapes = [None] * len(columns[0]) if shapes is None else shapely.from_wkb(shapes)
    rows = [dict(zip(meta["fields"], values)) for values in zip(*columns)]
    return list(zip(rows, shapes)), meta["crs"]


def acres(shape):
    parts = shape.geoms if shape.geom_type == "MultiPolygon" else [shape]
    return sum(EARTH.geometry_area_perimeter(shapely.geometry.polygon.orient(part))[0] for part in parts) / ACRE


def rings(shape):
    """Holes of every part, and whether all rings run counter-clockwise outside, clockwise inside."""
    parts = shape.geoms if shape.geom_type == "MultiPolygon" else [shape]
    holes = sorted(len(part.interiors) for part in parts)
    right = all(p.exterior.is_ccw and not any(hole.is_ccw for hole in p.interiors) for p in parts)
    left = all(not p.exterior.is_ccw and all(hole.is_ccw for hole in p.interiors) for p in parts)
    return holes, right, left


def say(what, wrong, told):
    print(f"{what}: {'; '.join(wrong) if wrong else told}")
    faults.extend(wrong)


def close(a, b, within=1e-6):
    return abs(float(a) - float(b)) <= within


plan = json.loads(run("plan", "fields", "--json"))
jobs = [(field, on) for field in plan["fields"] for on in field["applications"]]
cut = {f["id"]: f for f in json.loads(run("map", "fields", "--json"))["fields"]}
tons = lambda on: on["pounds"] / 2000
starts = lambda on: on.get("litter_from") or on["first"]


def title(field, on):
    """The name of a field; with the days of the job, as the program writes days, where the field has several."""
    if len(field["applications"]) < 2:
        return field["name"]
    first, last = (datetime.date.fromisoformat(day) for day in (starts(on), on["last"]))
    told = lambda day: f"{day:%b} {day.day}"
    begins = told(first) if first.year == last.year else f"{told(first)}, {first.year}"
    return f"{field['name']}, {begins} to {told(last)}, {last.year}"


named = [title(field, on) for field, on in jobs]
numbers = [(number, on["season"].replace("_", " ")) for field in plan["fields"] for number, on in enumerate(field["applications"], 1)]


def compare(what, found, names, clockwise=None, shapes=None):
    """The jobs of a file against the plan: count, ground, rings, numbers, sums."""
    wrong = []
    if len(found) != len(jobs):
        wrong.append(f"{len(found)} jobs, not {len(jobs)}")
    holes = parts = 0
    off = 0.0
    for i, ((row, shape), (field, on)) in enumerate(zip(found, jobs)):
        at = f"{field['id']} ({i + 1})"
        told = {key: row.get(name) for key, name in names.items()}
        for key, real in (("field", field["id"]), ("lot", on["lot"]), ("first", starts(on)), ("last", on["last"])):
            if str(told[key])[: len(real)].replace("/", "-") != real:
                wrong.append(f"{at}: {key} {told[key]}, not {real}")
        for key, real in (("season", numbers[i][1]), ("job", numbers[i][0])):
            if str(told[key]) != str(real):
                wrong.append(f"{at}: {key} {told[key]}, not {real}")
        own = on.get("rest_acres") or field["acres"]
        for key, real in (("rate", on["rate"]), ("tons", tons(on)), ("acres", round(own, 2))):
            if not close(told[key], real):
                wrong.append(f"{at}: {key} {told[key]}, not {real}")
        if not shape.is_valid:
            wrong.append(f"{at}: {shapely.is_valid_reason(shape)}")
        more = acres(shape) - float(told["acres"])
        off = max(off, abs(acres(shape) - cut[field["id"]]["spreadable_acres"]))
        if not -SLACK <= more <= 0.01 + SLACK:
            wrong.append(f"{at}: {acres(shape):.4f} ac, and ACRES says {told['acres']}")
        own, right, left = rings(shape)
        if clockwise is not None and not (left if clockwise else right):
            wrong.append(f"{at}: a ring runs the wrong way")
        if shapes and (own != rings(shapes[i])[0] or not shapely.equals(shape.normalize(), shapes[i].normalize())):
            wrong.append(f"{at}: not the ground of the GeoJSON")
        holes, parts = holes + sum(own), max(parts, len(own))
    if not (holes and parts > 1):
        wrong.append("no hole or no field of two parts was tried")
    if off > 0.01:
        wrong.append(f"{off:.4f} ac off the ground that was measured")
    total = sum(float(row[names["tons"]]) for row, _ in found)
    if not close(total, sum(lot["planned"] for lot in plan["lots"]) / 2000, 1e-3):
        wrong.append(f"{total} tons in all")
    say(what, wrong, f"{len(found)} jobs, {holes} holes, {total:.2f} tons, ground off by {off:.5f} ac at most")
    return [shape for _, shape in found]


def geojson():
    path = f"{out}/plan.geojson"
    run("export", "geojson", "fields", "-o", path)
    names = dict(field="field", lot="lot", rate="rate_tons_per_acre", tons="tons", acres="acres", first="first", last="last", season="season", job="job")
    # The rings as they stand in the file, not as OGR hands them over.
    with open(path) as file:
        raw = [shapely.geometry.shape(feature["geometry"]) for feature in json.load(file)["features"]]
    found, crs = read(path)
    shapes = compare("geojson", found, names)
    wrong = [f"feature {i + 1}: against the right-hand rule" for i, s in enumerate(raw) if not rings(s)[1]]
    wrong += [] if crs == "EPSG:4326" else [f"projection {crs}"]
    say("geojson rings", wrong, f"{len(raw)} shapes by the right-hand rule")
    return shapes


def kml(shapes):
    path = f"{out}/plan.kml"
    run("export", "kml", "fields", "-o", path)
    names = {key: key.upper() for key in COLUMNS}
    # Data of a placemark are read from the file: not every build of OGR hands them over.
    ns = {"k": "http://www.opengis.net/kml/2.2"}
    folders = xml.parse(path).findall("k:Document/k:Folder", ns)
    data = lambda mark: {d.get("name"): d.findtext("k:value", None, ns) for d in mark.findall(".//k:Data", ns)}
    marks = [data(mark) for mark in folders[0].findall("k:Placemark", ns)]
    layers = [name for name, _ in pyogrio.list_layers(path)]
    read_marks = [shape for _, shape in read(path, layer=layers[0], force_2d=True)[0]]
    if len(read_marks) != len(marks):
        faults.append(f"kml: OGR reads {len(read_marks)} placemarks of {len(marks)}")
    compare("kml", list(zip(marks, map(flat, read_marks))), names, clockwise=False, shapes=shapes)
    wrong, counts = [], []
    for layer, folder in zip(layers, folders):
        found, _ = read(path, layer=layer, force_2d=True)
        counts.append(f"{len(found)} in {layer}")
        bad = [row["Name"] for row, shape in found if not shape.is_valid]
        wrong += [f"{name}: not a sound shape" for name in bad]
        titles = [mark.findtext("k:name", None, ns) for mark in folder.findall("k:Placemark", ns)]
        if [row["Name"] for row, _ in found] != titles:
            wrong.append(f"{layer}: other names")
    off = sum(acres(flat(shape)) for _, shape in read(path, layer=layers[1], force_2d=True)[0])
    idle = lambda f: not f["applications"]
    real = sum(f["gross_acres"] if idle(f) else sum(k["acres"] for k in f["kept_off"]) for f in plan["fields"])
    if not close(off, real, 0.02):
        wrong.append(f"{off:.3f} ac to keep off, not {real:.3f}")
    say("kml folders", wrong, f"{', '.join(counts)}; {off:.2f} ac to keep off")


def flat(shape):
    """Collections of polygons as OGR makes them of a MultiGeometry."""
    if shape.geom_type == "GeometryCollection":
        return shapely.MultiPolygon(list(shape.geoms))
    return shape


def shapefile(shapes):
    names = {key: key.upper() for key in COLUMNS}
    run("export", "shapefile", "fields", "-o", f"{out}/rates")
    run("export", "shapefile", "fields", "-o", f"{out}/rates.zip")
    for what, path in (("shapefile", f"{out}/rates/spread.shp"), ("shapefile, packed", f"/vsizip/{out}/rates.zip")):
        found, crs = read(path)
        compare(what, found, names, shapes=shapes)
        wgs84 = pyproj.CRS.from_user_input(crs).equals(pyproj.CRS("EPSG:4326"), ignore_axis_order=True)
        info = pyogrio.raw.read(path)[0]
        wrong = [] if wgs84 else [f"{what}: projection {crs}"]
        wrong += [] if info["encoding"].upper() in ("UTF-8", "UTF8") else [f"{what}: letters {info['encoding']}"]
        titles = [row["NAME"] for row, _ in found]
        wrong += [] if len(titles) == len(named) else [f"{what}: {len(titles)} names of {len(named)} jobs"]
        wrong += [f"{what}: name {told}, not {real}" for told, real in zip(titles, named) if told != real]
        faults.extend(wrong)
        if wrong:
            print("; ".join(wrong))
    wrong = [f"record {i + 1}: a ring runs the wrong way" for i, good in enumerate(raw_rings()) if not good]
    say("shapefile rings", wrong, "outer rings clockwise, holes counter-clockwise, each behind its own outer ring")


def raw_rings():
    """Whether each record of the .shp, read by hand, has its rings as the format asks."""
    body = open(f"{out}/rates/spread.shp", "rb").read()
    at = 100
    while at < len(body):
        length = 2 * int.from_bytes(body[at + 4 : at + 8], "big")
        record = body[at + 8 : at + 8 + length]
        parts, points = np.frombuffer(record, "<i4", 2, 36)
        starts = [*np.frombuffer(record, "<i4", parts, 44), points]
        places = np.frombuffer(record, "<f8", 2 * points, 44 + 4 * parts).reshape(-1, 2)
        good, outer = True, None
        for start, end in zip(starts, starts[1:]):
            ring = shapely.LinearRing(places[start:end])
            if not ring.is_ccw:
                outer = shapely.Polygon(ring)
            else:
                good &= outer is not None and outer.contains(shapely.Polygon(ring).representative_point())
        yield good
        at += 8 + length


def tables():
    run("export", "csv", "fields", "-o", f"{out}/tables")
    for name, count in (("plan", len(jobs)), ("leftover", len(plan["lots"])), ("fertilizer", len(plan["buy"]["products"]))):
        path = f"{out}/tables/{name}.csv"
        found = [row for row, _ in read(path)[0]]
        with open(path, encoding="utf-8-sig", newline="") as file:
            plain = list(csv.DictReader(file))
        wrong = [] if len(found) == len(plain) == count else [f"{name}.csv: {len(found)} rows, not {count}"]
        if [list(map(str, row.values())) for row in found] != [list(row.values()) for row in plain]:
            wrong.append(f"{name}.csv: OGR reads other cells")
        add = lambda column, of=lambda row: True: sum(float(row[column]) for row in found if of(row))
        if name == "plan":
            wrong += sums(found, add)
            told = f"{add('tons'):.4f} tons"
        elif name == "leftover":
            real = plan["leftover"]["pounds"] / 2000
            wrong += [] if close(add("left_tons"), real) else [f"{add('left_tons')} tons left, not {real}"]
            told = f"{add('left_tons'):.4f} tons left"
        else:
            real = plan["buy"]["with_litter"]["fertilizer"]
            wrong += [] if close(add("dollars"), real, 0.5) else [f"{add('dollars')} dollars, not {real}"]
            told = f"{add('dollars'):.0f} dollars"
        say(f"csv, {name}", wrong, f"{count} rows, {told}")


def sums(found, add):
    wrong = []
    for row, (field, on), number in zip(found, jobs, numbers):
        if row["field"] != field["id"] or not close(row["rate_tons_per_acre"], on["rate"]) or not close(row["tons"], tons(on)):
            wrong.append(f"{field['id']}: {row}")
        if (int(row["job"]), row["season"]) != number:
            wrong.append(f"{field['id']}: job {row['job']} in {row['season']}, not {number}")
    for lot in plan["lots"]:
        told = add("tons", lambda row: row["lot"] == lot["id"])
        wrong += [] if close(told, lot["planned"] / 2000) else [f"{lot['id']}: {told} tons"]
    for field in plan["fields"]:
        for column, key in (("available_n", "n"), ("p2o5", "p2o5"), ("k2o", "k2o")):
            told = add(f"{column}_lb_per_acre", lambda row: row["field"] == field["id"])
            # Two decimals a job.
            wrong += [] if close(told, field["supplied"][key], 0.0101) else [f"{field['id']}: {told} lb/ac {key}"]
    return wrong


def boundaries():
    """Written by OGR, read by the program: the same acres as the farm's own file."""
    with open("fields/fields.geojson") as file:
        features = [f for f in json.load(file)["features"] if "olygon" in f["geometry"]["type"]]
    ids = np.array([f["properties"]["id"] for f in features], dtype=object)
    shapes = np.array([shapely.geometry.shape(f["geometry"]) for f in features])
    real = dict(zip(ids, map(acres, shapes)))
    def drawn(code):
        grid = pyproj.CRS(code)
        to = pyproj.Transformer.from_crs(grid.geodetic_crs, grid, always_xy=True)
        return shapely.transform(shapes, lambda at: np.column_stack(to.transform(at[:, 0], at[:, 1])))

    # Albers, State Plane in both feet and in meters, UTM, on WGS84 and realizations of NAD83.
    grids = ("EPSG:32617", "EPSG:26917", "EPSG:5070", "EPSG:2264", "EPSG:32119", "EPSG:6543", "EPSG:2273")
    ways = (
        ("in: KML", "KML", "in.kml", shapes, "EPSG:4326"),
        ("in: GeoJSON", "GeoJSON", "in.geojson", shapes, "EPSG:4326"),
        ("in: shapefile", "ESRI Shapefile", "in4326.shp", shapes, "EPSG:4326"),
        *((f"in: shapefile in {code}", "ESRI Shapefile", f"in{code[5:]}.shp", drawn(code), code) for code in grids),
        *((f"in: GeoJSON in {code}", "GeoJSON", f"in{code[5:]}.geojson", drawn(code), code) for code in grids),
    )
    for what, driver, name, ground, crs in ways:
        path, column = f"{out}/{name}", "Name" if driver == "KML" else "NAME"
        kind = "Unknown" if driver in ("KML", "GeoJSON") else "Polygon"
        pyogrio.raw.write(path, shapely.to_wkb(ground), [ids], [column], geometry_type=kind, crs=crs, driver=driver)
        got = json.loads(run("ground", "import", path, "-o", f"{out}/got.geojson", "--force", "--json"))["fields"]
        off = {f["id"]: abs(f["acres"] - real.get(f["id"], 0)) for f in got}
        wrong = [f"{key}: {value:.4f} ac off" for key, value in off.items() if value > 0.01]
        if sorted(off) != sorted(ids):
            wrong.append(f"fields {sorted(off)}, not {sorted(ids)}")
        say(what, wrong, f"{len(got)} fields, acres off by {max(off.values(), default=0):.5f} at most")


def keepouts():
    """The demo farm's keep-outs written by OGR, a layer a kind of shape; read with their kinds and lengths."""
    with open("fields/keepouts.geojson") as file:
        features = json.load(file)["features"]
    real = sorted((f["properties"]["kind"], f["properties"]["name"]) for f in features)
    size = lambda f: EARTH.geometry_length(shapely.geometry.shape(f["geometry"]))
    total = sum(map(size, features))
    for driver, ending in (("GeoJSON", "geojson"), ("ESRI Shapefile", "shp")):
        paths = []
        for kind in ("Point", "LineString", "Polygon"):
            own = [f for f in features if f["geometry"]["type"] == kind]
            columns = [np.array([f["properties"][key] for f in own], dtype=object) for key in ("kind", "name")]
            wkb = shapely.to_wkb(np.array([shapely.geometry.shape(f["geometry"]) for f in own]))
            paths.append(f"{out}/keep{kind}.{ending}")
            pyogrio.raw.write(paths[-1], wkb, columns, ["kind", "name"], geometry_type=kind, crs="EPSG:4326", driver=driver)
        run("ground", "import", *paths, "--keepouts", "-o", f"{out}/keep.json", "--force")
        with open(f"{out}/keep.json") as file:
            got = json.load(file)["features"]
        wrong = [] if sorted((f["properties"]["kind"], f["properties"]["name"]) for f in got) == real else ["other kinds or names"]
        length = sum(map(size, got))
        wrong += [] if close(length, total, 0.1) else [f"{length:.1f} m of lines, not {total:.1f}"]
        say(f"in: keep-outs as {driver}", wrong, f"{len(got)} keep-outs, {length:.1f} m of lines")


ground = geojson()
kml(ground)
shapefile(ground)
tables()
boundaries()
keepouts()
print("OGR and the program agree" if not faults else f"{len(faults)} differences")
sys.exit(1 if faults else 0)
