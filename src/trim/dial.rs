//! What to set on a saw whose scale is a little out.
//!
//! A test cut is set on the scale and measured on the wood. The difference
//! stays with the saw, for its side, until the next test cut: a blade that
//! cuts 0.2° less than its scale shows is set 0.2° more. A test cut at square
//! counts for both sides, since a scale that is out at square is out by the
//! same turn both ways. Trade practice, no source.
//!
//! Signs are those of a [`Setting`](super::sheet::Setting): swing positive to
//! the operator's right, tilt positive with the blade's top to the left.

/// What is turned: the saw about the upright, or the blade over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Axis {
    /// The saw about the upright.
    Swing,
    /// The blade over.
    Tilt,
}

/// To which side, for the operator: the handle for a swing, the blade's top
/// for a tilt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Hand {
    /// To the left.
    Left,
    /// To the right.
    Right,
}

/// What a test cut showed, degrees from square, both to the same side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// What was turned.
    pub axis: Axis,
    /// To which side.
    pub side: Hand,
    /// What the scale showed.
    pub set: f64,
    /// What the wood measured.
    pub measured: f64,
}

/// Angles nearer than this, degrees, count as square.
const SQUARE: f64 = 1e-6;

impl Reading {
    /// +1 on the side that counts positive, −1 on the other.
    const fn sign(&self) -> f64 {
        match (self.axis, self.side) {
            (Axis::Swing, Hand::Right) | (Axis::Tilt, Hand::Left) => 1.0,
            (Axis::Swing, Hand::Left) | (Axis::Tilt, Hand::Right) => -1.0,
        }
    }

    /// Whether it tells anything about a cut at `angle` degrees, signed.
    #[must_use]
    pub fn speaks_of(&self, axis: Axis, angle: f64) -> bool {
        let at_square = self.set.abs() <= SQUARE;
        self.axis == axis && (at_square || angle * self.sign() > SQUARE)
    }

    /// The cut's true angle less what the scale shows, degrees, signed.
    #[must_use]
    pub fn error(&self) -> f64 {
        self.sign() * (self.measured - self.set)
    }

    /// What the scale must show for a cut of `angle`, both degrees, signed.
    #[must_use]
    pub fn dial(&self, angle: f64) -> f64 {
        angle - self.error()
    }
}

/// The reading that counts for a cut of `angle` degrees, signed: the first of
/// `newest_first` that speaks of it.
///
/// ```
/// use headwright::trim::dial::{Axis, Hand, Reading, counts};
/// let test = Reading { axis: Axis::Swing, side: Hand::Right, set: 45.0, measured: 44.8 };
/// let found = counts([&test], Axis::Swing, 22.5).expect("a test cut to the right");
/// assert!((found.dial(22.5) - 22.7).abs() < 1e-9, "cuts less than it shows: set more");
/// assert!(counts([&test], Axis::Swing, -22.5).is_none(), "nothing is known of the left");
/// ```
pub fn counts<'a>(
    newest_first: impl IntoIterator<Item = &'a Reading>,
    axis: Axis,
    angle: f64,
) -> Option<&'a Reading> {
    let mut all = newest_first.into_iter();
    all.find(|reading| reading.speaks_of(axis, angle))
}
