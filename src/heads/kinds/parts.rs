//! Groups of fields that many kinds share: smaller mouldings, the key, legs;
//! and those of bays and assemblies.

use super::{Field, Group, Input, When, length, shelf};

const BACK: &[(&str, &str)] = &[("solid", "solid"), ("sprung", "sprung")];

const fn optional(
    path: &'static str,
    label: &'static str,
    default: &'static str,
    hint: &'static str,
) -> Field {
    Field {
        path,
        label,
        hint,
        input: Input::Length,
        optional: true,
        default,
    }
}

const fn choice(
    path: &'static str,
    label: &'static str,
    hint: &'static str,
    choices: &'static [(&'static str, &'static str)],
    default: &'static str,
) -> Field {
    Field {
        path,
        label,
        hint,
        input: Input::Choice(choices),
        optional: false,
        default,
    }
}

const fn spring(path: &'static str) -> Field {
    Field {
        path,
        label: "Spring angle",
        hint: "Only for a sprung back, in degrees.",
        input: Input::Degrees,
        optional: true,
        default: "",
    }
}

const fn outline(path: &'static str) -> Field {
    Field {
        path,
        label: "Outline",
        hint: "May be left blank. One point a line: out, then up (down is −).",
        input: Input::Points(2),
        optional: true,
        default: "",
    }
}

pub(super) const BED: Group = Group {
    key: "bed",
    title: "Bed mould",
    when: When::Ticked(false),
    fields: &[
        shelf("bed.shelf"),
        length(
            "bed.below",
            "Below the top edge",
            "2",
            "From the board’s top edge to its own top; the crown’s height puts it under the crown.",
        ),
        length(
            "bed.projection",
            "Projection",
            "3/4",
            "Out from the board’s face.",
        ),
        length("bed.height", "Height", "3/4", ""),
        choice("bed.back", "Back", "", BACK, "solid"),
        spring("bed.spring_degrees"),
        outline("bed.section"),
    ],
};

pub(super) const NECK: Group = Group {
    key: "neck",
    title: "Neck mould",
    when: When::Ticked(false),
    fields: &[
        shelf("neck.shelf"),
        length(
            "neck.below",
            "Below the top edge",
            "4 1/2",
            "From the board’s top edge at its end to its own top. It runs level.",
        ),
        length(
            "neck.projection",
            "Projection",
            "1/2",
            "Out from the board’s face.",
        ),
        length("neck.height", "Height", "3/4", ""),
        choice("neck.back", "Back", "", BACK, "solid"),
        spring("neck.spring_degrees"),
        outline("neck.section"),
    ],
};

pub(super) const KEY: Group = Group {
    key: "key",
    title: "Key",
    when: When::Ticked(false),
    fields: &[
        length("key.width_top", "Width at the top", "5", ""),
        length("key.width_bottom", "Width at the bottom", "4", ""),
        length("key.height", "Height", "5 1/2", ""),
        length("key.thickness", "Thickness", "3/4", "Of the stock."),
        optional(
            "key.projection",
            "Stands out",
            "",
            "From the board’s face. Blank: its whole thickness. Less lets it into the board.",
        ),
        optional(
            "key.above",
            "Top above the edge",
            "",
            "Past the board’s top edge at the middle. The cap’s thickness breaks the cap too.",
        ),
        optional("key.below", "Top below the edge", "", "Or so far below it."),
        choice(
            "key.mouldings",
            "Mouldings",
            "Level ones can go round it; sloping ones are cut to its sides.",
            &[("break", "go round it"), ("butt", "stop against it")],
            "break",
        ),
    ],
};

pub(super) const LEGS: Group = Group {
    key: "legs",
    title: "Legs",
    when: When::Ticked(false),
    fields: &[
        choice(
            "legs.sort",
            "Sort",
            "",
            &[("casing", "casings"), ("pilaster", "pilasters")],
            "casing",
        ),
        length("legs.width", "Width", "4 1/2", ""),
        length("legs.thickness", "Thickness", "3/4", "Out from the wall."),
        length(
            "legs.opening.width",
            "Opening’s width",
            "32",
            "Clear, from jamb to jamb.",
        ),
        length(
            "legs.opening.height",
            "Opening’s height",
            "80",
            "Clear, from the floor or the sill up.",
        ),
        optional(
            "legs.reveal",
            "Reveal",
            "1/4",
            "How far legs and head stand back from the opening’s edge.",
        ),
    ],
};

pub(super) const PLINTH: Group = Group {
    key: "legs.plinth",
    title: "Plinth blocks",
    when: When::Ticked(false),
    fields: &[
        length("legs.plinth.width", "Width", "5", ""),
        length("legs.plinth.height", "Height", "8", ""),
        length("legs.plinth.thickness", "Thickness", "1", ""),
    ],
};

pub(super) const CAP_BLOCK: Group = Group {
    key: "legs.cap_block",
    title: "Cap blocks",
    when: When::Ticked(false),
    fields: &[
        length("legs.cap_block.width", "Width", "5", ""),
        length("legs.cap_block.height", "Height", "5", ""),
        length("legs.cap_block.thickness", "Thickness", "3/4", ""),
    ],
};

pub(super) const SILL: Group = Group {
    key: "legs.sill",
    title: "Sill",
    when: When::Ticked(false),
    fields: &[
        length("legs.sill.thickness", "Thickness", "1 1/4", ""),
        length("legs.sill.front", "Front", "2", "Out from the wall."),
        optional(
            "legs.sill.into",
            "Into the opening",
            "",
            "Between the horns, back from the wall’s face.",
        ),
        optional("legs.sill.horn", "Horn", "1", "Past the leg’s outer edge."),
        Field {
            path: "legs.sill.slope_degrees",
            label: "Fall",
            hint: "Of its top, outwards, in degrees.",
            input: Input::Degrees,
            optional: true,
            default: "",
        },
    ],
};

pub(super) const APRON: Group = Group {
    key: "legs.apron",
    title: "Apron",
    when: When::Ticked(false),
    fields: &[
        length("legs.apron.height", "Height", "3 1/2", ""),
        length("legs.apron.thickness", "Thickness", "3/4", ""),
        optional(
            "legs.apron.inset",
            "Inset",
            "",
            "From the leg’s outer edge.",
        ),
    ],
};

pub(super) const BAY: Group = Group {
    key: "shape",
    title: "Shape",
    when: When::Always,
    fields: &[
        Field {
            path: "faces",
            label: "Faces",
            hint: "One length a line, from the left, along the boards’ faces. The longest looks straight out.",
            input: Input::Lengths,
            optional: false,
            default: "18\n40\n18",
        },
        Field {
            path: "corners",
            label: "Corners",
            hint: "One a line, between each two faces: the angle seen from above, as 135. Write 135 inside where the front turns in.",
            input: Input::Corners,
            optional: true,
            default: "135\n135",
        },
        choice(
            "ends",
            "Ends",
            "",
            &[
                ("return", "returned square to the end faces"),
                ("wall", "cut to the house wall"),
            ],
            "return",
        ),
    ],
};

pub(super) const PARTS: Group = Group {
    key: "parts",
    title: "Part",
    when: When::Each,
    fields: &[
        Field {
            path: "name",
            label: "Name",
            hint: "Labels begin with it.",
            input: Input::Name,
            optional: false,
            default: "part",
        },
        Field {
            path: "at",
            label: "Stands at",
            hint: "Right, up: where its board’s upper left corner is, as in “30, −4 1/2”.",
            input: Input::Pair,
            optional: false,
            default: "0, 0",
        },
        choice(
            "head.kind",
            "Kind",
            "",
            &[
                ("flat", "Flat"),
                ("gable", "Gable"),
                ("closed-gable", "Closed gable"),
                ("broken-gable", "Broken gable"),
                ("arched", "Arched"),
                ("bay", "Bay or angled front"),
                ("runs", "Any shape, by its runs"),
            ],
            "flat",
        ),
    ],
};
