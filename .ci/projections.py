"""Writes tests/import/projections.json: grids as other programs name them, with reference points.

Needs pyproj. The points are projected from each grid's own longitude and latitude, so that no
datum is shifted; the versions that made them stand in the file.
"""

import json
import pathlib

import numpy as np
import pyproj

CODES = """EPSG:5070 EPSG:6350 EPSG:3083 ESRI:102003
EPSG:2264 EPSG:32119 EPSG:6543 EPSG:2273 EPSG:32133 EPSG:2283 EPSG:2284 EPSG:2248 EPSG:6487
EPSG:2239 EPSG:2240 EPSG:6446 EPSG:26929 EPSG:26930 EPSG:6355 EPSG:2276 EPSG:2965 EPSG:2899 EPSG:3433
EPSG:26931 EPSG:3078 EPSG:26916 EPSG:26917 EPSG:6346 EPSG:3724 EPSG:32617 EPSG:32616 EPSG:2959 EPSG:3857""".split()
FORMS = ("WKT1_GDAL", "WKT1_ESRI", "WKT2_2015_SIMPLIFIED", "WKT2_2019_SIMPLIFIED")

systems = []
for code in CODES:
    crs = pyproj.CRS.from_user_input(code)
    area = crs.area_of_use
    to = pyproj.Transformer.from_crs(crs.geodetic_crs, crs, always_xy=True)
    points = []
    for lon in np.linspace(max(area.west, -125), min(area.east, -66), 3):
        for lat in np.linspace(max(area.south, 24), min(area.north, 60), 3):
            x, y = to.transform(lon, lat)
            points.append([round(x, 5), round(y, 5), round(float(lon), 9), round(float(lat), 9)])
    if code == "EPSG:26931":  # It lies beyond the box above.
        points = [[round(float(v), 5) for v in to.transform(lon, lat)] + [lon, lat] for lon in (-136, -132) for lat in (55, 59)]
    # Rounded degrees are projected again, so that numbers and degrees belong together.
    points = [[*(round(v, 5) for v in to.transform(lon, lat)), lon, lat] for _, _, lon, lat in points]
    # A grid with heights above it, in the two forms.
    wkt = {form: crs.to_wkt(form) for form in FORMS}
    systems.append({"code": code, "name": crs.name, "datum": crs.datum.name, "wkt": wkt, "points": points})
whole = pyproj.CRS.from_user_input("EPSG:2264+6360")
compound = {form: whole.to_wkt(form) for form in FORMS if form != "WKT1_ESRI"}
made = {"pyproj": pyproj.__version__, "PROJ": pyproj.proj_version_str, "EPSG": pyproj.database.get_database_metadata("EPSG.VERSION")}
lines = ",\n".join(json.dumps(system) for system in systems)
path = pathlib.Path(__file__).parent.parent / "tests/import/projections.json"
path.write_text(f'{{"made": {json.dumps(made)},\n"compound": {json.dumps(compound)},\n"systems": [\n{lines}\n]}}\n')
print(len(systems), made)
