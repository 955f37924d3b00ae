"""Random designs that can be built, one a seed, in the contract's form.

Lengths of the kinds are sixteenths, so that their rounding is exact; paths of
runs are not.
"""

from math import cos, hypot, pi, radians, sin, sqrt, tan
from random import Random


def sixteenths(rng, low, high):
    return rng.randint(round(low * 16), round(high * 16)) / 16


def worded(length):
    """A length as the trade writes it, or as a number."""
    whole, part = divmod(round(length * 16), 16)
    if part % 2 == 0 and part:
        return f"{whole} {part // 2}/8" if whole else f"{part // 2}/8"
    return f"{whole} {part}/16" if part and whole else length


def curved_face(rng, top, bottom, sag):
    """A cyma from one corner of a section to another, hollow and round."""
    (u0, v0), (u1, v1) = top, bottom
    across = hypot(u1 - u0, v1 - v0)
    count = rng.randint(2, 7)
    points = [top]
    for k in range(1, count + 1):
        t = k / (count + 1)
        bulge = sag * sin(2 * pi * t) / across
        points.append((u0 + (u1 - u0) * t - (v1 - v0) * bulge, v0 + (v1 - v0) * t + (u1 - u0) * bulge))
    return points + [bottom]


def solid_section(rng, out, high):
    """A crown with its back on the wall; its face is not convex."""
    fillet = rng.uniform(0.08, 0.2) * high
    foot = rng.uniform(0.1, 0.3) * out
    sag = rng.uniform(-0.08, 0.08) * min(out, high)
    face = curved_face(rng, (out, -fillet), (foot, -high), sag)
    return [[0.0, 0.0], [out, 0.0], *map(list, face), [0.0, -high]]


def sprung_section(rng):
    """A sprung crown: a flat back at its spring angle, flats on cap and wall."""
    spring = rng.choice([30.0, 38.0, 45.0, 52.0, rng.uniform(25.0, 60.0)])
    climb = rng.uniform(1.5, 4.0)
    back_u, back_v = climb * sin(radians(spring)), climb * cos(radians(spring))
    out, high = back_u + rng.uniform(0.3, 0.8), back_v + rng.uniform(0.3, 0.8)
    corner, foot = (out, -rng.uniform(0.05, 0.2)), (rng.uniform(0.05, 0.2), -high)
    face = curved_face(rng, corner, foot, rng.uniform(-0.06, 0.06))
    section = [[0.0, -back_v], [back_u, 0.0], [out, 0.0], *map(list, face), [0.0, -high]]
    if rng.random() < 0.5:
        section.reverse()
    return section, spring


def gable(rng, wing, drops):
    """A gable whose rakes are long enough for their cuts."""
    out, high = sixteenths(rng, 0.75, 2.5), sixteenths(rng, 1, 4)
    pitch = {"rise": rng.randint(3, 14), "run": 12} if rng.random() < 0.6 else {"degrees": rng.uniform(8, 60)}
    slope = pitch["rise"] / 12 if "rise" in pitch else tan(radians(pitch["degrees"]))
    design = {
        "unit": "in",
        "name": "random gable",
        "kind": "gable",
        "board": {"thickness": worded(sixteenths(rng, 0.5, 1.5)), "height": worded(sixteenths(rng, 3.5, 11))},
        "cap": {
            "thickness": worded(sixteenths(rng, 0.5, 1.5)),
            "front": worded(out + sixteenths(rng, 0.25, 1)),
            "overhang": worded(out + sixteenths(rng, 0.25, 1)),
        },
        "crown": {"projection": worded(out), "height": worded(high), "back": "solid"},
        "pitch": pitch,
    }
    if rng.random() < 0.6:
        design["crown"]["section"] = solid_section(rng, out, high)
    width = 0.0
    if drops:
        inset, width, thick = sixteenths(rng, 0.5, 2), sixteenths(rng, 2, 5), sixteenths(rng, 0.5, 1.5)
        # The transition piece must outlast the crown's projection.
        wing = inset + width + out + sixteenths(rng, 0.5, 4)
        design["drops"] = {
            "width": worded(width), "thickness": worded(thick), "inset": worded(inset),
            "length": worded(width / 2 + sixteenths(rng, 2, 6)), "point_degrees": 45,
        }  # fmt: skip
    # Half the span less the wing, so that the peak's cuts leave some rake.
    half_run = high * slope / sqrt(1 + slope**2) + sixteenths(rng, 3, 30)
    design["wing"] = worded(wing)
    design["span"] = worded(2 * (wing + round(half_run * 16) / 16))
    return design


def gable_with_drops(rng):
    return gable(rng, 0.0, drops=True)


def plain_gable(rng):
    return gable(rng, 0.0 if rng.random() < 0.3 else sixteenths(rng, 3, 12), drops=False)


def plan_path(rng, bearings, deepest):
    """A level path of the given bearings (degrees from the wall's line, out of
    the wall positive), its legs long enough for a section `deepest` deep."""
    x, y, z = rng.uniform(-5, 5), rng.uniform(-5, 5), rng.uniform(-5, 5)
    path, normals = [[x, y, z]], []
    for bearing in map(radians, bearings):
        length = 4 * deepest + rng.uniform(1, 30)
        x, z = x + length * cos(bearing), z + length * sin(bearing)
        path.append([x, y, z])
        normals.append([-sin(bearing), 0.0, cos(bearing)])
    return path, normals


def runs(*parts):
    return {"unit": "in", "name": "random runs", "kind": "runs", "runs": list(parts)}


def sprung_round_corners(rng):
    section, spring = sprung_section(rng)
    deepest = max(u for u, _ in section)
    bearings = [0.0]
    while len(bearings) < rng.randint(2, 6):
        # Never back across the path, and never straight on.
        bearing = rng.choice([-90.0, -60.0, -45.0, -30.0, 30.0, 45.0, rng.uniform(-80, 80)])
        if 8 < abs(bearing - bearings[-1]) < 125:
            bearings.append(bearing)
    path, normals = plan_path(rng, bearings, deepest)
    holds = rng.choice([["sprung-flat"], ["sprung-flat-turned"], ["sprung-flat", "sprung-flat-turned"]])
    crown = {
        "name": "crown", "section": section, "holds": holds, "spring_degrees": spring,
        "path": path, "normals": normals, "start": "square", "end": "square",
    }  # fmt: skip
    return runs(crown)


def bay(rng):
    """A bay: out from the wall, round its faces, back to the wall; with cap
    and crown, between two stretches of wall or none."""
    angles = sorted((rng.choice([15.0, 30.0, 45.0, 60.0, 90.0, rng.uniform(10, 85)]) for _ in range(rng.randint(1, 2))), reverse=True)
    if len(angles) == 2 and angles[0] - angles[1] < 5:
        angles.pop()
    wall = [0.0] if rng.random() < 0.6 else []
    bearings = wall + angles + [0.0] + [-a for a in reversed(angles)] + wall
    out, high, thick = rng.uniform(0.75, 3), rng.uniform(1, 4), rng.uniform(0.5, 1.5)
    back, front = -rng.uniform(0.5, 1.5), out + rng.uniform(0.25, 1)
    path, normals = plan_path(rng, bearings, front - back)
    shared = {"path": path, "normals": normals, "start": "square", "end": "square"}
    cap = {"name": "cap", "section": [[back, 0.0], [front, 0.0], [front, thick], [back, thick]], **shared}
    section = solid_section(rng, out, high) if rng.random() < 0.7 else [[0.0, 0.0], [out, 0.0], [0.0, -high]]
    return runs(cap, {"name": "crown", "section": section, "holds": ["inverted", "flat"], **shared})


def a_saw(rng):
    """A saw of random reach; what is left out does not limit."""
    saw = {
        "swing_left": rng.choice([30, 45, 50, 60]), "swing_right": rng.choice([30, 45, 50, 60]),
        "tilt_left": rng.choice([0, 45, 48]), "tilt_right": rng.choice([0, 0, 45]),
    }  # fmt: skip
    if rng.random() < 0.4:
        saw["max_height"] = worded(sixteenths(rng, 1, 6))
    if rng.random() < 0.4:
        saw["max_depth"] = worded(sixteenths(rng, 2, 14))
    if rng.random() < 0.5:
        saw["sprung"] = rng.choice(["flat", "nested"])
    return saw


def on_a_saw(rng):
    """Any of the others, to be cut on one saw."""
    made = rng.choice([gable_with_drops, plain_gable, sprung_round_corners, bay])(rng)
    return {**made, "saw": a_saw(rng)}


def rakes_on_a_cornice(rng):
    """Raking cap and crown whose feet sit on a level cornice: cuts far from
    square, on a saw that does not swing so far."""
    slope, length = radians(rng.uniform(18, 38)), rng.uniform(30, 70)
    run, rise = length * cos(slope), length * sin(slope)
    path = [[0.0, 0.0, 0.0], [run, rise, 0.0], [2 * run, 0.0, 0.0]]
    shared = {"path": path, "normals": [[0, 0, 1], [0, 0, 1]], "start": "level", "end": "level"}
    out, high = rng.uniform(0.75, 3), rng.uniform(1, 4)
    thick, back, front = rng.uniform(0.5, 1.5), -rng.uniform(0.5, 1.5), out + rng.uniform(0.25, 1)
    cap = {"name": "cap", "section": [[back, 0.0], [front, 0.0], [front, thick], [back, thick]], **shared}
    crown = {"name": "crown", "section": solid_section(rng, out, high), "holds": ["inverted", "flat"], **shared}
    saw = {"swing_left": 48, "swing_right": rng.choice([48, 51]), "tilt_left": 45, "tilt_right": rng.choice([0, 45])}
    return {**runs(cap, crown), "saw": saw}


def small(rng, out, high):
    """A crown's size, sometimes with a drawn section."""
    crown = {"projection": worded(out), "height": worded(high), "back": "solid"}
    if rng.random() < 0.5:
        crown["section"] = solid_section(rng, out, high)
    return crown


def cap_over(rng, out):
    return {
        "thickness": worded(sixteenths(rng, 0.5, 1.5)),
        "front": worded(out + sixteenths(rng, 0.25, 1)),
        "overhang": worded(out + sixteenths(rng, 0.25, 1)),
    }


def any_pitch(rng, low=10, high=50):
    if rng.random() < 0.5:
        return {"rise": rng.randint(4, 12), "run": 12}
    return {"degrees": rng.uniform(low, high)}


def entablature(rng):
    """A level head with crown, bed and neck, broken round a key."""
    out, high = sixteenths(rng, 0.75, 2.5), sixteenths(rng, 1, 3)
    thick = sixteenths(rng, 0.5, 1.5)
    height = high + sixteenths(rng, 5, 9)
    key_wide, key_out = sixteenths(rng, 3, 7), sixteenths(rng, 0.5, 1.5)
    span = key_wide + 2 * sixteenths(rng, 9, 30)
    cap = cap_over(rng, out)
    cap["front"] = worded(out + key_out + 0.5)
    bed_high, neck_high = sixteenths(rng, 0.5, 1.25), sixteenths(rng, 0.5, 1.25)
    return {
        "unit": "in", "name": "random entablature", "kind": "flat", "span": worded(span),
        "board": {"thickness": worded(thick), "height": worded(height)},
        "cap": cap, "crown": small(rng, out, high),
        "bed": {"below": worded(high), **small(rng, sixteenths(rng, 0.25, 1), bed_high)},
        "neck": {"below": worded(height - neck_high), **small(rng, sixteenths(rng, 0.25, 1), neck_high)},
        "key": {
            "width_top": worded(key_wide), "width_bottom": worded(key_wide),
            "height": worded(height), "thickness": worded(key_out),
        },
    }  # fmt: skip


def closed(rng):
    out, high = sixteenths(rng, 0.75, 2), sixteenths(rng, 1, 3)
    level_out = sixteenths(rng, 0.75, 2)
    return {
        "unit": "in", "name": "random pediment", "kind": "closed-gable", "pitch": any_pitch(rng, 15),
        "span": worded(sixteenths(rng, 70, 120)), "foot": rng.choice(["level-cut", "return"]),
        "board": {"thickness": worded(sixteenths(rng, 0.5, 1.5)), "height": worded(sixteenths(rng, 3.5, 11))},
        "level": {"cap": cap_over(rng, level_out), "crown": small(rng, level_out, sixteenths(rng, 1, 3))},
        "cap": cap_over(rng, out), "crown": small(rng, out, high),
    }  # fmt: skip


def broken(rng):
    out, high = sixteenths(rng, 0.75, 2), sixteenths(rng, 1, 3)
    return {
        "unit": "in", "name": "random broken gable", "kind": "broken-gable", "pitch": any_pitch(rng),
        "span": worded(sixteenths(rng, 80, 120)), "wing": worded(sixteenths(rng, 5, 9)),
        "gap": worded(sixteenths(rng, 14, 20)), "upper_end": rng.choice(["plumb", "return", "return"]),
        "board": {"thickness": worded(sixteenths(rng, 0.5, 1.5)), "height": worded(sixteenths(rng, 3.5, 11))},
        "cap": cap_over(rng, out), "crown": small(rng, out, high),
    }  # fmt: skip


def arch(rng):
    out, high = sixteenths(rng, 0.75, 2), sixteenths(rng, 1, 3)
    span = sixteenths(rng, 60, 110)
    return {
        "unit": "in", "name": "random arch", "kind": "arched", "span": worded(span),
        "rise": worded(sixteenths(rng, span / 10, span / 2.2)), "segments": rng.randint(3, 9),
        "board": {"thickness": worded(sixteenths(rng, 0.5, 1.5)), "height": worded(sixteenths(rng, 3.5, 11))},
        "cap": cap_over(rng, out), "crown": small(rng, out, high),
    }  # fmt: skip


def bay_head(rng):
    """The kind: one board for each face, bevelled."""
    out, high = sixteenths(rng, 0.75, 2), sixteenths(rng, 1, 3)
    faces = rng.randint(2, 5)
    ways = ["outside"] * 3 + ["inside"]
    corners = [{"degrees": rng.choice([135, 150, 120, rng.uniform(115, 170)]), "way": rng.choice(ways)} for _ in range(faces - 1)]
    return {
        "unit": "in", "name": "random bay", "kind": "bay", "ends": "return",
        "faces": [worded(sixteenths(rng, 18, 40)) for _ in range(faces)], "corners": corners,
        "board": {"thickness": worded(sixteenths(rng, 0.5, 1.5)), "height": worded(sixteenths(rng, 3.5, 11))},
        "cap": cap_over(rng, out), "crown": small(rng, out, high),
    }  # fmt: skip


def raked_return(rng):
    """A plain peak with level returns of a raked section, or square ones."""
    out, high = sixteenths(rng, 0.75, 2), sixteenths(rng, 1, 3)
    return {
        "unit": "in", "name": "random peak", "kind": "gable", "wing": 0, "pitch": any_pitch(rng),
        "span": worded(sixteenths(rng, 40, 90)), "lower_end": rng.choice(["raked-return", "return"]),
        "board": {"thickness": worded(sixteenths(rng, 0.5, 1.5)), "height": worded(sixteenths(rng, 3.5, 11))},
        "cap": cap_over(rng, out), "crown": small(rng, out, high),
    }  # fmt: skip


SORTS = {
    "entablatures": entablature,
    "closed gables": closed,
    "broken gables": broken,
    "arched heads": arch,
    "bay heads": bay_head,
    "raked returns": raked_return,
    "gables with drops": gable_with_drops,
    "plain gables": plain_gable,
    "sprung crown round plan corners": sprung_round_corners,
    "bays": bay,
    "heads on a saw of random reach": on_a_saw,
    "rakes that sit on a cornice": rakes_on_a_cornice,
}


def design(sort, seed):
    return SORTS[sort](Random(f"{sort} {seed}"))
