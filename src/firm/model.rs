//! The firm's settings and its saw.

use crate::measure::Length;
use crate::web::FirmBasics;

/// A saw: how far it goes. Degrees from square, lengths of stock it takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Saw {
    /// What the crew calls it.
    pub name: String,
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
}

/// The firm's settings as stored.
#[derive(Debug, Clone, PartialEq)]
pub struct Firm {
    /// What every page needs.
    pub basics: FirmBasics,
    /// The saw a new head starts with.
    pub saw: Saw,
    /// The record's version.
    pub version: i64,
}
