"""Ours beside general-purpose exact solvers, in one run, class by class.

    python3 -m venv target/yardstick
    target/yardstick/bin/pip install highspy ortools
    target/yardstick/bin/python benches/orders_yardstick.py

It runs `cargo bench --bench orders` first (one thread, half of the orders from
a seed drawn at the start and printed), then the same orders through plain
arc-flow of Valerio de Carvalho (1999) for several stock lengths, on the grid
that all lengths share, solved by HiGHS and by OR-Tools' CP-SAT, one thread
each. Printed per class: solved to proof within 1 s and 10 s, median time,
unsolved counted at the limit, and how many times faster ours is.

    --count N     orders a class (8)
    --seed S      repeat a run: the seed it printed
    --budget S    seconds a class and solver may take (240); orders not reached
                  by then are said and left out of that solver's figures
    --classes C   such as trim,U,T (all)

A development tool, not a dependency.
"""

import argparse
import json
import math
import pathlib
import re
import statistics
import subprocess
import tempfile
import time

LIMIT = 10.0
# Arcs of a model at most: beyond it memory runs out before the solver begins.
MOST_ARCS = 400_000


class TooLarge(Exception):
    pass


def grid(order):
    """Sizes with demand and kinds (room, price, limit) in whole units."""
    scale = 16 if order["unit"] == "in" else 1
    unit = lambda v: round(v * scale)
    kerf, trim = unit(order["kerf"]), unit(order["end_trim"])
    demand = {}
    for p in order["pieces"]:
        size = unit(p["length"]) + kerf
        demand[size] = demand.get(size, 0) + p["qty"]
    total = sum(demand.values())
    kinds = [
        (unit(s["length"]) - 2 * trim + kerf, s["price_cents"], total if s["limit"] is None else s["limit"])
        for s in order["stock"]
    ]
    step = math.gcd(*demand)
    sizes = {s // step: d for s, d in demand.items()}
    return sizes, [(room // step, price, limit) for room, price, limit in kinds]


def arcs(sizes, longest):
    """Arcs of the flow graph, sizes taken in falling order."""
    reach = {0}
    out = {}
    made = 0
    for size in sorted(sizes, reverse=True):
        new = set()
        for start in sorted(reach):
            at = start
            for _ in range(sizes[size]):
                if at + size > longest:
                    break
                out.setdefault((at, at + size), set()).add(size)
                made += 1
                if made > MOST_ARCS:
                    raise TooLarge
                at += size
                new.add(at)
        reach |= new
    return out, sorted(reach)


def columns(sizes, kinds):
    """(cost, upper, {row: entry}) and rows (lower, upper)."""
    longest = max(k[0] for k in kinds)
    edges, nodes = arcs(sizes, longest)
    row = {("node", n): i for i, n in enumerate(nodes)}
    for s in sizes:
        row["size", s] = len(row)
    rows = [(0, 0)] * len(nodes) + [(d, d) for d in sizes.values()]
    cols = []
    for (a, b), made in edges.items():
        for size in made:
            cols.append((0, sizes[size], {row["node", a]: -1, row["node", b]: 1, row["size", size]: 1}))
    for room, price, limit in kinds:
        ends = [n for n in nodes if 0 < n <= room]
        if not ends:
            continue
        # One stick of this kind: one unit out of the start, back from any end.
        hub = len(rows)
        rows.append((0, 0))
        cols.append((price, limit, {row["node", 0]: 1, hub: 1}))
        for n in ends:
            cols.append((0, limit, {row["node", n]: -1, hub: -1}))
    return cols, rows


def highs(cols, rows):
    import highspy

    h = highspy.Highs()
    for key, value in (("output_flag", False), ("threads", 1), ("time_limit", LIMIT), ("mip_rel_gap", 0.0)):
        h.setOptionValue(key, value)
    for low, high in rows:
        h.addRow(low, high, 0, [], [])
    for j, (cost, upper, entries) in enumerate(cols):
        h.addCol(cost, 0, upper, len(entries), list(entries), list(entries.values()))
        h.changeColIntegrality(j, highspy.HighsVarType.kInteger)
    h.run()
    if h.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return round(h.getInfo().objective_function_value)


def cp_sat(cols, rows):
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    xs = [model.NewIntVar(0, int(upper), "") for _, upper, _ in cols]
    terms = [[] for _ in rows]
    for x, (_, _, entries) in zip(xs, cols):
        for r, a in entries.items():
            terms[r].append(a * x)
    for (low, _), t in zip(rows, terms):
        model.Add(sum(t) == low)
    model.Minimize(sum(cost * x for x, (cost, _, _) in zip(xs, cols)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = LIMIT
    if solver.Solve(model) != cp_model.OPTIMAL:
        return None
    return round(solver.ObjectiveValue())


def ours(args, folder):
    """Runs our bench, passes its lines on, gives the median of each class."""
    command = ["cargo", "bench", "--bench", "orders", "--", str(args.count)]
    command += [str(args.seed)] if args.seed is not None else []
    command += ["--json", folder]
    if args.classes and "," not in args.classes:
        command += ["--class", args.classes]
    medians = {}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as run:
        for line in run.stdout:
            print("ours  ", line.rstrip(), flush=True)
            found = re.match(r"(\w+) .* median ([0-9.]+) ms", line)
            if found:
                medians[found[1]] = float(found[2]) / 1000.0
    if run.returncode:
        raise SystemExit("our bench failed")
    return medians


def timed(solver, paths, budget):
    """Seconds for each order (the limit for an unsolved one) until the budget
    is spent."""
    times, begun = [], time.perf_counter()
    for path in paths:
        if time.perf_counter() - begun > budget:
            break
        start = time.perf_counter()
        try:
            sizes, kinds = grid(json.loads(path.read_text()))
            value = solver(*columns(sizes, kinds))
        except TooLarge:
            value = None
        spent = time.perf_counter() - start
        times.append(spent if value is not None and spent < LIMIT else LIMIT)
    return times


def report(name, solver, times, paths, median):
    fast = sum(t < 1 for t in times)
    done = sum(t < LIMIT for t in times)
    theirs = statistics.median(times)
    ratio = f", ours {theirs / median:.0f} times as fast" if median else ""
    left = len(paths) - len(times)
    rest = f" ({left} not reached in the budget)" if left else ""
    print(
        f"{name:5} {solver.__name__:7} {len(times)} orders{rest}: {fast} within 1 s, "
        f"{done} within 10 s, median {theirs * 1000:.1f} ms{ratio}",
        flush=True,
    )


def main():
    words = argparse.ArgumentParser(description="Ours beside general-purpose solvers.")
    words.add_argument("--count", type=int, default=8)
    words.add_argument("--seed", type=int)
    words.add_argument("--budget", type=float, default=240.0)
    words.add_argument("--classes", default="")
    args = words.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        medians = ours(args, folder)
        classes = {}
        for path in sorted(pathlib.Path(folder).glob("*.json")):
            classes.setdefault(path.stem.split("-")[0], []).append(path)
        wanted = [c for c in args.classes.split(",") if c] or list(classes)
        for name in wanted:
            paths = classes.get(name, [])
            for solver in (highs, cp_sat):
                times = timed(solver, paths, args.budget)
                if times:
                    report(name, solver, times, paths, medians.get(name))


if __name__ == "__main__":
    main()
