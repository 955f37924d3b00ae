//! A saw: how far it goes, whose it is, and what test cuts showed.

use chrono::NaiveDate;

use crate::access::UserId;
use crate::db::Stamp;
use crate::measure::Length;
use crate::record_id;
use crate::trim::design::{self, SprungWay};
use crate::trim::dial::{self, Axis, Hand, Reading};

record_id! {
    /// Which saw.
    pub SawId
}

/// What is written down of a saw. Degrees from square, lengths of stock.
#[derive(Debug, Clone, PartialEq)]
pub struct SawFacts {
    /// What the crew calls it.
    pub name: String,
    /// Whose it is; `None`: everyone's.
    pub user: Option<UserId>,
    /// The crew, van or bench it belongs to, in words; may be empty.
    pub used_by: String,
    /// Farthest swing to the left, in degrees.
    pub swing_left: f64,
    /// Farthest swing to the right, in degrees.
    pub swing_right: f64,
    /// Farthest tilt to the left, in degrees; 0 if the blade does not lean so.
    pub tilt_left: f64,
    /// Farthest tilt to the right, in degrees; 0 if the blade does not lean so.
    pub tilt_right: f64,
    /// Tallest stock that stands at the fence.
    pub max_height: Length,
    /// Widest stock that lies on the bed.
    pub max_depth: Length,
    /// What the blade eats.
    pub kerf: Length,
    /// How sprung crown is held on it; `None`: as the head's design says.
    pub sprung: Option<SprungWay>,
}

impl SawFacts {
    /// The same as limits for the solver.
    #[must_use]
    pub const fn limits(&self) -> design::Saw {
        design::Saw {
            swing_left: Some(self.swing_left),
            swing_right: Some(self.swing_right),
            tilt_left: Some(self.tilt_left),
            tilt_right: Some(self.tilt_right),
            max_height: Some(self.max_height),
            max_depth: Some(self.max_depth),
            kerf: Some(self.kerf),
            sprung: self.sprung,
        }
    }
}

/// A saw as kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Saw {
    /// Which.
    pub id: SawId,
    /// What is written down of it.
    pub facts: SawFacts,
    /// The name of whoever uses it.
    pub user_name: Option<String>,
    /// Whether new sheets start with it.
    pub usual: bool,
    /// When it was put away.
    pub archived_at: Option<Stamp>,
    /// The record's version.
    pub version: i64,
}

/// A test cut as written down; never changed.
#[derive(Debug, Clone, PartialEq)]
pub struct TestCut {
    /// The day of the cut.
    pub day: NaiveDate,
    /// What was set and measured.
    pub reading: Reading,
    /// Anything else worth knowing.
    pub note: String,
    /// Who wrote it down.
    pub who: Option<String>,
}

/// The test cut that counts for a cut of `angle` degrees, signed as a
/// setting is.
#[must_use]
pub fn counting(newest_first: &[TestCut], axis: Axis, angle: f64) -> Option<&TestCut> {
    let counts = |cut: &&TestCut| dial::counts([&cut.reading], axis, angle).is_some();
    newest_first.iter().find(counts)
}

/// The code of an axis, as stored and as sent.
#[must_use]
pub const fn axis_code(axis: Axis) -> &'static str {
    match axis {
        Axis::Swing => "swing",
        Axis::Tilt => "tilt",
    }
}

/// An axis from its code.
#[must_use]
pub fn axis_from(code: &str) -> Option<Axis> {
    [Axis::Swing, Axis::Tilt]
        .into_iter()
        .find(|axis| axis_code(*axis) == code)
}

/// The code of a side.
#[must_use]
pub const fn hand_code(hand: Hand) -> &'static str {
    match hand {
        Hand::Left => "left",
        Hand::Right => "right",
    }
}

/// A side from its code.
#[must_use]
pub fn hand_from(code: &str) -> Option<Hand> {
    [Hand::Left, Hand::Right]
        .into_iter()
        .find(|hand| hand_code(*hand) == code)
}
