"""Makes up farm folders as a grower would write them, for timing whole plans.

    generate.py FOLDER FIELDS LOTS STEP SHARE [days] [first] [SEED]

FIELDS square fields of 5 to 40 acres, LOTS lots that hold SHARE percent of what the fields could
take, a spreader set by STEP tons an acre; `days` plans days, `first` uses the first lot first.
Everything is invented. The same arguments give the same folder.
"""

import json
import os
import random
import sys

folder, fields, lots, step, share, *rest = sys.argv[1:]
fields, lots, step, share = int(fields), int(lots), float(step), int(share)
numbers = [word for word in rest if word.isdigit()]
draw = random.Random(f"{fields} {lots} {step} {share} {rest} {numbers}")
# Feet in a degree near 35.7 N: for laying things out, nothing is measured with it.
PER_LON, PER_LAT, PITCH = 296_700.0, 364_000.0, 1_500.0
FORAGES = [
    ("tall fescue", "hay", "[2027-05-14, 2027-07-20]", (2.5, 4.0)),
    ("orchardgrass", "hay", "[2027-05-10, 2027-07-12]", (2.5, 4.0)),
    ("hybrid bermudagrass", "hay", "[2027-06-08, 2027-07-13, 2027-08-20]", (4.0, 6.5)),
    ("tall fescue", "pasture", "", (2.0, 3.5)),
]

shapes, blocks, acres = [], [], 0.0
for number in range(fields):
    own = draw.uniform(5.0, 40.0)
    side = (own * 43_560.0) ** 0.5
    east, north = number % 20 * PITCH, number // 20 * PITCH
    ring = [(0, 0), (side, 0), (side, side), (0, side), (0, 0)]
    corners = [[round(-79.5 + (east + x) / PER_LON, 7), round(35.7 + (north + y) / PER_LAT, 7)] for x, y in ring]
    name = f"F{number + 1}"
    geometry = {"type": "Polygon", "coordinates": [corners]}
    shapes.append({"type": "Feature", "properties": {"id": name}, "geometry": geometry})
    forage, use, cuttings, (low, high) = draw.choice(FORAGES)
    rating = draw.choice(["low", "medium", "medium", "high"])
    acres += own
    cut = f"\n    cuttings: {cuttings}" if cuttings else ""
    blocks.append(f"""  - id: {name}
    name: Field {number + 1}
    forage: {forage}
    use: {use}
    texture: {draw.choice(["fine", "sandy"])}
    yield_goal: {draw.uniform(low, high):.1f} tons/ac
    miles: {draw.uniform(0.1, 6.0):.1f} miles
    soil_test: {{lab: a laboratory, sampled: 2025-11-12, extractant: mehlich-3, p: {draw.randint(10, 150)} index,
      k: {draw.randint(15, 110)} index, ph: 6.1, zinc: 90 index, copper: 80 index}}
    phosphorus_rating: {{rating: {rating}, by: a planner, on: 2026-11-09}}{cut}""")

heaps = []
for number in range(lots):
    tons = max(1, round(acres * 2.5 * share / 100 / lots))
    n, p, k = draw.randint(40, 66), draw.randint(35, 66), draw.randint(35, 66)
    first = "\n    use_first: true" if "first" in rest and number == 0 else ""
    heaps.append(f"""  - lot: heap{number + 1}
    kind: broiler litter
    on_hand: {tons} tons
    counted: by loads
    counted_on: 2027-01-20
    stored: shed
    since: 2027-01-05{first}
    analysis: {{lab: a laboratory, sampled: 2027-01-11, basis: as received, moisture: 26 %,
      total_n: {n} lb/ton, ammonium_n: {n // 6} lb/ton, p2o5: {p} lb/ton, k2o: {k} lb/ton, zinc: 385 ppm, copper: 310 ppm}}""")

days = f"\ndays: {{tons_per_day: {max(60, round(acres / 25))} tons, fit: {{february: 25 %}}, not_on: [sunday]}}\n" if "days" in rest else "\n"
text = f"""farm: A made-up farm of {fields} fields
place: us-nc
region: piedmont
plan: {{from: 2027-02-15, to: 2027-10-31, as_of: 2027-02-01}}
prices: {{n: 0.74 $/lb, p2o5: 0.58 $/lb, k2o: 0.42 $/lb, litter_sold: 5 $/ton, loading_spreading: 8.50 $/ton,
  hauling: 0.45 $/ton-mile}}
spreader: {{name: a spreader, swath: 30 ft, load: 8 tons, step: {step} tons/ac, least: 1 ton/ac, most: 4 tons/ac,
  calibrated: 2026-09-14}}
litter:
{chr(10).join(heaps)}
fields:
{chr(10).join(blocks)}
fertilizer:
  - {{name: urea, analysis: 46-0-0, price: 520 $/ton}}
  - {{name: DAP, analysis: 18-46-0, price: 640 $/ton}}
  - {{name: potash, analysis: 0-0-60, price: 480 $/ton}}
fertilizer_spreading: 8 $/ac
{days}version: 2
"""
os.makedirs(folder, exist_ok=True)
for name, content in [
    ("farm.yaml", text),
    ("fields.geojson", json.dumps({"type": "FeatureCollection", "features": shapes})),
    ("keepouts.geojson", json.dumps({"type": "FeatureCollection", "features": []})),
]:
    with open(os.path.join(folder, name), "w") as file:
        file.write(content)
