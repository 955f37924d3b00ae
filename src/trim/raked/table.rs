//! Raked sections as a table for people.

use std::fmt::Write as _;

use crate::trim::words::{degrees_text, thirty_seconds};

use super::{Form, RakedInput, change};

/// Heights of every arris, how each part changes, and the findings.
pub(super) fn table(input: &RakedInput) -> String {
    let corner = &input.corner;
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(
        out,
        "Raked sections: pitch {}, plan corner {}, given the {}'s section.\n\
         Inches, to the nearest 1/32. u is the projection; the rake's height is square to the rake.\n",
        degrees_text(corner.pitch),
        degrees_text(corner.plan_corner),
        input.given.words(),
    );
    let _ = writeln!(
        out,
        "{:<7}{:>16}{:>16}{:>16}{:>16}{:>16}",
        "arris", "projection", "level return", "rake", "upper return", "plumb at peak"
    );
    for (i, row) in change::arris_rows(&input.points, input.given, corner)
        .iter()
        .enumerate()
    {
        let [level, rake, upper] = row.heights.map(thirty_seconds);
        let _ = writeln!(
            out,
            "{:<7}{:>16}{level:>16}{rake:>16}{upper:>16}{:>16}",
            i + 1,
            thirty_seconds(row.u),
            thirty_seconds(row.peak),
        );
    }
    let _ = writeln!(
        out,
        "\n{:<7}{:<8}{:>16}{:>16}{:>16}{:>16}",
        "part", "", "goes out", "up on return", "up on rake", "up on upper"
    );
    for row in change::part_rows(&input.curves(), input.given, corner) {
        let [level, rake, upper] = row.up.map(thirty_seconds);
        let note = match (row.turns_over.contains(&true), row.dips.contains(&true)) {
            (true, _) => "  turns over",
            (false, true) => "  dips",
            _ => "",
        };
        let _ = writeln!(
            out,
            "{:<7}{:<8}{:>16}{level:>16}{rake:>16}{upper:>16}{note}",
            row.part + 1,
            row.shape.words(),
            thirty_seconds(row.out),
        );
    }
    for finding in input.findings() {
        let _ = writeln!(out, "\n{}: {}", finding.code, finding.text);
    }
    let _ = writeln!(
        out,
        "\nKeep the {}'s section for the {}; the others are for the knife grinder. \
         Try the first pieces together before the rest are run.",
        input.given.words(),
        match input.given {
            Form::Return => "level return",
            _ => "rake",
        },
    );
    out
}
