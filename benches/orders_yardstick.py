"""General-purpose exact solvers on the orders of `benches/orders.rs`.

    python3 -m venv target/yardstick
    target/yardstick/bin/pip install highspy ortools
    mkdir -p target/orders
    cargo bench --bench orders -- 8 --json target/orders
    target/yardstick/bin/python benches/orders_yardstick.py target/orders

The model is the plain arc-flow of Valerio de Carvalho (1999) for several stock
lengths, on the grid that all lengths share, solved by HiGHS and by OR-Tools'
CP-SAT, 10 s and one thread each. A development tool, not a dependency.
"""

import json
import math
import pathlib
import statistics
import sys
import time

LIMIT = 10.0


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
    for size in sorted(sizes, reverse=True):
        new = set()
        for start in sorted(reach):
            at = start
            for _ in range(sizes[size]):
                if at + size > longest:
                    break
                out.setdefault((at, at + size), set()).add(size)
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


def main(folder):
    classes = {}
    for path in sorted(pathlib.Path(folder).glob("*.json")):
        classes.setdefault(path.stem.split("-")[0], []).append(path)
    for name, paths in classes.items():
        for solver in (highs, cp_sat):
            times = []
            for path in paths:
                start = time.perf_counter()
                sizes, kinds = grid(json.loads(path.read_text()))
                cols, rows = columns(sizes, kinds)
                if len(cols) > 400_000:
                    times.append(LIMIT)
                    continue
                value = solver(cols, rows)
                spent = time.perf_counter() - start
                times.append(spent if value is not None and spent < LIMIT else LIMIT)
            fast = sum(t < 1 for t in times)
            done = sum(t < LIMIT for t in times)
            print(
                f"{name:5} {solver.__name__:7} {len(times)} orders: {fast} within 1 s, "
                f"{done} within 10 s, median {statistics.median(times) * 1000:.1f} ms",
                flush=True,
            )


if __name__ == "__main__":
    main(sys.argv[1])
