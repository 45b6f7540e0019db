"""Solves the written farms with HiGHS and prints the comparison.

One binary an option, one row a field (at most one option), one row a stock.
Default settings but for mip_rel_gap and one thread. The peer is timed by the
processor, the solver by the clock. Each farm is solved twice: as it stands, and without
options that another of the same field dominates; the faster run counts.
"""
import glob, json, math, os, sys, time
import highspy, numpy as np

# A run of the peer is stopped after ENOUGH times our own seconds (but not
# before LEAST, nor after MOST): past that the ratio is shown with a `>`.
ENOUGH = 30.0
LEAST = float(os.environ.get("LEAST", "10"))
MOST = float(os.environ.get("MOST", "300"))
# Seconds for all of them.
BUDGET = float(os.environ.get("BUDGET", "inf"))


def undominated(options, m):
    rows = []
    for worth, uses in options:
        row = [0] * m
        for r, u in uses:
            row[r] += u
        rows.append((worth, row))
    keep = []
    for i, (w, row) in enumerate(rows):
        if w <= 0:
            continue
        for j, (x, other) in enumerate(rows):
            better = x > w or (x == w and (other != row or j < i))
            if i != j and x >= w and better and all(a <= b for a, b in zip(other, row)):
                break
        else:
            keep.append(i)
    return [options[i] for i in keep]


def peer(stock, groups, gap, limit):
    m, n = len(stock), len(groups)
    cost, start, index, value = [], [], [], []
    for g, options in enumerate(groups):
        for worth, uses in options:
            start.append(len(index))
            cost.append(worth / 1000.0)
            index.append(m + g)
            value.append(1.0)
            for r, u in uses:
                index.append(r)
                value.append(float(u))
    start.append(len(index))
    count = len(cost)
    if count == 0:
        return 0.0, 0.0, 0, True
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = count, m + n
    lp.col_cost_ = np.array(cost)
    lp.col_lower_, lp.col_upper_ = np.zeros(count), np.ones(count)
    lp.row_lower_ = np.full(m + n, -highspy.kHighsInf)
    lp.row_upper_ = np.array([float(s) for s in stock] + [1.0] * n)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_, lp.a_matrix_.index_ = np.array(start), np.array(index)
    lp.a_matrix_.value_ = np.array(value)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * count
    lp.sense_ = highspy.ObjSense.kMaximize
    h = highspy.Highs()
    h.setOptionValue("output_flag", False)
    h.setOptionValue("threads", 1)
    h.setOptionValue("mip_rel_gap", gap)
    h.setOptionValue("time_limit", limit)
    h.passModel(lp)
    before = time.process_time()
    h.run()
    took = time.process_time() - before
    chosen = np.array(h.getSolution().col_value) > 0.5
    done = h.getModelStatus() == highspy.HighsModelStatus.kOptimal
    # The worth in our own whole numbers, and whether the stocks are kept.
    left, worth, at = list(stock), 0, 0
    for options in groups:
        for w, uses in options:
            if chosen[at]:
                worth += w
                for r, u in uses:
                    left[r] -= u
            at += 1
    if min(left, default=0) < 0:
        print("  the peer's plan passes a stock by", -min(left))
    return took, worth, h.getInfo().mip_dual_bound * 1000, done


def main():
    began = time.monotonic()
    quiet = len(sys.argv) > 2
    worst, ratios, missed, slower = 0.0, [], 0, 0
    print(f"{'kind':37} {'fields':>6} {'gap':>6} {'own ms':>9} {'own gap':>8} {'peer s':>8} {'slim s':>8} {'ratio':>9} {'own/peer-1':>11}")
    for path in sorted(glob.glob(sys.argv[1] + "/*.json")):
        if time.monotonic() - began > BUDGET:
            print("  stopped: the time allowed is over")
            break
        case = json.load(open(path))
        own, gap = case["own"], case["gap"]
        limit = min(MOST, max(LEAST, ENOUGH * own["seconds"]))
        plain = peer(case["stock"], case["groups"], gap, limit)
        m = len(case["stock"])
        slim = plain
        if not quiet:
            slim = peer(case["stock"], [undominated(o, m) for o in case["groups"]], gap, limit)
        best = max(plain[1], slim[1])
        quick = min(plain[0], slim[0])
        ended = plain[3] or slim[3]
        ratio = quick / max(own["seconds"], 1e-6)
        ahead = own["worth"] / best - 1 if best else 0.0
        width = (own["bound"] - own["worth"]) / max(own["worth"], 1)
        worst = min(worst, ahead)
        ratios.append(ratio)
        missed += not own["reached"]
        slower += ratio < 20
        if own["bound"] < best:
            print("  BOUND BELOW THE PEER'S PLAN", path)
        if ahead < -gap and own["reached"]:
            print("  WORSE THAN THE GAP ALLOWS", path)
        if not quiet or not own["reached"]:
            mark = "" if ended else ">"
            print(f"{case['name']:37} {case['fields']:6} {gap:6.0e} {own['seconds'] * 1e3:9.2f} {width:8.1e} "
                  f"{plain[0]:8.2f} {slim[0]:8.2f} {mark + format(ratio, '.0f'):>9} {ahead:11.1e}", flush=True)
    mean = math.exp(sum(map(math.log, ratios)) / len(ratios))
    print(f"{len(ratios)} farms: gap not reached on {missed}; least ratio {min(ratios):.1f}, geometric mean {mean:.0f}, "
          f"below 20 on {slower}; own plan worse by at most {-worst:.1e} of the peer's")


main()
