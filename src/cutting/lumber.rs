//! Dressed sizes and board feet.
//!
//! Source of the sizes: American Softwood Lumber Standard PS 20 as tabulated
//! at a reference site (engineeringtoolbox.com, softwood-lumber-standard); the
//! table was seen, not the standard itself. They are least sizes, dry at 19 %
//! moisture or less; hardwood and some yards differ.

/// Nominal and dressed dry width in inches.
const WIDTHS: [(f64, f64); 13] = [
    (2.0, 1.5),
    (3.0, 2.5),
    (4.0, 3.5),
    (5.0, 4.5),
    (6.0, 5.5),
    (7.0, 6.5),
    (8.0, 7.25),
    (9.0, 8.25),
    (10.0, 9.25),
    (11.0, 10.25),
    (12.0, 11.25),
    (14.0, 13.25),
    (16.0, 15.25),
];

/// Nominal, dressed dry and dressed green thickness of boards in inches.
const THICKNESSES: [(f64, f64, f64); 8] = [
    (0.375, 0.3125, 0.34375),
    (0.5, 0.4375, 0.46875),
    (0.625, 0.5625, 0.59375),
    (0.75, 0.625, 0.6875),
    (1.0, 0.75, 0.78125),
    (1.25, 1.0, 1.03125),
    (1.5, 1.25, 1.28125),
    (2.0, 1.5, 1.5625),
];

/// Dressed dry width in inches of a nominal width in inches; none for a width
/// the standard does not list.
#[must_use]
pub fn dressed_width(nominal_in: f64) -> Option<f64> {
    WIDTHS
        .iter()
        .find(|(n, _)| (n - nominal_in).abs() < 1e-9)
        .map(|(_, d)| *d)
}

/// Dressed thickness of a board in inches, (dry, green), of a nominal
/// thickness in inches (5/4 is 1.25); none for one the standard does not list.
#[must_use]
pub fn dressed_thickness(nominal_in: f64) -> Option<(f64, f64)> {
    THICKNESSES
        .iter()
        .find(|(n, _, _)| (n - nominal_in).abs() < 1e-9)
        .map(|(_, dry, green)| (*dry, *green))
}

/// Board feet: nominal thickness (in) × nominal width (in) × length (ft) / 12.
/// A thickness under 1 in counts as 1 in (from memory). Sizes below nothing
/// give 0.
#[must_use]
pub fn board_feet(thickness_in: f64, width_in: f64, length_ft: f64) -> f64 {
    if thickness_in <= 0.0 || width_in <= 0.0 || length_ft <= 0.0 {
        return 0.0;
    }
    thickness_in.max(1.0) * width_in * length_ft / 12.0
}
