"""Runs both programs on made-up counties and prints what they took.

    measure.py FOLDER SWARD [--repeats N] [--peer-all]

Whole processes: wall time, and peak memory as the kernel counts it (ru_maxrss
of that child). Ours and the peer take turns, so that a busy machine weighs on
both alike; the ratio is that of the medians, and its spread is shown too.
"""

import argparse
import csv
import os
import statistics
import subprocess
import sys
import time

args = argparse.ArgumentParser()
args.add_argument("folder")
args.add_argument("sward")
args.add_argument("--repeats", type=int, default=3)
args.add_argument("--peer-all", action="store_true")
args = args.parse_args()
HERE = os.path.dirname(os.path.abspath(__file__))
IDIOMS = [
    [],
    ["--split", "16"],
    ["--arrow", "--split", "16"],
    ["--arrow", "--split", "8"],
    ["--arrow", "--split", "16", "--threads", "2"],
    ["--arrow", "--split", "16", "--clip", "--threads", "2"],
]


def timed(command, out=os.devnull):
    """Seconds, megabytes and seconds of processor of one whole process."""
    with open(out, "wb") as file:
        start = time.perf_counter()
        child = subprocess.Popen(command, stdout=file, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(child.pid, 0)
        wall = time.perf_counter() - start
    if status:
        sys.exit(f"failed: {' '.join(command)}")
    return wall, usage.ru_maxrss / 1024, usage.ru_utime + usage.ru_stime


def files(count):
    folder = f"{args.folder}/{count}"
    if not os.path.exists(f"{folder}/keepouts.geojson"):
        os.makedirs(folder, exist_ok=True)
        subprocess.run([sys.executable, f"{HERE}/generate.py", folder, str(count)], check=True)
    return f"{folder}/fields.geojson", f"{folder}/keepouts.geojson"


def own(count, out=os.devnull):
    fields, keepouts = files(count)
    return timed([args.sward, "ground", "acres", fields, "--keepouts", keepouts], out)


def peer(count, idiom, out):
    fields, keepouts = files(count)
    return timed([sys.executable, f"{HERE}/peer.py", fields, keepouts, out, *idiom])


def table(path):
    with open(path) as file:
        rows = list(csv.reader(file))[1:]
    return {row[0]: (float(row[1]), float(row[2])) for row in rows}


def shown(idiom):
    return " ".join(idiom) or "plain"


print("The peer's idioms at 20,000 fields, once each:")
best = None
for idiom in IDIOMS:
    took = peer(20_000, idiom, f"{args.folder}/peer.csv")
    print(f"  {shown(idiom):44} {took[0]:7.2f} s {took[1]:7.0f} MB {took[2]:7.2f} s of processor")
    if best is None or took[0] < best[0]:
        best = (took[0], idiom)
idiom = best[1]

print(f"\n20,000 fields, taking turns, {args.repeats} times; the peer with {shown(idiom)}:")
ours, theirs = [], []
for _ in range(args.repeats):
    theirs.append(peer(20_000, idiom, f"{args.folder}/peer.csv"))
    ours.append(own(20_000, f"{args.folder}/own.csv"))


def middle(runs, what):
    return statistics.median(run[what] for run in runs)


print(f"  {'':8} {'wall s':>18} {'peak MB':>9} {'processor s':>12}")
for name, runs in [("peer", theirs), ("sward", ours)]:
    walls = [run[0] for run in runs]
    spread = f"{middle(runs, 0):.2f} ({min(walls):.2f}-{max(walls):.2f})"
    print(f"  {name:8} {spread:>18} {middle(runs, 1):9.0f} {middle(runs, 2):12.2f}")
each = sorted(them[0] / us[0] for them, us in zip(theirs, ours))
faster = middle(theirs, 0) / middle(ours, 0)
memory = middle(ours, 1) / middle(theirs, 1)
print(f"  {faster:.1f} times faster (pair by pair {each[0]:.1f} to {each[-1]:.1f}), {memory:.2f} of the memory")

a, b = table(f"{args.folder}/own.csv"), table(f"{args.folder}/peer.csv")
assert a.keys() == b.keys(), "not the same fields"
off = [abs(a[key][1] - b[key][1]) for key in a]
gross = [abs(a[key][0] - b[key][0]) for key in a]
over = [a[key][1] - b[key][1] for key in a]
print(f"  spreadable acres a field differ by {max(off):.4f} at most, {statistics.mean(off):.4f} on average")
print(f"  (the peer's circles lie inside the true ones: sward has {-statistics.mean(over):.4f} ac less on average)")
print(f"  gross acres differ by {max(gross):.4f} at most")

print("\nFrom small to large, sward:")
print(f"  {'fields':>8} {'wall s':>8} {'peak MB':>8} {'us a field':>11}")
for count in [2_000, 20_000, 200_000]:
    runs = [own(count) for _ in range(args.repeats)]
    wall = middle(runs, 0)
    print(f"  {count:8,} {wall:8.2f} {middle(runs, 1):8.0f} {wall / count * 1e6:11.1f}")
if args.peer_all:
    for count in [2_000, 200_000]:
        took = peer(count, idiom, f"{args.folder}/peer.csv")
        print(f"  peer at {count:,}: {took[0]:.2f} s, {took[1]:.0f} MB")

runs = [own(30)[0] * 1000 for _ in range(20)]
print(f"\nA farm of 30 fields, file to acres: {statistics.median(runs):.1f} ms ({min(runs):.1f}-{max(runs):.1f})")
ok = faster >= 10 and memory <= 0.5 and statistics.median(runs) < 20
print("within the bounds: 10 times faster, half the memory, 20 ms" if ok else "NOT within the bounds")
sys.exit(0 if ok else 1)
