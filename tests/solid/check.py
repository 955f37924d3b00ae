"""Proves that the pieces of random heads, built as solids from their cut
sheets alone, touch without gap or overlap.

    check.py SOLVER SORT COUNT FIRST_SEED           every sheet must hold
    check.py SOLVER SORT COUNT FIRST_SEED --spoil   every spoilt sheet must fail

SOLVER is the built program; it is asked for `solve --json -`, like any user.
"""

import json
import subprocess
import sys
from copy import deepcopy
from random import Random

from proof import Worst, check_head
from random_heads import design
from spoil import SPOILS
from stick import WrongSheet


def solve(solver, head):
    """The cut sheet of a design, from the program's public form."""
    done = subprocess.run(
        [solver, "solve", "--json", "-"], input=json.dumps(head), capture_output=True, text=True, timeout=60
    )
    if done.returncode != 0:
        raise WrongSheet(f"exit {done.returncode}: {done.stderr.strip()} {done.stdout[:400]}")
    return json.loads(done.stdout)


def check_reach(head, sheet):
    """No cut is past the saw's swing and tilt unless the sheet says so."""
    saw = head.get("saw", {})
    told = {f["piece"] for f in sheet["findings"] if f["code"] == "saw-limit"}
    for piece in (piece for run in sheet["runs"] for piece in run["pieces"]):
        for cut in (piece["left"], piece["right"]):
            asked = (
                (cut["swing_deg"], "swing_right"), (-cut["swing_deg"], "swing_left"),
                (cut["tilt_deg"], "tilt_left"), (-cut["tilt_deg"], "tilt_right"),
            )  # fmt: skip
            past = [limit for angle, limit in asked if angle > saw.get(limit, 90) + 1e-6]
            if past and piece["label"] not in told:
                raise WrongSheet(f"{piece['label']} is past {past}, and nothing is said")


def hold(solver, sort, seeds):
    worst, failures = Worst(), 0
    for seed in seeds:
        head = design(sort, seed)
        try:
            sheet = solve(solver, head)
            check_head(head, sheet, worst)
            check_reach(head, sheet)
        except WrongSheet as fault:
            failures += 1
            print(f"{sort}, seed {seed}: {fault}\n  {json.dumps(head)}")
    print(
        f"{sort}: {len(seeds)} heads, seeds {seeds[0]} to {seeds[-1]}, {worst.pieces} pieces, "
        f"{worst.joints} joints; worst gap {worst.gap:.1e}, overlap {worst.overlap:.1e}, "
        f"union less sum {worst.union:.1e} of scale"
    )
    return failures


def spoil(solver, sort, seeds):
    unseen, counts = 0, dict.fromkeys(SPOILS, 0)
    for seed in seeds:
        head = design(sort, seed)
        sheet = solve(solver, head)
        for name, change in SPOILS.items():
            wrong = deepcopy(sheet)
            if change(wrong, Random(seed)) is None:
                continue
            try:
                check_head(head, wrong, Worst(), words=False)
            except WrongSheet:
                counts[name] += 1
            else:
                unseen += 1
                print(f"{sort}, seed {seed}: not noticed: {name}")
    print(f"{sort}: spoilt sheets refused: " + ", ".join(f"{name} {n}" for name, n in counts.items()))
    return unseen


def main(solver, sort, count, first, mode=None):
    seeds = range(int(first), int(first) + int(count))
    failures = (spoil if mode == "--spoil" else hold)(solver, sort, seeds)
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main(*sys.argv[1:])
