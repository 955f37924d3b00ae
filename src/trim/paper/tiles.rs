//! Sizes of paper, and how a drawing is spread over sheets.

use crate::trim::draw::Scene;

/// Points in a unit of a scene: 96 units and 72 points an inch.
pub(super) const POINTS: f64 = 0.75;
/// Points in a millimetre.
pub(super) const MM: f64 = 72.0 / 25.4;

/// Left free all round, millimetres: what desk printers cannot reach.
pub const MARGIN_MM: f64 = 10.0;
/// What neighbouring sheets both show, millimetres.
pub const OVERLAP_MM: f64 = 10.0;
/// Strip at the foot with the check bars, millimetres.
pub(super) const FOOT_MM: f64 = 18.0;
/// The most sheets that one drawing is spread over.
pub(super) const MOST_SHEETS: u32 = 200;

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 8 1/2 × 11 in.
    Letter,
    /// 210 × 297 mm.
    A4,
}

impl Paper {
    /// Width and height upright, points.
    const fn points(self) -> (f64, f64) {
        match self {
            Self::Letter => (612.0, 792.0),
            Self::A4 => (210.0 * MM, 297.0 * MM),
        }
    }
}

/// How a drawing is spread over sheets. Points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tiles {
    /// Width of a sheet as it is turned.
    pub width: f64,
    /// Height of a sheet as it is turned.
    pub height: f64,
    /// Sheets side by side.
    pub across: u32,
    /// Sheets one above the other.
    pub down: u32,
}

impl Tiles {
    /// Upright or turned, whichever takes fewer sheets; upright if equal.
    /// At most 200 sheets are used; a larger drawing is cut off.
    #[must_use]
    pub fn new(scene: &Scene, paper: Paper) -> Self {
        let (short, long) = paper.points();
        let upright = Self::turned(scene, short, long);
        let turned = Self::turned(scene, long, short);
        if turned.count() < upright.count() {
            turned
        } else {
            upright
        }
    }

    fn turned(scene: &Scene, width: f64, height: f64) -> Self {
        let mut tiles = Self {
            width,
            height,
            across: 1,
            down: 1,
        };
        let (w, h) = tiles.area();
        let step = |area: f64| area - OVERLAP_MM * MM;
        tiles.across = 1 + steps(scene.width * POINTS - w, step(w));
        tiles.down = 1 + steps(scene.height * POINTS - h, step(h));
        while tiles.count() > MOST_SHEETS {
            tiles.across = (tiles.across / 2).max(1);
            tiles.down = (tiles.down / 2).max(1);
        }
        tiles
    }

    /// How many sheets.
    #[must_use]
    pub const fn count(&self) -> u32 {
        self.across.saturating_mul(self.down)
    }

    /// Width and height of what one sheet shows, points.
    pub(super) fn area(&self) -> (f64, f64) {
        (
            self.width - 2.0 * MARGIN_MM * MM,
            self.height - (2.0 * MARGIN_MM + FOOT_MM) * MM,
        )
    }

    /// From one sheet's left (or upper) edge to the next one's, points.
    pub(super) fn step(&self) -> (f64, f64) {
        let (w, h) = self.area();
        (w - OVERLAP_MM * MM, h - OVERLAP_MM * MM)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to a small whole number; NaN becomes 0"
)]
pub(super) fn steps(over: f64, step: f64) -> u32 {
    (over / step - 1e-9).ceil().clamp(0.0, 10_000.0) as u32
}
