"""The designs of the check: where each run's reference edge goes.

Written from the command line's contract, apart from the engine. Frame: x
right along the wall, y up, z out of the wall; inches. x = 0 at the board's
left end, y = 0 its top edge at the wing, z = 0 its face.
"""

from dataclasses import dataclass, field
from fractions import Fraction
from math import atan, cos, radians, tan

import numpy as np

Z = np.array([0.0, 0.0, 1.0])
X = np.array([1.0, 0.0, 0.0])


@dataclass
class Run:
    """One moulding along its path."""

    name: str
    section: list
    path: list
    normals: list
    spring: float | None = None
    ends: tuple = ("square", "square")
    boards: list = field(default_factory=list)

    def legs(self):
        """(start, end, along, out, up) of each leg."""
        points = [np.array(p, dtype=float) for p in self.path]
        for start, end, out in zip(points, points[1:], self.normals):
            along = (end - start) / np.linalg.norm(end - start)
            out = np.array(out, dtype=float)
            out = out - (out @ along) * along
            out /= np.linalg.norm(out)
            yield start, end, along, out, np.cross(out, along)


def inches(value):
    """A length of the contract in inches; only the forms used here."""
    if isinstance(value, (int, float)):
        return float(value)
    return float(sum(Fraction(part) for part in value.split()))


def angle(pitch):
    """A pitch in radians."""
    if "degrees" in pitch:
        return radians(pitch["degrees"])
    return atan(pitch["rise"] / pitch["run"])


def runs_of(design):
    """The runs of a design of kind flat, gable or runs."""
    if design["kind"] == "runs":
        return [given_run(run) for run in design["runs"]]
    make = {"flat": flat, "gable": gable}[design["kind"]]
    return make(design)


def given_run(run):
    spring = run.get("spring_degrees")
    return Run(
        run["name"],
        run["section"],
        run["path"],
        run["normals"],
        None if spring is None else radians(spring),
        (run["start"], run["end"]),
    )


def cap_section(design):
    cap, board = design["cap"], design["board"]
    back, front, thick = -inches(board["thickness"]), inches(cap["front"]), inches(cap["thickness"])
    return [[back, 0.0], [front, 0.0], [front, thick], [back, thick]]


def crown_section(design):
    crown = design["crown"]
    if "section" in crown:
        return [[inches(u), inches(v)] for u, v in crown["section"]]
    return [[0.0, 0.0], [inches(crown["projection"]), 0.0], [0.0, -inches(crown["height"])]]


def flat(design):
    span, wall = inches(design["span"]), -inches(design["board"]["thickness"])
    over = inches(design["cap"]["overhang"])
    crown_path = [[0, 0, wall], [0, 0, 0], [span, 0, 0], [span, 0, wall]]
    return [
        Run("cap", cap_section(design), [[-over, 0, 0], [span + over, 0, 0]], [Z]),
        Run("crown", crown_section(design), crown_path, [-X, Z, X]),
    ]


def gable(design):
    span, wing = inches(design["span"]), inches(design["wing"])
    pitch = angle(design["pitch"])
    over = inches(design["cap"]["overhang"])
    peak = [span / 2, (span / 2 - wing) * tan(pitch), 0]
    if wing == 0:
        cap_foot, crown_half, normals = [-over, -over * tan(pitch), 0], [[0, 0, 0]], []
        ends = ("plumb", "plumb")
    else:
        cap_foot = [-over, 0, 0]
        crown_half, normals = wrapped_wing(design, wing)
        ends = ("square", "square")
    cap_half = [cap_foot] + ([[wing, 0, 0]] if wing else [])
    return [
        Run("cap", cap_section(design), mirrored(cap_half, peak, span), [Z] * 2 * len(cap_half), ends=ends),
        Run(
            "crown",
            crown_section(design),
            mirrored(crown_half, peak, span),
            normals + [Z, Z] + [n * [-1, 1, 1] for n in reversed(normals)],
            ends=ends,
        ),
    ]


def wrapped_wing(design, wing):
    """The crown's path from the wall to the foot, and its normals."""
    wall = -inches(design["board"]["thickness"])
    path, normals = [[0, 0, wall], [0, 0, 0]], [-X]
    if "drops" in design:
        drop = design["drops"]
        near, out = inches(drop["inset"]), inches(drop["thickness"])
        far = near + inches(drop["width"])
        path += [[near, 0, 0], [near, 0, out], [far, 0, out], [far, 0, 0]]
        normals += [Z, -X, Z, X]
    return path + [[wing, 0, 0]], normals + [Z]


def mirrored(half, peak, span):
    return half + [peak] + [[span - x, y, z] for x, y, z in reversed(half)]
