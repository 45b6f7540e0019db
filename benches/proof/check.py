"""Checks the proof of a plan, as DEVELOPERS.md ("A proof that others can check") says, with no
line of the program:

    sward plan FOLDER --json > plan.json
    sward audit plan.json FOLDER --ways > ways.txt
    python3 benches/proof/check.py plan.json ways.txt
"""

import json
import sys


def read_ways(path):
    """Stocks, and of each group its ways: worth, and uses as (resource, pounds)."""
    stock, groups = [], []
    for line in open(path):
        kind, *rest = line.split()
        if kind == "stock":
            stock = [int(n) for n in rest]
        elif kind == "group":
            groups.append([])
        else:
            uses = [tuple(map(int, use.split(":"))) for use in rest[1:]]
            groups[-1].append((int(rest[0]), uses))
    return stock, groups


def sum_of(stock, groups):
    numbers = [len(stock), *stock]
    for group in groups:
        numbers.append(len(group))
        for worth, uses in group:
            numbers += [worth, len(uses)]
            numbers += [n for use in uses for n in use]
    total = 0xCBF29CE484222325
    for number in numbers:
        total = ((total ^ (number % 2**64)) * 0x100000001B3) % 2**64
    return f"{total:016x}"


class Checker:
    def __init__(self, certificate, stock, groups):
        self.rows = certificate["rows"]
        self.stock = [sum(stock[r] for r in row) for row in self.rows]
        self.alike = certificate.get("alike", [])
        self.beside = certificate.get("beside", [])
        self.bits, self.bound = certificate["bits"], certificate["bound"]
        self.steps = iter(certificate["steps"])
        self.looked_at = self.parts = 0
        self.whole = [self.in_rows(group, stock) for group in groups]

    def in_rows(self, group, stock):
        ways, known = [(0, [0] * len(self.rows))], {}
        for worth, uses in group:
            own = [0] * len(stock)
            for resource, pounds in uses:
                own[resource] += pounds
            if worth <= 0 or any(used > there for used, there in zip(own, stock)):
                continue
            row_uses = [sum(own[r] for r in row) for row in self.rows]
            of_alike = [own[r] for r in self.alike if own[r] > 0]
            if len(of_alike) == 1:
                key = (worth, tuple(own[r] for r in self.beside), of_alike[0])
                if key in known:
                    one = ways[known[key]][1]
                    one[:] = map(min, one, row_uses)
                    continue
                known[key] = len(ways)
            ways.append((worth, row_uses))
        return ways

    def net(self, way, price):
        return (way[0] << self.bits) - sum(u * p for u, p in zip(way[1], price))

    def budget(self, part, price):
        most = sum(s * p for s, p in zip(self.stock, price))
        most += sum(max(self.net(way, price) for way in group) for group in part)
        return most - ((self.bound + 1) << self.bits)

    def fitting(self, part):
        """What of a part fits beside the least of the other groups; none where nothing does."""
        if part is None or not all(part):
            return None
        least = [[min(uses) for uses in zip(*(way[1] for way in group))] for group in part]
        room = [there - sum(own[r] for own in least) for r, there in enumerate(self.stock)]
        if any(left < 0 for left in room):
            return None
        fits = lambda way, own: all(u - l <= r for u, l, r in zip(way[1], own, room))
        part = [[way for way in group if fits(way, own)] for group, own in zip(part, least)]
        return part if all(part) else None

    def cheap(self, group, price, budget):
        best = max(self.net(way, price) for way in group)
        return [way for way in group if best - self.net(way, price) <= budget]

    def walk(self, part, price, whole):
        """Goes through the steps of one part; none stands for a part that is closed."""
        self.parts += 1
        part, fresh = self.fitting(part), True
        for step in self.steps:
            kind, *numbers = step.split()
            numbers = [int(n) for n in numbers]
            if kind == "prices":
                assert len(numbers) == len(self.rows) and min(numbers, default=0) >= 0, step
                if part is not None:
                    price, budget = numbers, self.budget(part, numbers)
                    if budget < 0:
                        part = None
                    else:
                        part = [self.cheap(group, price, budget) for group in part]
                        part = self.fitting([best_of(group) for group in part] if whole and fresh else part)
                fresh = False
            elif kind == "split":
                group, row, limit = numbers
                for high in (False, True):
                    side = part and [*part]
                    if side:
                        side[group] = [way for way in part[group] if (way[1][row] > limit) == high]
                    self.walk(side, price, False)
                return
            else:
                assert kind == "end", step
                if part is not None:
                    self.look(part, price)
                return
        raise AssertionError("the steps end before all parts are closed")

    def look(self, part, price):
        """No choice of one way a group may keep the rows and lose no more than the budget."""
        budget = self.budget(part, price)
        if budget < 0:
            return
        groups = []
        for group in part:
            best = max(self.net(way, price) for way in group)
            groups.append(sorted(((best - self.net(way, price), way[1]) for way in group), key=lambda way: way[0]))
        groups.sort(key=lambda group: -sum((max(u) - min(u)) * p for u, p in zip(zip(*(w[1] for w in group)), price)))
        zero = [0] * len(self.rows)
        least, most = [zero], [zero]
        for group in reversed(groups):
            uses = list(zip(*(way[1] for way in group)))
            least.insert(0, [a + min(u) for a, u in zip(least[0], uses)])
            most.insert(0, [a + max(u) for a, u in zip(most[0], uses)])

        def deep(at, lost, left):
            if any(have < need for have, need in zip(left, least[at])):
                return
            idle = sum(max(0, have - can) * p for have, can, p in zip(left, most[at], price))
            if lost + idle > budget:
                return
            assert at < len(groups), "a plan may be worth more than the bound"
            for loss, uses in groups[at]:
                if lost + loss > budget:
                    break
                self.looked_at += 1
                deep(at + 1, lost + loss, [have - used for have, used in zip(left, uses)])

        deep(0, 0, self.stock)


def best_of(group):
    """Without what is worth no more than another and uses no less of any row."""
    kept = []
    for way in sorted(group, key=lambda way: (-way[0], sum(way[1]))):
        if not any(all(a <= b for a, b in zip(other[1], way[1])) for other in kept):
            kept.append(way)
    return kept


def main(plan, ways):
    sys.setrecursionlimit(20_000)
    proof = json.load(open(plan))["choice"]["proof"]
    if "shown" not in proof:
        sys.exit(f"no proof: {proof.get('not_shown')}")
    certificate = proof["shown"]["certificate"]
    stock, groups = read_ways(ways)
    own = {"resources": len(stock), "groups": len(groups), "ways": sum(map(len, groups)), "sum": sum_of(stock, groups)}
    assert certificate["of"] == own, "the proof is of other ways"
    checker = Checker(certificate, stock, groups)
    checker.walk(checker.whole, None, True)
    assert next(checker.steps, None) is None, "steps are left over"
    most = certificate["bound"] / 100_000 + proof["shown"]["adds"]
    print(f"holds: {checker.parts} parts, {checker.looked_at} ways looked at; {most:.2f}, printed {proof['bound']:.2f}")


main(*sys.argv[1:])
