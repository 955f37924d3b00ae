"""Builds a head from its cut sheet alone and looks for gaps and overlaps."""

from dataclasses import dataclass
from math import radians, tan

import numpy as np
from manifold3d import Manifold, OpType

from heads import bay_faces, inches, runs_of
from stick import WrongSheet, cut_stick, prism

# Of the size of what is measured: of a run's length for gaps, of its wood for
# volumes.
TOLERANCE = 1e-9


@dataclass
class Worst:
    """The largest errors met, each as a part of its scale."""

    gap: float = 0.0
    overlap: float = 0.0
    union: float = 0.0
    joints: int = 0
    pieces: int = 0

    def take(self, what, error, scale, where):
        """Keeps an error, and refuses one over the tolerance."""
        error = abs(error) / scale
        setattr(self, what, max(getattr(self, what), error))
        if not error <= TOLERANCE:
            raise WrongSheet(f"{where}: {error:.3g} of scale")


@dataclass
class Hung:
    """One piece hung on the head by its reference edge."""

    label: str
    left: np.ndarray  # corners of the left end in the head's space
    right: np.ndarray
    solid: Manifold


def hang(stick, label, leg):
    """Puts a cut stick on the head: the left cut of its edge (0, 0) on the
    start of the leg."""
    start, _, along, out, up = leg
    turn = np.column_stack([along, up, out])
    shift = start - stick.left.reach(0.0, 0.0) * along
    place = np.column_stack([turn, shift])
    return Hung(
        label,
        stick.face(stick.left) @ turn.T + shift,
        stick.face(stick.right) @ turn.T + shift,
        stick.solid().transform(place.tolist()),
    )


def check_head(design, sheet, worst, words=True):
    """Raises WrongSheet if the pieces of the sheet do not make the head.
    `words`: also hold the sheet's overall lengths, points and mates to it."""
    sheets = {run["name"]: run["pieces"] for run in sheet["runs"]}
    runs = runs_of(design)
    if sorted(sheets) != sorted(run.name for run in runs):
        raise WrongSheet(f"runs {sorted(sheets)}")
    solids, ends = [], {}
    for run in runs:
        hung = check_run(run, sheets[run.name], worst, words)
        solids += [piece.solid for piece in hung]
        ends[run.name] = (run, hung)
    for run, hung in ends.values():
        check_other_run(run, hung, ends, worst)
    solids += boards(design, sheet)
    touch_without_overlap(solids, worst, "the whole head")


def check_run(run, pieces, worst, words):
    legs = list(run.legs())
    if len(legs) != len(pieces):
        raise WrongSheet(f"{run.name}: {len(pieces)} pieces on {len(legs)} legs")
    scale = sum(np.linalg.norm(end - start) for start, end, *_ in legs)
    hung = []
    for leg, piece in zip(legs, pieces):
        stick = cut_stick(run.section, run.spring, piece)
        check_length(stick, piece["label"], leg, scale, worst)
        if words:
            check_words(stick, piece, scale, worst)
        hung.append(hang(stick, piece["label"], leg))
    check_free_end(run.ends[0], legs[0], hung[0].left, scale, worst)
    check_free_end(run.ends[1], legs[-1], hung[-1].right, scale, worst)
    if words:
        check_mates(pieces, run.meets)
    for one, next_one in zip(hung, hung[1:]):
        joint = f"{one.label} and {next_one.label}"
        apart = np.linalg.norm(one.right - next_one.left, axis=1).max()
        worst.take("gap", apart, scale, f"{joint} do not meet corner for corner")
        common = (one.solid ^ next_one.solid).volume()
        wood = one.solid.volume() + next_one.solid.volume()
        worst.take("overlap", common, wood, f"{joint} overlap")
        worst.joints += 1
    worst.pieces += len(hung)
    touch_without_overlap([piece.solid for piece in hung], worst, run.name)
    return hung


def check_length(stick, label, leg, scale, worst):
    """The tape brings the other cut to the end of the leg."""
    start, end, *_ = leg
    edge = stick.right.reach(0.0, 0.0) - stick.left.reach(0.0, 0.0)
    worst.take("gap", edge - np.linalg.norm(end - start), scale, f"{label} does not fill its leg")


def check_words(stick, piece, scale, worst):
    """The stick is long enough and no longer, and the words for the hooked
    point are true."""
    label = piece["label"]
    left, right = stick.face(stick.left)[:, 0], stick.face(stick.right)[:, 0]
    overall = right.max() - left.min()
    worst.take("gap", overall - piece["overall_in"], scale, f"{label}: overall length")
    for side, past in (("left", -left), ("right", right - piece["tape_in"])):
        said, true = piece[side]["point"], point_word(past)
        if said != true:
            raise WrongSheet(f"{label} {side}: the hook is on the {true} point, not {said}")


def point_word(past):
    """The trade's word for the hooked point; `past`: how far each corner of
    the section reaches past it."""
    beyond, behind = past.max() > 1e-9, past.min() < -1e-9
    return {
        (False, False): "square",
        (True, False): "short",
        (False, True): "long",
        (True, True): "mixed",
    }[beyond, behind]


def check_free_end(kind, leg, face, scale, worst):
    """A run's end lies in the plane that the design names."""
    start, end, along, *_ = leg
    if isinstance(kind, np.ndarray):
        normal = kind
    elif kind == "square":
        normal = along
    elif kind == "level":
        normal = np.array([0.0, 1.0, 0.0])
    elif kind == "plumb":
        normal = np.array([along[0], 0.0, along[2]])
    elif kind == "level":
        normal = np.array([0.0, 1.0, 0.0])
    else:
        raise WrongSheet(f"an end of kind {kind} is not part of this check")
    normal = normal / np.linalg.norm(normal)
    across = (face - face[0]) @ normal
    worst.take("gap", np.abs(across).max(), scale, f"the {kind} end")


def check_other_run(run, hung, ends, worst):
    """The run's right end meets the piece of another run, corner for corner."""
    if run.meets[1] is None:
        return
    other = ends[run.meets[1].rsplit("-", 1)[0]][1]
    scale = sum(np.linalg.norm(end - start) for start, end, *_ in run.legs())
    apart = np.linalg.norm(hung[-1].right - other[0].left, axis=1).max()
    worst.take("gap", apart, scale, f"{hung[-1].label} and {other[0].label} do not meet corner for corner")
    worst.joints += 1


def check_mates(pieces, meets):
    labels = [meets[0]] + [piece["label"] for piece in pieces] + [meets[1]]
    for before, piece, after in zip(labels, pieces, labels[2:]):
        if (piece["left"]["mate"], piece["right"]["mate"]) != (before, after):
            raise WrongSheet(f"{piece['label']} names the wrong mates")


def touch_without_overlap(solids, worst, where):
    """The union of the wood is as big as the sum of the pieces. Where faces
    touch in one plane the kernel now and then drops a whole solid from a
    union, so a union that is too small is heard only if two of the solids
    really have wood in common."""
    total = sum(solid.volume() for solid in solids)
    union = Manifold.batch_boolean(solids, OpType.Add).volume()
    if abs(union - total) > TOLERANCE * total:
        union = total - common_wood(solids)
    worst.take("union", union - total, total, f"{where}: union less sum of volumes")


def common_wood(solids):
    """What each two of the solids have in common, added up."""
    common = 0.0
    for i, one in enumerate(solids):
        for two in solids[i + 1 :]:
            common += abs((one ^ two).volume())
    return common


def boards(design, sheet):
    """The boards behind the mouldings, where the paths run on their edges."""
    if design["kind"] == "runs":
        return []
    thick, height = (inches(design["board"][key]) for key in ("thickness", "height"))
    made = {board["label"]: board for board in sheet["boards"]}
    if design["kind"] == "bay":
        return [bay_board(made[f"board-{i + 1}"], face, thick, height) for i, face in enumerate(bay_faces(design))]
    solids = [standing(made["board"], (0.0, -height), -thick, 0.0)]
    if "key" in made:
        key = made["key"]
        out, width = inches(design["key"]["thickness"]), max(x for x, _ in key["outline_in"])
        corner = (inches(design["span"]) / 2 - width / 2, -inches(design["key"]["height"]))
        solids.append(standing(key, corner, 0.0, out))
    return solids


def standing(board, corner, back, face):
    """A board that stands upright, the lower left of its outline at `corner`."""
    # A prism runs along its first axis: here out of the wall, with x and y
    # across it.
    turn = np.array([[0.0, 1.0, 0.0, corner[0]], [0.0, 0.0, 1.0, corner[1]], [1.0, 0.0, 0.0, 0.0]])
    return prism([(y, x) for x, y in board["outline_in"]], back, face).transform(turn.tolist())


def bay_board(board, face, thick, height):
    """A board of a bay with its two bevels, as the sheet says them."""
    length = max(x for x, _ in board["outline_in"])
    short = {bevel["edge"]: thick * tan(radians(bevel["bevel_deg"])) for bevel in board.get("bevels", [])}
    start, _, along, out = face
    seen = [(0.0, 0.0), (length, 0.0), (length - short.get(1, 0.0), -thick), (short.get(3, 0.0), -thick)]
    # A prism runs along its first axis: here down; across it lie the board's
    # length and its depth.
    down = np.array([0.0, -1.0, 0.0])
    turn = np.column_stack([down, along, out, start])
    return prism([(u, v) for v, u in reversed(seen)], 0.0, height).transform(turn.tolist())
