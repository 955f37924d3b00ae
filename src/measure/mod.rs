//! Lengths, angles and money, exact where the trade needs them exact.
//!
//! Lengths are whole nanometres, so that inches and millimetres are both
//! exact (1/64 in = 396,875 nm, 1 mm = 1,000,000 nm). Money is whole cents.
//! Angles are radians inside and degrees at the edges.

mod angle;
mod length;
mod money;
mod parse;
mod round;

pub use angle::{MitreAngle, Pitch, SawAngle, SpringAngle, Turn, degrees};
pub use length::{Length, Unit};
pub use money::{Money, MoneyError};
pub use parse::{LengthError, parse_number};
pub use round::{Remainder, Rounding, Text};
