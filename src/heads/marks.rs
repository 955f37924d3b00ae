//! A step's mark: a word, a shape and how far along it is, never colour
//! alone. The shape is drawn from the step's place in the firm's list, so a
//! step that the firm adds has one too.

use super::steps::{StepId, Steps};
use crate::web::Svg;

/// A step as lists and strips show it.
#[derive(Debug, Clone, Default)]
pub struct StepMark {
    /// The word.
    pub word: String,
    /// A ring filled as far as the head has come; barred when it is held.
    pub icon: Svg,
    /// It is held.
    pub held: bool,
}

/// The mark of a head at this step.
#[must_use]
pub fn step_mark(steps: &Steps, at: StepId, held: bool) -> StepMark {
    let many = steps.iter().count().saturating_sub(1).max(1);
    let place = steps.place(at).unwrap_or(0);
    let word = steps.get(at).map(|s| s.name.clone()).unwrap_or_default();
    StepMark {
        word,
        icon: Svg::drawn(ring(place, many, held)),
        held,
    }
}

/// A ring of 16 units with a sector filled clockwise from the top.
#[expect(clippy::cast_precision_loss, reason = "a firm has few steps")]
fn ring(place: usize, many: usize, held: bool) -> String {
    let share = place.min(many) as f64 / many as f64;
    let turn = share * std::f64::consts::TAU;
    let (x, y) = (8.0 + 5.0 * turn.sin(), 8.0 - 5.0 * turn.cos());
    let sector = if place == 0 {
        String::new()
    } else if place >= many {
        r#"<circle class="fill" cx="8" cy="8" r="5"/>"#.to_owned()
    } else {
        let large = i32::from(share > 0.5);
        format!(r#"<path class="fill" d="M8 8V3A5 5 0 {large} 1 {x:.2} {y:.2}Z"/>"#)
    };
    let bar = if held {
        r#"<path class="bar" d="M2 14L14 2"/>"#
    } else {
        ""
    };
    format!(
        r#"<svg class="step-ring" viewBox="0 0 16 16" aria-hidden="true" focusable="false"><circle class="rim" cx="8" cy="8" r="7"/>{sector}{bar}</svg>"#
    )
}

/// The same as one sign for a line of text: a circle filled by quarters, a
/// square when held.
#[must_use]
pub fn step_sign(steps: &Steps, at: StepId, held: bool) -> &'static str {
    let many = steps.iter().count().saturating_sub(1).max(1);
    let quarters = steps.place(at).unwrap_or(0) * 4 / many;
    match (held, quarters) {
        (true, _) => "■",
        (_, 0) => "○",
        (_, 1) => "◔",
        (_, 2) => "◑",
        (_, 3) => "◕",
        _ => "●",
    }
}
