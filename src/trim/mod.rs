//! The trim engine: a head's design becomes pieces, saw settings and a cut
//! sheet. Pure: no input or output, no clock.

pub mod around;
pub mod built;
pub mod change;
pub mod contract;
pub mod cures;
pub mod design;
pub mod dial;
pub mod draw;
pub mod joint;
pub mod kinds;
pub mod paper;
pub mod proportion;
pub mod raked;
pub mod scribe;
pub mod section;
pub mod sheet;
pub mod solve;
pub mod source;
pub mod space;
pub mod words;
mod wrong;

pub use design::Design;
pub use sheet::Sheet;
pub use solve::{Rules, solve};
pub use wrong::Wrong;
