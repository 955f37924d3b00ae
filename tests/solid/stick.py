"""A stick of moulding laid on the saw as a cut sheet words it, and cut.

Nothing in here comes from the engine: the holds are read as words, the blade
is turned and leaned as the sheet says, and the wood is cut by a general solid
kernel.

Stick coordinates (s, v, u) are right-handed. They are those of a level piece
as it hangs on the wall, seen from the front: s to the right along the stick,
v up, u out of the wall. Inches.
"""

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from manifold3d import Manifold, Mesh64, triangulate

UP = np.array([0.0, 1.0, 0.0])
OUT = np.array([0.0, 0.0, 1.0])


class WrongSheet(Exception):
    """The sheet says something that no sawyer could follow."""


def faces(hold, spring):
    """Which way the face on the bed and the face at the fence look, for the
    words of a hold. `spring`: the angle between a sprung crown's flat back
    and the wall, radians."""
    if hold == "on-edge":  # seat against the fence, front edge down
        return OUT, -UP
    if hold == "upright":  # lying on the seat, back edge to the fence
        return -UP, -OUT
    if hold == "flat":  # back on the bed, upper edge to the fence
        return -OUT, UP
    if hold == "flat-turned":  # back on the bed, lower edge to the fence
        return -OUT, -UP
    if hold == "inverted":  # upside down: top on the bed, wall side to the fence
        return UP, -OUT
    if hold == "sprung-nested":  # upside down in its spring angle: cap edge on the bed, wall edge to the fence
        if spring is None:
            raise WrongSheet(f"{hold} without a spring angle")
        return UP, -OUT
    if hold in ("sprung-flat", "sprung-flat-turned"):
        if spring is None:
            raise WrongSheet(f"{hold} without a spring angle")
        # The flat back climbs from the wall to the cap, leaning out by the
        # spring angle; it looks in at the wall and up.
        climb = cos(spring) * UP + sin(spring) * OUT
        back = sin(spring) * UP - cos(spring) * OUT
        # Laid on its back: the edge that meets the cap to the fence, or, when
        # turned end for end, the lower edge.
        return back, climb if hold == "sprung-flat" else -climb
    raise WrongSheet(f"no such hold: {hold}")


def blade(cut, spring):
    """Normal of the blade's plane in stick coordinates, its s part positive.

    At the saw: `right` along the fence, `away` from the operator towards the
    fence, `high` up from the bed.
    """
    bed, fence = faces(cut["hold"], spring)
    high = -bed
    if "block" not in cut:
        right = np.cross(fence, high)
    elif cut["block"] == "right":  # what is said of the fence is true of the block
        right = fence
    elif cut["block"] == "left":
        right = -fence
    else:
        raise WrongSheet(f"a block at the {cut['block']}")
    away = np.cross(high, right)
    swing, tilt = radians(cut["swing_deg"]), radians(cut["tilt_deg"])
    # The blade is a disc; a square cut faces right. When the handle, on the
    # operator's side, goes right, the face turns away from the operator.
    turned = cos(swing) * right + sin(swing) * away
    # When the blade's top leans left, the face that looks right looks up.
    normal = cos(tilt) * turned + sin(tilt) * high
    if abs(normal[0]) < 1e-9:
        raise WrongSheet("a cut along the stick")
    return normal if normal[0] > 0 else -normal


@dataclass
class Plane:
    """A saw cut in stick coordinates: through `mark`, facing `normal`."""

    mark: np.ndarray
    normal: np.ndarray

    def reach(self, u, v):
        """Where the cut crosses the line (u, v) along the stick."""
        _, mark_v, mark_u = self.mark
        _, normal_v, normal_u = self.normal
        across = normal_v * (v - mark_v) + normal_u * (u - mark_u)
        return self.mark[0] - across / self.normal[0]


@dataclass
class CutStick:
    """One piece as the sheet has it cut, in stick coordinates."""

    section: list  # corners (u, v), anticlockwise seen from the stick's right end
    left: Plane
    right: Plane

    def face(self, plane):
        """The corners of an end, in the order of the section."""
        return np.array([[plane.reach(u, v), v, u] for u, v in self.section])

    def solid(self):
        """The wood between the two cuts."""
        ends = np.concatenate([self.face(self.left), self.face(self.right)])
        blank = prism(self.section, ends[:, 0].min() - 1.0, ends[:, 0].max() + 1.0)
        for plane, side in ((self.left, 1.0), (self.right, -1.0)):
            facing = side * plane.normal
            blank = blank.trim_by_plane(facing.tolist(), float(facing @ plane.mark))
        return blank


def cut_stick(section, spring, piece):
    """Cuts a piece: the tape hooks on the left mark, the right mark is the
    taped length further along the same arris."""
    if piece["left"]["hook"] != piece["right"]["hook"]:
        raise WrongSheet("the tape cannot follow two arrises at once")
    u, v = piece["left"]["hook"]
    left = Plane(np.array([0.0, v, u]), blade(piece["left"], spring))
    right = Plane(np.array([piece["tape_in"], v, u]), blade(piece["right"], spring))
    stick = CutStick(anticlockwise(section), left, right)
    if np.any(stick.face(right)[:, 0] <= stick.face(left)[:, 0]):
        raise WrongSheet("the two cuts cross inside the wood")
    return stick


def anticlockwise(section):
    """The section's corners so that (v, u) runs anticlockwise."""
    u, v = np.array(section, dtype=float).T
    twice_area = np.sum(v * np.roll(u, -1) - np.roll(v, -1) * u)
    return list(section) if twice_area > 0 else list(reversed(section))


def prism(section, start, end):
    """A stick of the section from s = start to s = end."""
    outline = np.array([[v, u] for u, v in section], dtype=float)
    count = len(outline)
    lid = triangulate([outline])
    sides = []
    for k in range(count):
        n = (k + 1) % count
        sides += [[k, n, count + n], [k, count + n, count + k]]
    triangles = np.concatenate([lid[:, ::-1], lid + count, np.array(sides)])
    corners = np.concatenate(
        [np.column_stack([np.full(count, s), outline]) for s in (start, end)]
    )
    solid = Manifold(Mesh64(corners, triangles.astype(np.uint64)))
    if solid.is_empty() or solid.volume() <= 0:
        raise WrongSheet(f"the section is not a simple outline: {section}")
    return solid
