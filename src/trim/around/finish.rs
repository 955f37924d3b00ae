//! Primer and paint by surface.

/// How a coat is laid on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coating {
    /// Square feet that a gallon covers: the maker's figure for the surface.
    pub square_feet_a_gallon: f64,
    /// How many coats.
    pub coats: u32,
    /// Share lost in tray, brush and air, 0 to 1. Common practice, no source:
    /// about a tenth.
    pub lost: f64,
}

impl Default for Coating {
    /// 350 square feet a gallon, one coat, a tenth lost. Common practice, no
    /// source: the tin says better.
    fn default() -> Self {
        Self {
            square_feet_a_gallon: 350.0,
            coats: 1,
            lost: 0.1,
        }
    }
}

/// Square feet of `square_inches`.
#[must_use]
pub fn square_feet(square_inches: f64) -> f64 {
    square_inches / 144.0
}

/// Gallons for a surface in square inches; `None` if the coating cannot be:
/// no cover, or all of it lost.
#[must_use]
pub fn gallons(square_inches: f64, coating: &Coating) -> Option<f64> {
    let cover = coating.square_feet_a_gallon * (1.0 - coating.lost);
    let real = cover.is_finite() && cover > 0.0 && (0.0..1.0).contains(&coating.lost);
    real.then(|| square_feet(square_inches) * f64::from(coating.coats) / cover)
}
