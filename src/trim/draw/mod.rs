//! The drawings of a head, made from its solved sheet: the elevation, the
//! corners in plan, the board, the section, and one picture for each cut.
//! Pure; a [`Scene`] is written by [`svg`].

mod board;
mod cut;
mod cut_block;
mod cut_top;
mod cut_views;
mod dims;
mod edges;
mod elevation;
mod held;
mod moulding;
mod plan;
mod scene;
mod section;
mod shapes;
mod solid;
mod strip;
mod svg;

pub use board::board;
pub use cut::{CutLook, End, FarEnd, cut_picture};
pub use edges::edges;
pub use elevation::elevation;
pub use moulding::{Seen, moulding, ripped, small};
pub use plan::plan;
pub use scene::{Anchor, At, Ink, Mark, Scene, Shape, Text, View, at, text_width};
pub use section::section;
pub use strip::{Over, Standing, facade, strip};
pub use svg::{SvgOptions, svg};

/// How a length in inches is put in words.
pub type LengthWords = fn(f64) -> String;

/// For what width a drawing is made, and how lengths read on it.
#[derive(Debug, Clone, Copy)]
pub struct Look {
    /// Units across, CSS pixels at full size: 360 for a phone, 768 or 1100
    /// for a screen or a sheet of paper. Text is never under 16 units; a
    /// narrow drawing leaves out what is second in importance.
    pub width_px: f64,
    /// Lengths in words: see [`super::words`].
    pub length: LengthWords,
}

impl Look {
    /// A phone held upright.
    pub const PHONE: Self = Self::wide(360.0);
    /// A screen or a sheet of paper.
    pub const SHEET: Self = Self::wide(1100.0);

    /// Any width, lengths in sixteenths. Widths under 240 are taken as 240,
    /// over 4,000 as 4,000.
    #[must_use]
    pub const fn wide(width_px: f64) -> Self {
        Self {
            width_px,
            length: super::words::sixteenths,
        }
    }

    /// The width within its bounds.
    fn width(&self) -> f64 {
        if self.width_px.is_finite() {
            self.width_px.clamp(240.0, 4000.0)
        } else {
            360.0
        }
    }

    /// Whether second-rank dimensions and labels are left out.
    fn compact(&self) -> bool {
        self.width() < 560.0
    }
}

/// Size of ordinary words and numbers, units.
const SMALL: f64 = 16.0;

/// A name short enough for a drawing; what is cut off is marked.
fn short(name: &str, most: usize) -> String {
    if name.chars().count() <= most {
        return name.to_owned();
    }
    let mut text: String = name.chars().take(most.saturating_sub(1)).collect();
    text.push('…');
    text
}
