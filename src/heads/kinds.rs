//! One table: the kinds of head and the fields of each.
//!
//! A kind is one entry here. A field is named by its path in the design's
//! JSON, so the same table fills the form, reads it, and finds the field that
//! an error of the engine is about.

mod parts;

use parts::{APRON, BAY, BED, CAP_BLOCK, KEY, LEGS, NECK, PARTS, PLINTH, SILL};

/// What may be typed into a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Input {
    /// A length as the trade writes it.
    Length,
    /// Degrees, a plain number.
    Degrees,
    /// A whole number.
    Count,
    /// A slope: rise in 12 or degrees, by the select beside it.
    Pitch,
    /// One of (value, label).
    Choice(&'static [(&'static str, &'static str)]),
    /// One point a line, so many lengths a point.
    Points(usize),
    /// One direction a line: three numbers, or a word.
    Directions,
    /// A name.
    Name,
    /// Words parted by commas, each one of these.
    Words(&'static [&'static str]),
    /// One length a line.
    Lengths,
    /// One plan corner a line: degrees, and `inside` where it turns in.
    Corners,
    /// Two lengths on one line: right, up.
    Pair,
    /// One point a line: where it stands, or how it is reached from the last.
    Path,
    /// A path's end: `square`, `plumb`, `level` or three numbers.
    End,
    /// A section of the shelf, whose curves are copied into the design.
    Shelf,
}

/// One field.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Where it goes in the design, such as `board.height`.
    pub path: &'static str,
    /// Beside the field.
    pub label: &'static str,
    /// Under the field: what is measured from where.
    pub hint: &'static str,
    /// What may be typed.
    pub input: Input,
    /// May be left out.
    pub optional: bool,
    /// What a new head begins with; blank where the opening decides.
    pub default: &'static str,
}

/// When a group of fields counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// Always.
    Always,
    /// If its box is ticked; `true` when a new head begins with it.
    Ticked(bool),
    /// Once for each entry of a list, such as `runs`.
    Each,
}

/// Fields that belong together.
#[derive(Debug, Clone, Copy)]
pub struct Group {
    /// Name of the group's box or list, and start of its fields' paths.
    pub key: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// When it counts.
    pub when: When,
    /// In order.
    pub fields: &'static [Field],
}

/// One kind of head.
#[derive(Debug, Clone, Copy)]
pub struct Kind {
    /// The word in the design's JSON.
    pub kind: &'static str,
    /// For people.
    pub title: &'static str,
    /// What it looks like, in a sentence.
    pub says: &'static str,
    /// Its groups.
    pub groups: &'static [&'static Group],
}

const fn length(
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
        optional: false,
        default,
    }
}

const SPAN: Field = length("span", "Span", "", "Length of the board, end to end.");

/// A moulding's section from the shelf; its curves stand in for the sizes.
const fn shelf(path: &'static str) -> Field {
    Field {
        path,
        label: "Section",
        hint: "From the shelf: its true size then counts.",
        input: Input::Shelf,
        optional: true,
        default: "",
    }
}

const FLAT: Group = Group {
    key: "shape",
    title: "Shape",
    when: When::Always,
    fields: &[SPAN],
};

const WINGS: Field = length(
    "wing",
    "Wing",
    "7 1/4",
    "The level part at each end. 0 makes a plain peak.",
);
const PITCH: Field = Field {
    path: "pitch",
    label: "Pitch",
    hint: "Of the rakes.",
    input: Input::Pitch,
    optional: false,
    default: "7",
};

const LOWER: Field = Field {
    path: "lower_end",
    label: "Lower ends",
    hint: "For wing 0: how the crown ends where the rakes run out at the board’s ends.",
    input: Input::Choice(&[
        ("plumb", "cut plumb"),
        ("return", "returned square to the rake"),
        ("raked-return", "returned level, with a raked section"),
    ]),
    optional: true,
    default: "plumb",
};

const GABLE: Group = Group {
    key: "shape",
    title: "Shape",
    when: When::Always,
    fields: &[SPAN, WINGS, PITCH, LOWER],
};

const CLOSED: Group = Group {
    key: "shape",
    title: "Shape",
    when: When::Always,
    fields: &[
        SPAN,
        PITCH,
        Field {
            path: "foot",
            label: "Foot of the rakes",
            hint: "How the raking mouldings meet the level cornice.",
            input: Input::Choice(&[
                ("level-cut", "cut level, sitting on it"),
                ("return", "returned to the wall"),
            ]),
            optional: false,
            default: "level-cut",
        },
    ],
};

const LEVEL_CAP: Group = Group {
    key: "level.cap",
    title: "Level cap",
    when: When::Always,
    fields: &[
        length("level.cap.thickness", "Thickness", "3/4", ""),
        length(
            "level.cap.front",
            "Front",
            "2 1/4",
            "Out from the board's face.",
        ),
        length(
            "level.cap.overhang",
            "Overhang",
            "2",
            "Past the board's end.",
        ),
    ],
};

const LEVEL_CROWN: Group = Group {
    key: "level.crown",
    title: "Level crown",
    when: When::Always,
    fields: &[
        shelf("level.crown.shelf"),
        length(
            "level.crown.projection",
            "Projection",
            "1 1/2",
            "Out from the board's face.",
        ),
        length(
            "level.crown.height",
            "Height",
            "2",
            "Down from the level cap.",
        ),
        Field {
            path: "level.crown.back",
            label: "Back",
            hint: "",
            input: Input::Choice(&[("solid", "solid"), ("sprung", "sprung")]),
            optional: false,
            default: "solid",
        },
    ],
};

const BROKEN: Group = Group {
    key: "shape",
    title: "Shape",
    when: When::Always,
    fields: &[
        SPAN,
        WINGS,
        PITCH,
        length("gap", "Gap", "8", "Clear, between the upper ends."),
        Field {
            path: "upper_end",
            label: "Upper ends",
            hint: "",
            input: Input::Choice(&[
                ("plumb", "cut plumb"),
                ("return", "returned square to the rake"),
            ]),
            optional: false,
            default: "plumb",
        },
        LOWER,
    ],
};

const ARCHED: Group = Group {
    key: "shape",
    title: "Shape",
    when: When::Always,
    fields: &[
        SPAN,
        length(
            "rise",
            "Rise",
            "6",
            "Of the board's top edge, at the middle.",
        ),
        Field {
            path: "segments",
            label: "Straight pieces",
            hint: "How many make up the arch.",
            input: Input::Count,
            optional: false,
            default: "7",
        },
    ],
};

const BOARD: Group = Group {
    key: "board",
    title: "Board",
    when: When::Always,
    fields: &[
        length("board.thickness", "Thickness", "3/4", ""),
        length(
            "board.height",
            "Height",
            "5 1/2",
            "At the wing, below its top edge.",
        ),
    ],
};

const CAP: Group = Group {
    key: "cap",
    title: "Cap",
    when: When::Ticked(true),
    fields: &[
        length("cap.thickness", "Thickness", "3/4", ""),
        length(
            "cap.front",
            "Front",
            "2 1/4",
            "How far it stands out from the board's face.",
        ),
        length(
            "cap.overhang",
            "Overhang",
            "2",
            "Past the board's end: the crown's projection and about 1/2 in more.",
        ),
    ],
};

const CROWN: Group = Group {
    key: "crown",
    title: "Crown",
    when: When::Ticked(true),
    fields: &[
        shelf("crown.shelf"),
        length(
            "crown.projection",
            "Projection",
            "1 1/2",
            "Out from the board's face.",
        ),
        length("crown.height", "Height", "2", "Down from the cap."),
        Field {
            path: "crown.back",
            label: "Back",
            hint: "Solid: flat against the board. Sprung: leaning, hollow behind.",
            input: Input::Choice(&[("solid", "solid"), ("sprung", "sprung")]),
            optional: false,
            default: "solid",
        },
        Field {
            path: "crown.spring_degrees",
            label: "Spring angle",
            hint: "Only for a sprung crown: between its flat back and the wall, in degrees.",
            input: Input::Degrees,
            optional: true,
            default: "",
        },
        Field {
            path: "crown.section",
            label: "Outline",
            hint: "May be left blank. One point a line: out, then up (down is −), as in “1 1/2, −3/8”.",
            input: Input::Points(2),
            optional: true,
            default: "",
        },
    ],
};

const DROPS: Group = Group {
    key: "drops",
    title: "Drops",
    when: When::Ticked(false),
    fields: &[
        length("drops.width", "Width", "3 1/2", ""),
        length("drops.thickness", "Thickness", "3/4", ""),
        length("drops.inset", "Inset", "3/4", "From the board's end."),
        length("drops.length", "Length", "7", "With its point."),
        Field {
            path: "drops.point_degrees",
            label: "Point",
            hint: "Swing of the two cuts that make it, in degrees.",
            input: Input::Degrees,
            optional: false,
            default: "45",
        },
    ],
};

const RUNS: Group = Group {
    key: "runs",
    title: "Run",
    when: When::Each,
    fields: &[
        Field {
            path: "name",
            label: "Name",
            hint: "Pieces are labelled with it. Ends in “cap” for a cap.",
            input: Input::Name,
            optional: false,
            default: "cap",
        },
        shelf("shelf"),
        Field {
            path: "section",
            label: "Outline",
            hint: "Unless from the shelf. One point a line: out, then up, from the reference edge.",
            input: Input::Points(2),
            optional: true,
            default: "-3/4, 0\n2 1/4, 0\n2 1/4, 3/4\n-3/4, 3/4",
        },
        Field {
            path: "path",
            label: "Path",
            hint: "One point a line: right, up, out. Or from the last point: “by 12, 0, 0”, or an angle from level and a length, “30° 12”.",
            input: Input::Path,
            optional: false,
            default: "",
        },
        Field {
            path: "normals",
            label: "What each leg is fixed to faces",
            hint: "One line a leg: out, left, right, up, down, or three numbers.",
            input: Input::Directions,
            optional: false,
            default: "out",
        },
        Field {
            path: "holds",
            label: "Holds",
            hint: "In the order to try. Blank takes the usual ones.",
            input: Input::Words(&[
                "on-edge",
                "upright",
                "flat",
                "inverted",
                "sprung-flat",
                "sprung-flat-turned",
            ]),
            optional: true,
            default: "",
        },
        Field {
            path: "spring_degrees",
            label: "Spring angle",
            hint: "Only for a sprung moulding laid on its back, in degrees.",
            input: Input::Degrees,
            optional: true,
            default: "",
        },
        Field {
            path: "start",
            label: "Start",
            hint: "square, plumb, level, or three numbers.",
            input: Input::End,
            optional: true,
            default: "square",
        },
        Field {
            path: "end",
            label: "End",
            hint: "square, plumb, level, or three numbers.",
            input: Input::End,
            optional: true,
            default: "square",
        },
        Field {
            path: "start_meets",
            label: "Start closes on",
            hint: "A piece of another run, by its label. Only where a raked section meets its rake.",
            input: Input::Name,
            optional: true,
            default: "",
        },
        Field {
            path: "end_meets",
            label: "End closes on",
            hint: "",
            input: Input::Name,
            optional: true,
            default: "",
        },
    ],
};

/// Every kind that the form knows, in the order shown.
pub static KINDS: &[Kind] = &[
    Kind {
        kind: "flat",
        title: "Flat",
        says: "A level board with a cap and a crown that returns to the wall.",
        groups: &[
            &FLAT, &BOARD, &CAP, &CROWN, &BED, &NECK, &KEY, &LEGS, &PLINTH, &CAP_BLOCK, &SILL,
            &APRON,
        ],
    },
    Kind {
        kind: "gable",
        title: "Gable",
        says: "Level wings and two rakes to a peak, with drops if wanted.",
        groups: &[
            &GABLE, &BOARD, &CAP, &CROWN, &DROPS, &BED, &NECK, &KEY, &LEGS, &PLINTH, &CAP_BLOCK,
            &SILL, &APRON,
        ],
    },
    Kind {
        kind: "closed-gable",
        title: "Closed gable",
        says: "A level cornice with raking mouldings above it.",
        groups: &[
            &CLOSED,
            &BOARD,
            &LEVEL_CAP,
            &LEVEL_CROWN,
            &CAP,
            &CROWN,
            &BED,
            &NECK,
            &KEY,
            &LEGS,
            &PLINTH,
            &CAP_BLOCK,
            &SILL,
            &APRON,
        ],
    },
    Kind {
        kind: "broken-gable",
        title: "Broken gable",
        says: "Rakes that stop short of the middle.",
        groups: &[
            &BROKEN, &BOARD, &CAP, &CROWN, &BED, &NECK, &KEY, &LEGS, &PLINTH, &CAP_BLOCK, &SILL,
            &APRON,
        ],
    },
    Kind {
        kind: "arched",
        title: "Arched",
        says: "A segment of a circle, built from straight pieces.",
        groups: &[
            &ARCHED, &BOARD, &CAP, &CROWN, &BED, &NECK, &KEY, &LEGS, &PLINTH, &CAP_BLOCK, &SILL,
            &APRON,
        ],
    },
    Kind {
        kind: "bay",
        title: "Bay or angled front",
        says: "A level head whose front turns in plan, with one board for each face.",
        groups: &[
            &BAY, &BOARD, &CAP, &CROWN, &BED, &NECK, &KEY, &LEGS, &PLINTH, &CAP_BLOCK, &SILL,
            &APRON,
        ],
    },
    Kind {
        kind: "assembly",
        title: "Several parts",
        says: "Heads of other kinds placed side by side or one over the other, on one sheet.",
        groups: &[&PARTS, &LEGS, &PLINTH, &CAP_BLOCK, &SILL, &APRON],
    },
    Kind {
        kind: "runs",
        title: "Any shape, by its runs",
        says: "Each moulding's section and the path that it follows.",
        groups: &[&RUNS, &LEGS, &PLINTH, &CAP_BLOCK, &SILL, &APRON],
    },
];

/// The kind with this word.
#[must_use]
pub fn kind(word: &str) -> Option<&'static Kind> {
    KINDS.iter().find(|k| k.kind == word)
}
