//! Writes sections as a DXF drawing of release 12: one closed POLYLINE a
//! section, arcs as bulges. Release 12 has no conics; they become arcs within
//! 1/10,000 in.

use std::fmt::Write as _;

use crate::measure::Unit;
use crate::trim::section::Curve;
use crate::trim::sheet::SectionPoint;

use super::{Plate, fit};

/// How far arcs may stand off a conic, inches.
const TOLERANCE: f64 = 1e-4;

/// The sections side by side, x to the right, y up, in `unit`.
#[must_use]
pub fn dxf(plate: &Plate, unit: Unit) -> String {
    let mut out = String::with_capacity(4096);
    let scale = 1.0 / unit.inches();
    header(&mut out, plate, unit);
    group(&mut out, 0, "SECTION");
    group(&mut out, 2, "ENTITIES");
    let (placed, ..) = plate.placed();
    for p in placed {
        let mut curves = Vec::new();
        for curve in p.section.outline.curves() {
            fit::arcs(curve, TOLERANCE, &mut curves);
        }
        polyline(&mut out, &curves, |at| {
            ((at.u + p.u) * scale, (at.v + p.v) * scale)
        });
        let extents = p.section.outline.extents();
        let name = (
            (extents.u_low + p.u) * scale,
            (extents.v_low + p.v - 0.3) * scale,
        );
        text(&mut out, &p.section.name, name, 0.15 * scale);
    }
    group(&mut out, 0, "ENDSEC");
    group(&mut out, 0, "EOF");
    out
}

fn header(out: &mut String, plate: &Plate, unit: Unit) {
    // A comment first: whoever opens the file sees what it is and its unit.
    let comment = format!("{}; unit {}; true scale", plate.title, unit.symbol());
    group(out, 999, &comment);
    group(out, 0, "SECTION");
    group(out, 2, "HEADER");
    group(out, 9, "$ACADVER");
    group(out, 1, "AC1009");
    group(out, 9, "$INSUNITS");
    let code = match unit {
        Unit::Inch => "1",
        Unit::Foot => "2",
        Unit::Millimetre => "4",
        Unit::Centimetre => "5",
        Unit::Metre => "6",
    };
    group(out, 70, code);
    group(out, 0, "ENDSEC");
}

fn polyline(out: &mut String, curves: &[Curve], place: impl Fn(SectionPoint) -> (f64, f64)) {
    group(out, 0, "POLYLINE");
    group(out, 8, "SECTION");
    group(out, 66, "1");
    pair(out, (0.0, 0.0));
    number(out, 30, 0.0);
    group(out, 70, "1");
    for curve in curves {
        group(out, 0, "VERTEX");
        group(out, 8, "SECTION");
        pair(out, place(curve.from()));
        number(out, 30, 0.0);
        if let Curve::Arc { bulge, .. } = curve {
            number(out, 42, *bulge);
        }
    }
    group(out, 0, "SEQEND");
    group(out, 8, "SECTION");
}

fn text(out: &mut String, words: &str, at: (f64, f64), height: f64) {
    group(out, 0, "TEXT");
    group(out, 8, "WORDS");
    pair(out, at);
    number(out, 30, 0.0);
    number(out, 40, height);
    group(out, 1, words);
}

fn pair(out: &mut String, (x, y): (f64, f64)) {
    number(out, 10, x);
    number(out, 20, y);
}

fn number(out: &mut String, code: u32, value: f64) {
    // Ten places keep bulges and inches well under a micrometre. Writing to a
    // string cannot fail.
    let _ = write!(out, "{code}\n{value:.10}\n");
}

/// One group. Release 12 is plain ASCII, one line a value.
fn group(out: &mut String, code: u32, value: &str) {
    let plain: String = value
        .chars()
        .map(|c| if (' '..='~').contains(&c) { c } else { '?' })
        .take(250)
        .collect();
    let _ = write!(out, "{code}\n{plain}\n");
}
