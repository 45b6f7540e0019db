"""Writes a long log into a farm folder and times the program on it: once as a hand writes
it, with the columns that are used, and once as the program does, with all of them."""

import csv
import os
import subprocess
import sys
import time
from datetime import date, timedelta

program, farm, many = sys.argv[1], sys.argv[2], int(sys.argv[3])
LOG = f"{farm}/log.csv"
DAY = ["--date", "2027-03-02", "--today", "2027-03-02"]
RAIN = ["log", "rain", farm, "--inches", "0.5", *DAY]
SPREAD = ["log", "spread", farm, "--lot", "clean-out", "--field", "B1", "--acres", "4", "--tons", "8.1", "--loads", "1",
          "--method", "surface", "--weather", "clear", "--before", "dry", "--wind", "SW 5 mph", "--soil", "moist",
          "--operator", "D. Farrow", "--basis", "plan", *DAY]
BY_HAND = "date,what,lot,field,tons,ticket_number,from,inches,bales,id".split(",")
WORDS = {"operator": "D. Farrow", "truck": "blue 10-wheel", "analysis": "2026-11-20, state laboratory",
         "receipt": "weighed at the elevator; ticket kept"}


def entry(i):
    """Years of hauling and bringing, with rain and hay between: nothing runs short."""
    about = {"date": date(2019, 1, 1) + timedelta(days=i * 2900 // many), "id": f"e{i}"}
    if i % 10 == 0:
        return about | {"what": "rain", "inches": "0.4"}
    if i % 10 == 1:
        return about | {"what": "cut", "field": f"B{1 + i % 2}", "bales": 20 + i % 7}
    about |= {"lot": "clean-out", "tons": "8.1", "ticket_number": f"t{i}"}
    if i % 2 == 0:
        return about | {"what": "bring", "from": "Oak Farm"}
    return about | {"what": "haul"}


def write(columns, words):
    with open(LOG, "w", newline="") as log:
        lines = csv.DictWriter(log, columns, lineterminator="\n")
        lines.writeheader()
        for i in range(many):
            one = entry(i)
            lines.writerow(one if "lot" not in one else words | one)


def timed(*arguments):
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        done = subprocess.run([program, *arguments], capture_output=True, text=True)
        best = min(best, time.perf_counter() - start)
    return best, done


def timings():
    for name, arguments in [
        ("log rain", RAIN), ("log spread", SPREAD), ("check", ["check", farm]), ("plan", ["plan", farm]),
        ("tally", ["tally", farm]),
    ]:
        seconds, done = timed(*arguments)
        print(f"  {name}: {seconds:.2f} s, exit {done.returncode}")
        if done.returncode != 0:
            print(done.stdout[-600:], done.stderr[-600:])


if os.path.exists(LOG):
    os.remove(LOG)
# The program writes every column, and their names into the first line.
subprocess.run([program, *RAIN], capture_output=True, check=True)
with open(LOG) as log:
    columns = log.readline().strip().split(",")
for name, of, words in [("no entry", columns, None), ("by hand", BY_HAND, {}), ("every column", columns, WORDS)]:
    print(f"{name}:")
    if words is None:
        os.remove(LOG)
    else:
        write(of, words)
    timings()
