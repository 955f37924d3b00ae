"""The designs of the check: where each run's reference edge goes.

Written from the command line's contract, apart from the engine. Frame: x
right along the wall, y up, z out of the wall; inches. x = 0 at the board's
left end, y = 0 its top edge at the wing, z = 0 its face.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import atan, cos, radians, sin, tan

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
    # Labels of pieces of other runs that its two ends close on.
    meets: tuple = (None, None)

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
    make = {
        "flat": flat,
        "gable": gable,
        "closed-gable": closed_gable,
        "broken-gable": broken_gable,
        "arched": arched,
        "bay": bay,
    }[design["kind"]]
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


def cap_section(design, cap=None):
    cap, board = cap or design["cap"], design["board"]
    back, front, thick = -inches(board["thickness"]), inches(cap["front"]), inches(cap["thickness"])
    return [[back, 0.0], [front, 0.0], [front, thick], [back, thick]]


def crown_section(design, crown=None):
    crown = crown or design["crown"]
    if "section" in crown:
        return [[inches(u), inches(v)] for u, v in crown["section"]]
    return [[0.0, 0.0], [inches(crown["projection"]), 0.0], [0.0, -inches(crown["height"])]]


def flat(design):
    span, wall = inches(design["span"]), -inches(design["board"]["thickness"])
    over = inches(design["cap"]["overhang"])
    cap = Run("cap", cap_section(design), [[-over, 0, 0], [span + over, 0, 0]], [Z])
    mouldings = []
    for name in ("crown", "bed", "neck"):
        if name in design:
            y = -inches(design[name].get("below", 0))
            path, normals = [[0, y, wall], [0, y, 0]], [-X]
            if "key" in design:
                mid, half, out = span / 2, inches(design["key"]["width_top"]) / 2, inches(design["key"]["thickness"])
                path += [[mid - half, y, 0], [mid - half, y, out], [mid + half, y, out], [mid + half, y, 0]]
                normals += [Z, -X, Z, X]
            path += [[span, y, 0], [span, y, wall]]
            mouldings.append(Run(name, crown_section(design, design[name]), path, normals + [Z, X]))
    return [cap, *mouldings]


def closed_gable(design):
    """The level cornice below and the rakes that stand on it."""
    span, pitch = inches(design["span"]), angle(design["pitch"])
    wall = -inches(design["board"]["thickness"])
    level_cap, level_crown = design["level"]["cap"], design["level"]["crown"]
    c, over_level = inches(level_cap["thickness"]), inches(level_cap["overhang"])
    thick, over = inches(design["cap"]["thickness"]), inches(design["cap"]["overhang"])
    x = max(0.0, thick / sin(pitch) - over_level)
    foot, peak = np.array([x, c, 0.0]), [span / 2, c + (span / 2 - x) * tan(pitch), 0]
    along = np.array([cos(pitch), sin(pitch), 0.0])
    crown = crown_section(design)
    level = [
        Run("level-cap", cap_section(design, level_cap), [[-over_level, 0, 0], [span + over_level, 0, 0]], [Z]),
        Run(
            "level-crown",
            crown_section(design, level_crown),
            [[0, 0, wall], [0, 0, 0], [span, 0, 0], [span, 0, wall]],
            [-X, Z, X],
        ),
    ]
    if design["foot"] == "level-cut":
        ends = ("level", "level")
        path = mirrored([list(foot)], peak, span)
        return level + [Run("cap", cap_section(design), path, [Z, Z], ends=ends), Run("crown", crown, path, [Z, Z], ends=ends)]
    lift = max((u * sin(pitch) - v * cos(pitch)) / sin(pitch) for u, v in crown)
    corner = foot + lift * along
    start = corner - min(over, lift) * along
    returned = [[corner[0], corner[1], wall], list(corner)]
    normals = [-along, Z, Z, -along * [-1, 1, 1]]
    return level + [
        Run("cap", cap_section(design), mirrored([list(start)], peak, span), [Z, Z]),
        Run("crown", crown, mirrored(returned, peak, span), normals),
    ]


def broken_gable(design):
    """Rakes that stop short of the middle; wings at the bottom."""
    span, wing, gap = (inches(design[key]) for key in ("span", "wing", "gap"))
    pitch, wall = angle(design["pitch"]), -inches(design["board"]["thickness"])
    over = inches(design["cap"]["overhang"])
    x = span / 2 - gap / 2
    top, along = np.array([x, (x - wing) * tan(pitch), 0.0]), np.array([cos(pitch), sin(pitch), 0.0])
    crown, normals = [[0, 0, wall], [0, 0, 0], [wing, 0, 0], list(top)], [-X, Z, Z]
    upper = "plumb"
    cap_top = top
    if design["upper_end"] == "return":
        upper, cap_top = "square", top + over * along
        crown, normals = crown + [[top[0], top[1], wall]], normals + [along]
    cap = [[-over, 0, 0], [wing, 0, 0], list(cap_top)]
    ends = ("square", upper)
    runs = []
    for side in ("left", "right"):
        for name, section, path, faces in (
            ("cap", cap_section(design), cap, [Z, Z]),
            ("crown", crown_section(design), crown, normals),
        ):
            if side == "right":
                path = [[span - px, py, pz] for px, py, pz in reversed(path)]
                faces = [n * [-1, 1, 1] for n in reversed(faces)]
            here = ends if side == "left" else ends[::-1]
            runs.append(Run(f"{side}-{name}", section, path, faces, ends=here))
    return runs


def arched(design):
    """Chords of a circle, their free ends on its radii."""
    span, rise, count = inches(design["span"]), inches(design["rise"]), design["segments"]
    radius, half = (span * span / 4 + rise * rise) / (2 * rise), 2 * atan(2 * rise / span)
    turns = [-half + 2 * k * half / count for k in range(count + 1)]
    path = [[span / 2 + radius * sin(a), rise - radius + radius * cos(a), 0] for a in turns]
    ends = tuple(np.array([cos(a), -sin(a), 0.0]) for a in (-half, half))
    sections = (("cap", cap_section(design)), ("crown", crown_section(design)))
    return [Run(name, section, path, [Z] * count, ends=ends) for name, section in sections]


def bay_faces(design):
    """(start, end, along, out) of each face; the longest looks straight out."""
    lengths = [inches(face) for face in design["faces"]]
    bearings = [0.0]
    for corner in design["corners"]:
        turn = radians(180 - corner["degrees"])
        bearings.append(bearings[-1] + (turn if corner["way"] == "inside" else -turn))
    front = lengths.index(max(lengths))
    at, faces = np.zeros(3), []
    for length, bearing in zip(lengths, bearings):
        b = bearing - bearings[front]
        along, out = np.array([cos(b), 0.0, sin(b)]), np.array([-sin(b), 0.0, cos(b)])
        faces.append([at, at + length * along, along, out])
        at = at + length * along
    back = np.array([0.0, 0.0, faces[front][0][2]])
    return [[start - back, end - back, along, out] for start, end, along, out in faces]


def bay(design):
    faces = bay_faces(design)
    thick = inches(design["board"]["thickness"])
    start, along_first, out_first = faces[0][0], faces[0][2], faces[0][3]
    end, along_last, out_last = faces[-1][1], faces[-1][2], faces[-1][3]
    corners, outs = [f[0] for f in faces] + [end], [f[3] for f in faces]
    if design["ends"] == "wall":
        ends, over = (Z, Z), 0.0
        crown, normals = corners, outs
    else:
        ends, over = ("square", "square"), inches(design["cap"]["overhang"])
        crown = [start - thick * out_first, *corners, end - thick * out_last]
        normals = [-along_first, *outs, along_last]
    cap = [start - over * along_first, *corners[1:-1], end + over * along_last]
    return [
        Run("cap", cap_section(design), cap, outs, ends=ends),
        Run("crown", crown_section(design), crown, normals, ends=ends),
    ]


def gable(design):
    span, wing = inches(design["span"]), inches(design["wing"])
    pitch = angle(design["pitch"])
    over = inches(design["cap"]["overhang"])
    peak = [span / 2, (span / 2 - wing) * tan(pitch), 0]
    if wing == 0 and "lower_end" in design:
        return peak_with_returns(design, span, pitch, peak, over)
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


def peak_with_returns(design, span, pitch, peak, over):
    """A plain peak with level returns of a raked section, or with returns
    square to the rakes."""
    wall, crown = -inches(design["board"]["thickness"]), crown_section(design)
    along = np.array([cos(pitch), sin(pitch), 0.0])
    if design["lower_end"] == "return":
        # Past the board's end until nothing of the return reaches into it.
        past = max(0.0, *((-v * sin(pitch) - u * cos(pitch)) / cos(pitch) for u, v in crown))
        foot, cap_foot = -past * along, -(past + over) * along
        half = [[foot[0], foot[1], wall], list(foot)]
        normals = [-along, Z, Z, -along * [-1, 1, 1]]
        return [
            Run("cap", cap_section(design), mirrored([list(cap_foot)], peak, span), [Z, Z]),
            Run("crown", crown, mirrored(half, peak, span), normals),
        ]
    cap_foot = [-over, -over * tan(pitch), 0]
    # Round a square corner: v = w/cos t - u tan t.
    level = [[u, v / cos(pitch) - u * tan(pitch)] for u, v in crown]
    corner = (np.array([1.0, 0.0, 1.0]), np.array([1.0, 0.0, -1.0]))
    return [
        Run("cap", cap_section(design), mirrored([cap_foot], peak, span), [Z, Z], ends=("plumb", "plumb")),
        Run("left-return", level, [[0, 0, wall], [0, 0, 0]], [-X], ends=("square", corner[0]), meets=(None, "crown-1")),
        Run(
            "crown",
            crown,
            mirrored([[0, 0, 0]], peak, span),
            [Z, Z],
            ends=corner,
            meets=("left-return-1", "right-return-1"),
        ),
        Run("right-return", level, [[span, 0, 0], [span, 0, wall]], [X], ends=(corner[1], "square"), meets=("crown-2", None)),
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
