//! Saws and test cuts in words.

use super::model::{Saw, TestCut};
use crate::measure::Unit;
use crate::trim::design::SprungWay;
use crate::trim::dial::{Axis, Hand};

/// How far it goes, in one line each.
pub fn reach(saw: &Saw, unit: Unit) -> [(&'static str, String); 5] {
    let facts = &saw.facts;
    let both = |left: f64, right: f64| match (left, right) {
        (l, r) if l == 0.0 && r == 0.0 => "none".to_owned(),
        (l, r) if l == r => format!("{l}° each way"),
        (l, 0.0) => format!("{l}° to the left only"),
        (0.0, r) => format!("{r}° to the right only"),
        (l, r) => format!("{l}° left, {r}° right"),
    };
    [
        ("Swing", both(facts.swing_left, facts.swing_right)),
        ("Tilt", both(facts.tilt_left, facts.tilt_right)),
        ("Tallest at the fence", facts.max_height.exact(unit)),
        ("Widest on the bed", facts.max_depth.exact(unit)),
        ("Kerf", facts.kerf.exact(unit)),
    ]
}

/// Who uses it.
pub fn who(saw: &Saw) -> String {
    match (&saw.user_name, saw.facts.used_by.as_str()) {
        (Some(name), "") => name.clone(),
        (Some(name), by) => format!("{name}, {by}"),
        (None, "") => "everyone".to_owned(),
        (None, by) => by.to_owned(),
    }
}

/// How sprung crown is held on it.
pub const fn sprung(saw: &Saw) -> &'static str {
    match saw.facts.sprung {
        None => "as the head’s design says",
        Some(SprungWay::Flat) => "on its back, compound cuts",
        Some(SprungWay::Nested) => "standing in its spring angle, plain swing",
    }
}

/// What was set: `swing right 45°`.
pub fn set(cut: &TestCut) -> String {
    let axis = match cut.reading.axis {
        Axis::Swing => "swing",
        Axis::Tilt => "tilt",
    };
    let side = match cut.reading.side {
        Hand::Left => "left",
        Hand::Right => "right",
    };
    if cut.reading.set == 0.0 {
        format!("{axis} at square")
    } else {
        format!("{axis} {side} {}°", cut.reading.set)
    }
}

/// What it means: `cuts 0.2° less than its scale shows`.
pub fn means(cut: &TestCut) -> String {
    let off = cut.reading.measured - cut.reading.set;
    match (off * 100.0).round() / 100.0 {
        0.0 => "true".to_owned(),
        off if off < 0.0 => format!("cuts {}° less than it shows", -off),
        off => format!("cuts {off}° more than it shows"),
    }
}

/// A day as a person says it: `12 Nov 2026`.
pub fn day(day: chrono::NaiveDate) -> String {
    day.format("%-d %b %Y").to_string()
}
