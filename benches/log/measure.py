"""Writes a long log into a farm folder and times the program on it."""

import subprocess
import sys
import time
from datetime import date, timedelta

program, farm, many = sys.argv[1], sys.argv[2], int(sys.argv[3])


def line(i):
    """Years of hauling and bringing, with rain and hay between: nothing runs short."""
    day = date(2019, 1, 1) + timedelta(days=i * 2900 // many)
    if i % 10 == 0:
        return f"{day},rain,,,,,,0.4,,e{i}"
    if i % 10 == 1:
        return f"{day},cut,,B{1 + i % 2},,,,,{20 + i % 7},e{i}"
    if i % 2 == 0:
        return f"{day},bring,clean-out,,8.1,t{i},Oak Farm,,,e{i}"
    return f"{day},haul,clean-out,,8.1,t{i},,,,e{i}"


def timed(*arguments):
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        done = subprocess.run([program, *arguments], capture_output=True, text=True)
        best = min(best, time.perf_counter() - start)
    return best, done


with open(f"{farm}/log.csv", "w") as log:
    log.write("date,what,lot,field,tons,ticket_number,from,inches,bales,id\n")
    log.writelines(line(i) + "\n" for i in range(many))
for name, arguments in [
    ("log rain", ["log", "rain", farm, "--inches", "0.5", "--date", "2027-03-02", "--today", "2027-03-02"]),
    ("check", ["check", farm]),
    ("plan", ["plan", farm]),
    ("tally", ["tally", farm]),
]:
    seconds, done = timed(*arguments)
    print(f"{name}: {seconds:.2f} s, exit {done.returncode}")
    if done.returncode not in (0,):
        print(done.stdout[-600:], done.stderr[-600:])
