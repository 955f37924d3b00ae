//! Typed text into a saw or a test cut, and a saw back into typed text.

use chrono::NaiveDate;

use super::model::{SawFacts, TestCut, axis_from, hand_from};
use crate::access::UserId;
use crate::firm::forms::length;
use crate::measure::{Length, Unit};
use crate::trim::design::SprungWay;
use crate::trim::dial::Reading;
use crate::web::{Check, Errors, Fields};

const HALF_FOOT: Length = Length::from_nanometres(152_400_000);
const THREE_FEET: Length = Length::from_nanometres(914_400_000);
/// A scale may be out by so much before it is a slip of the pencil, degrees.
const FAR_OUT: f64 = 5.0;

/// Reads the form of a saw; `people` are those who may be named as its user.
///
/// # Errors
/// What is wrong, field by field.
pub fn saw(fields: &Fields, unit: Unit, people: &[UserId]) -> Result<SawFacts, Errors> {
    let mut check = Check::of(fields);
    let name = check.line("saw_name", 80);
    let user = check.optional("user", |text| {
        let id: Option<i64> = text.parse().ok();
        id.map(UserId::new)
            .filter(|id| people.contains(id))
            .ok_or("Choose one of the list.")
    });
    let used_by = check.optional_line("used_by", 120);
    let swing_left = check.number("swing_left", 0.0..=70.0);
    let swing_right = check.number("swing_right", 0.0..=70.0);
    let tilt_left = check.number("tilt_left", 0.0..=60.0);
    let tilt_right = check.number("tilt_right", 0.0..=60.0);
    let max_height = length(&mut check, "max_height", unit, THREE_FEET);
    let max_depth = length(&mut check, "max_depth", unit, THREE_FEET);
    let kerf = length(&mut check, "kerf", unit, HALF_FOOT);
    let sprung = check.optional("sprung", |word| {
        SprungWay::from_word(word).ok_or("Choose one of the list.")
    });
    let whole = (|| {
        Some(SawFacts {
            name,
            user,
            used_by,
            swing_left: swing_left?,
            swing_right: swing_right?,
            tilt_left: tilt_left?,
            tilt_right: tilt_right?,
            max_height: max_height?,
            max_depth: max_depth?,
            kerf: kerf?,
            sprung,
        })
    })();
    check.finish_some(whole)
}

/// A saw as its own form's fields.
#[must_use]
pub fn saw_fields(saw: &SawFacts, unit: Unit) -> Fields {
    Fields::default()
        .with("saw_name", &saw.name)
        .with_some("user", saw.user)
        .with("used_by", &saw.used_by)
        .with("swing_left", saw.swing_left)
        .with("swing_right", saw.swing_right)
        .with("tilt_left", saw.tilt_left)
        .with("tilt_right", saw.tilt_right)
        .with("max_height", saw.max_height.exact(unit))
        .with("max_depth", saw.max_depth.exact(unit))
        .with("kerf", saw.kerf.exact(unit))
        .with("sprung", saw.sprung.map_or("", SprungWay::word))
}

/// Reads the form of a test cut; its day is `today` at the latest.
///
/// # Errors
/// What is wrong, field by field.
pub fn test_cut(fields: &Fields, today: NaiveDate) -> Result<TestCut, Errors> {
    let mut check = Check::of(fields);
    let axis = check.one_of("axis", axis_from);
    let side = check.one_of("side", hand_from);
    let set = check.number("set", 0.0..=70.0);
    let measured = check.number("measured", 0.0..=75.0);
    let day = check.date("day");
    match day {
        None if !check.failed("day") => check.fail("day", "Choose the day of the test cut."),
        Some(day) if day > today => {
            check.fail(
                "day",
                format!("A test cut was made by today, {today}, at the latest."),
            );
        }
        _ => {}
    }
    let note = check.optional_line("note", 200);
    if let Some((set, measured)) = set.zip(measured)
        && (set - measured).abs() > FAR_OUT
    {
        check.fail(
            "measured",
            format!(
                "That is more than {FAR_OUT}° from what was set. Mend or set the saw first, or \
                 check which of the two angles was measured."
            ),
        );
    }
    let whole = (|| {
        Some(TestCut {
            day: day?,
            reading: Reading {
                axis: axis?,
                side: side?,
                set: set?,
                measured: measured?,
            },
            note,
            who: None,
        })
    })();
    check.finish_some(whole)
}
