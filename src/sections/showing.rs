//! A section in words and pictures for a page.

use crate::measure::Unit;
use crate::trim::draw::{self, Look, SvgOptions};
use crate::trim::section::{ARRIS_TURN, Back, Curve, Section};
use crate::trim::words::{degrees_text, millimetres, thirty_seconds};
use crate::web::{AppState, Svg};

/// How the firm writes lengths of a section.
pub(super) fn words(app: &AppState) -> fn(f64) -> String {
    match app.firm().unit {
        Unit::Millimetre | Unit::Centimetre | Unit::Metre => millimetres,
        Unit::Inch | Unit::Foot => thirty_seconds,
    }
}

/// Drawings for this width.
pub(super) fn look(app: &AppState, width_px: f64) -> Look {
    Look {
        width_px,
        length: words(app),
    }
}

/// A scene at its own size, where several stand at one scale.
pub(super) fn sized(scene: &draw::Scene) -> Svg {
    let sized = SvgOptions {
        sized: true,
        ..SvgOptions::default()
    };
    Svg::drawn(draw::svg(scene, &sized))
}

/// A scene as a page takes it.
pub(super) fn picture(scene: &draw::Scene) -> Svg {
    Svg::drawn(draw::svg(scene, &SvgOptions::default()))
}

/// One stretch of the outline, for the table.
#[derive(Debug, Clone)]
pub struct Stretch {
    /// Its number in the outline.
    pub nth: usize,
    /// Flat, arc, conic or curve, with its radius.
    pub what: String,
    /// How far it goes out.
    pub out: String,
    /// How far it goes up.
    pub up: String,
}

/// Every stretch of a section.
pub(super) fn stretches(section: &Section, words: fn(f64) -> String) -> Vec<Stretch> {
    let row = |(nth, curve): (usize, &Curve)| {
        let step = curve.to() - curve.from();
        let what = match curve {
            Curve::Line { .. } => "flat".to_owned(),
            Curve::Arc { .. } => {
                let radius = curve.circle().map_or_else(String::new, |(_, r)| words(r));
                format!("arc, radius {radius}")
            }
            Curve::Conic { weight, .. } if *weight < 0.999 => "part of an ellipse".to_owned(),
            Curve::Conic { weight, .. } if *weight > 1.001 => "part of a hyperbola".to_owned(),
            Curve::Conic { .. } => "part of a parabola".to_owned(),
            Curve::Cubic { .. } => "drawn curve".to_owned(),
        };
        Stretch {
            nth: nth + 1,
            what,
            out: signed(step.u, words),
            up: signed(step.v, words),
        }
    };
    section
        .outline
        .curves()
        .iter()
        .enumerate()
        .map(row)
        .collect()
}

/// A length with its sign; nothing stays 0.
pub(super) fn signed(inches: f64, words: fn(f64) -> String) -> String {
    let text = words(inches.abs());
    if inches < -1e-9 && text != words(0.0) {
        format!("\u{2212}{text}")
    } else {
        text
    }
}

/// A section's measures in words.
#[derive(Debug, Clone)]
pub struct Measures {
    /// Out from the wall.
    pub projection: String,
    /// Up the wall.
    pub height: String,
    /// Solid, or sprung with its angle.
    pub back: String,
    /// Square inches.
    pub area: String,
    /// How many arrises it has.
    pub arrises: usize,
}

/// The measures of a section.
pub(super) fn measures(section: &Section, words: fn(f64) -> String) -> Measures {
    let e = section.outline.extents();
    Measures {
        projection: words(e.width()),
        height: words(e.height()),
        back: match section.back {
            Back::Solid => "solid".to_owned(),
            Back::Sprung(spring) => format!("sprung at {}", degrees_text(spring.radians())),
        },
        area: format!("{:.2} sq in", section.outline.area()),
        arrises: section.outline.arrises(ARRIS_TURN).len(),
    }
}
