"""Answers the questions of farm folders with HiGHS and prints the comparison.

The formulation is of its own: no mixes and no counted resources. Each application is
a whole number of the spreader's steps and a switch; nutrients that meet a need are a
variable each; litter flows through every lot from day to day, and a storage keeps
no more than goes in.

Use: folders.py FOLDER; MOST=60 seconds a farm at most.
"""
import glob, json, os, sys, time
import highspy

INF = highspy.kHighsInf
MOST = float(os.environ.get("MOST", "60"))


class Model:
    def __init__(self):
        self.cost, self.low, self.high, self.whole = [], [], [], []
        self.rows = []

    def var(self, cost=0.0, low=0.0, high=INF, whole=False):
        self.cost.append(cost); self.low.append(low); self.high.append(high); self.whole.append(whole)
        return len(self.cost) - 1

    def row(self, terms, low=-INF, high=INF):
        self.rows.append((low, high, terms))

    def solve(self, gap, seconds):
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.cost), len(self.rows)
        lp.col_cost_, lp.col_lower_, lp.col_upper_ = self.cost, self.low, self.high
        lp.row_lower_ = [r[0] for r in self.rows]
        lp.row_upper_ = [r[1] for r in self.rows]
        start, index, value = [0], [], []
        for _, _, terms in self.rows:
            sums = {}
            for at, by in terms:
                sums[at] = sums.get(at, 0.0) + by
            index += sums.keys(); value += sums.values(); start.append(len(index))
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = start, index, value
        kind = highspy.HighsVarType
        lp.integrality_ = [kind.kInteger if w else kind.kContinuous for w in self.whole]
        lp.sense_ = highspy.ObjSense.kMaximize
        h = highspy.Highs()
        for name, option in (("output_flag", False), ("threads", 1), ("mip_rel_gap", gap),
                             ("mip_abs_gap", 0.01), ("time_limit", seconds)):
            h.setOptionValue(name, option)
        h.passModel(lp)
        h.run()
        ended = h.getModelStatus() == highspy.HighsModelStatus.kOptimal
        return ended, h.getInfo().objective_function_value, h.getInfo().mip_dual_bound, list(h.getSolution().col_value)


def model(farm, fixed=None):
    m = Model()
    step = farm["step"]
    least = max(1, -int(-(farm["least"] / step - 1e-9) // 1))
    used = []          # (lot, first, last, variable of pounds)
    steps, switch = [], []
    for c in farm["choices"]:
        field = farm["fields"][c["field"]]
        most = 100.0
        for use, cap in zip(c["uses"], field["caps"]):
            if use > 0 and cap["allowed"] is not None:
                most = min(most, max(0.0, cap["allowed"] + 1e-6) / use)
        most = int(most / step + 1e-9)
        k = m.var(0.0, 0, most, True)
        on = m.var(0.0, 0, 1 if most >= least else 0, True)
        m.row([(k, 1.0), (on, -float(most))], high=0.0)
        m.row([(k, 1.0), (on, -float(least))], low=0.0)
        # Pounds are taken down to the pound by the program: up to a pound less.
        pounds = m.var(-(c["cost"] + farm["lots"][c["lot"]]["worth_left"]) / 2000.0)
        m.row([(pounds, 1.0), (k, -step * field["acres"] * 2000.0)], low=0.0, high=0.0)
        steps.append(k); switch.append(on)
        used.append((c["lot"], c["first"], c["last"], pounds))
    for f, field in enumerate(farm["fields"]):
        own = [i for i, c in enumerate(farm["choices"]) if c["field"] == f]
        for at, cap in enumerate(field["caps"]):
            if cap["allowed"] is None or cap["once"]:
                continue
            terms = [(steps[i], step * farm["choices"][i]["uses"][at]) for i in own if farm["choices"][i]["uses"][at] > 0]
            if terms:
                m.row(terms, high=max(0.0, cap["allowed"] + 1e-6))
        for window in {farm["choices"][i]["window"] for i in own}:
            m.row([(switch[i], 1.0) for i in own if farm["choices"][i]["window"] == window], high=1.0)
        for first, last, most in field["trips"] + field["openings"]:
            inside = [i for i in own if first <= farm["choices"][i]["first"] and farm["choices"][i]["last"] <= last]
            m.row([(switch[i], 1.0) for i in inside], high=float(most))
        for i in own:
            c = farm["choices"][i]
            if not any(first <= c["first"] and c["last"] <= last for first, last, _ in field["trips"]):
                m.row([(switch[i], 1.0)], high=0.0)
        for n in range(3):
            met = m.var(farm["worth"][n] * field["acres"], 0.0, max(0.0, field["need"][n]))
            m.row([(met, 1.0)] + [(steps[i], -step * farm["choices"][i]["per_ton"][n]) for i in own], high=0.0)
    for span in farm["spans"]:
        if span["lot"] is not None:
            lot = span["lot"]
            terms = []
            for i, c in enumerate(farm["choices"]):
                waits = c["lot"] == lot and c["last"] <= span["last"]
                within = span["first"] <= c["first"] and c["last"] <= span["last"]
                if waits and c["last"] < span["first"]:
                    terms.append((used[i][3], 1.0))
                elif waits or within:
                    terms.append((used[i][3], c["weight"]))
        else:
            terms = [(used[i][3], c["weight"]) for i, c in enumerate(farm["choices"])
                     if span["first"] <= c["first"] and c["last"] <= span["last"]]
        if terms:
            m.row(terms, high=float(span["pounds"]))
    for outlet in farm["outlets"]:
        sold = []
        for lot in outlet["lots"]:
            worth = outlet["price"] - farm["lots"][lot]["worth_left"]
            pounds = m.var(worth / 2000.0, 0.0, float(farm["lots"][lot]["pounds"]))
            sold.append((pounds, 1.0))
            used.append((lot, outlet["first"], outlet["last"], pounds))
        if outlet["most"] is not None and sold:
            m.row(sold, high=float(outlet["most"]))
    keeps = {}
    roomy = {lot for room in farm["rooms"] for lot in room["lots"]}
    for at, lot in enumerate(farm["lots"]):
        own = [u for u in used if u[0] == at]
        days = sorted({d for _, first, last, _ in own for d in (first, last)}
                      | {d for d, _ in lot["comes"]} | ({d for u in used for d in u[1:3]} |
                      {d for other in farm["lots"] for d, _ in other["comes"]} if at in roomy else set()))
        came = dict(lot["comes"])
        outs = {i: [] for i in range(len(own))}
        before = None
        on_hand = lot["pounds"] - sum(came.values())
        for n, day in enumerate(days):
            income = came.get(day, 0) + (on_hand if n == 0 else 0)
            kept = m.var()
            keeps[(at, day)] = kept
            direct = []
            for i, (_, first, last, _) in enumerate(own):
                if first <= day <= last:
                    direct.append(m.var()); outs[i].append((direct[-1], 1.0))
            # What lies there and comes goes out, or is kept, or is lost.
            m.row([(kept, 1.0)] + [(v, 1.0) for v in direct] + ([(before, -1.0)] if before is not None else []), high=float(income))
            before = kept
        for i, (_, _, _, pounds) in enumerate(own):
            m.row([(pounds, -1.0)] + outs[i], low=0.0, high=0.0)
    for room in farm["rooms"]:
        for day in sorted({day for lot, day in keeps if lot in room["lots"]}):
            m.row([(keeps[(lot, day)], 1.0) for lot in room["lots"] if (lot, day) in keeps], high=float(room["pounds"]))
        if farm["rid"] > 0:
            must = m.var(-farm["rid"] / 2000.0)
            for day, pounds in room["must"]:
                outs = [(u[3], 1.0) for u in used if u[0] in room["lots"] and u[1] <= day]
                m.row([(must, 1.0)] + outs, low=float(pounds))
    return m, steps


def main():
    worst, beaten, unproven, wrong, slower, times = 0.0, 0, 0, 0, 0, []
    files = sorted(glob.glob(sys.argv[1] + "/*.json"))
    for path in files:
        farm = json.load(open(path))
        own = farm["own"]
        m, steps = model(farm)
        began = time.process_time()
        ended, worth, bound, values = m.solve(1e-7, MOST)
        took = time.process_time() - began
        # The program's own plan under the peer's rules: its rates held fixed.
        m, steps = model(farm)
        taken = {choice: k for choice, k in own["entries"]}
        for i, k in enumerate(steps):
            m.low[k] = m.high[k] = float(taken.get(i, 0))
        fits, own_worth, _, _ = m.solve(1e-9, MOST)
        # A pound rounded down and a cent a trip: the slack of the two ways of counting.
        slack = 0.02 * len(farm["choices"]) ** 0.5 + 0.5
        trouble = []
        if not fits:
            trouble.append("ITS PLAN BREAKS A RULE")
        elif abs(own_worth - own["worth"]) > slack:
            trouble.append(f"ITS PLAN IS WORTH {own_worth:.2f}")
        if own["bound"] < worth - slack:
            trouble.append("BOUND BELOW THE PEER'S PLAN")
        behind = worth - own["worth"]
        if behind > slack + max(0.0, own["bound"] - own["worth"]):
            trouble.append("WORSE THAN IT SAYS")
        wrong += bool(trouble)
        beaten += behind > slack
        unproven += own["bound"] - own["worth"] > slack
        slower += took < own["seconds"]
        worst = max(worst, behind / max(1.0, worth))
        times.append((own["seconds"], took))
        print(f"{farm['name']:20} own {own['worth']:11.2f} bound {own['bound']:11.2f} {own['seconds']:7.3f} s   "
              f"peer {worth:11.2f} {took:7.3f} s{'' if ended else ' (stopped)'}  {' '.join(trouble)}", flush=True)
    median = lambda of: sorted(of)[len(of) // 2]
    print(f"{len(files)} farms: {wrong} wrong; own plan worth less on {beaten}, by at most {worst:.1e}; gap told on {unproven}; "
          f"median {median([t[0] for t in times]):.3f} s and {median([t[1] for t in times]):.3f} s; peer quicker on {slower}")
    sys.exit(wrong > 0)


main()
