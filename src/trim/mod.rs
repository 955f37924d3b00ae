//! The trim engine: a head's design becomes pieces, saw settings and a cut
//! sheet. Pure: no input or output, no clock.

pub mod draw;
pub mod sheet;
pub mod space;
pub mod words;
