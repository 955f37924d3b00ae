"""Wrong sheets: each spoils one true sheet in one place. The check that
cannot tell them from true ones proves nothing."""

TURNED = {
    "on-edge": "upright",
    "upright": "on-edge",
    "flat": "inverted",
    "inverted": "flat",
    "sprung-flat": "sprung-flat-turned",
    "sprung-flat-turned": "sprung-flat",
    "flat-turned": "inverted",
    "sprung-nested": "sprung-flat",
}


def all_cuts(sheet):
    return [piece[side] for run in sheet["runs"] for piece in run["pieces"] for side in ("left", "right")]


def one_of(rng, cuts):
    return rng.choice(cuts) if cuts else None


def swing_sign(sheet, rng):
    cut = one_of(rng, [c for c in all_cuts(sheet) if abs(c["swing_deg"]) > 0.5])
    if cut:
        cut["swing_deg"] *= -1
    return cut


def tilt_sign(sheet, rng):
    cut = one_of(rng, [c for c in all_cuts(sheet) if abs(c["tilt_deg"]) > 0.5])
    if cut:
        cut["tilt_deg"] *= -1
    return cut


def quarter_degree(sheet, rng):
    cut = one_of(rng, all_cuts(sheet))
    cut["swing_deg"] += 0.25
    return cut


def hold_swapped(sheet, rng):
    """The other way to lay the stock, the saw left as it was."""
    cut = one_of(rng, [c for c in all_cuts(sheet) if abs(c["swing_deg"]) > 0.5])
    if cut:
        cut["hold"] = TURNED[cut["hold"]]
    return cut


def block_left_out(sheet, rng):
    """The complement set, the stock still along the fence."""
    cut = one_of(rng, [c for c in all_cuts(sheet) if "block" in c])
    if cut:
        del cut["block"]
    return cut


def ends_exchanged(sheet, rng):
    pieces = [piece for run in sheet["runs"] for piece in run["pieces"]]
    keys = ("hold", "swing_deg", "tilt_deg", "block")
    differ = [p for p in pieces if [p["left"].get(k) for k in keys] != [p["right"].get(k) for k in keys]]
    piece = one_of(rng, differ)
    if piece:
        left, right = ({k: piece[side].pop(k) for k in keys if k in piece[side]} for side in ("left", "right"))
        piece["left"].update(right)
        piece["right"].update(left)
    return piece


def tape_a_hair_long(sheet, rng):
    piece = rng.choice([piece for run in sheet["runs"] for piece in run["pieces"]])
    piece["tape_in"] += 1e-6
    return piece


def hook_on_another_arris(sheet, rng):
    """The tape on the wrong arris, for a piece whose length depends on it."""
    pieces = [
        p for run in sheet["runs"] for p in run["pieces"]
        if abs(p["left"]["per_u"] - p["right"]["per_u"]) > 0.01
    ]  # fmt: skip
    piece = one_of(rng, pieces)
    if piece:
        for side in ("left", "right"):
            u, v = piece[side]["hook"]
            piece[side]["hook"] = [u + 0.5, v]
    return piece


SPOILS = {
    "one swing's sign": swing_sign,
    "one tilt's sign": tilt_sign,
    "a quarter degree": quarter_degree,
    "one hold": hold_swapped,
    "one block": block_left_out,
    "the ends of one piece": ends_exchanged,
    "a millionth of an inch of tape": tape_a_hair_long,
    "the arris the tape hooks on": hook_on_another_arris,
}
