//! A length as whole nanometres, and the units it is typed in.

use std::fmt;

use super::parse::{self, LengthError};

/// A length: whole nanometres, exact in inches down to 1/64 and in
/// millimetres. Negative values are allowed here; a design says where it
/// needs more than nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

/// A unit of length. 1 in = 25.4 mm exactly (NIST SP 811 App. B, from
/// memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Unit {
    /// Inch.
    #[default]
    Inch,
    /// Foot, 12 in.
    Foot,
    /// Millimetre.
    Millimetre,
    /// Centimetre.
    Centimetre,
    /// Metre.
    Metre,
}

impl Unit {
    /// Nanometres in one of this unit.
    #[must_use]
    pub const fn nanometres(self) -> i64 {
        match self {
            Self::Inch => 25_400_000,
            Self::Foot => 304_800_000,
            Self::Millimetre => 1_000_000,
            Self::Centimetre => 10_000_000,
            Self::Metre => 1_000_000_000,
        }
    }

    /// Inches in one of this unit.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "a unit is far below 2^53 nanometres"
    )]
    pub fn inches(self) -> f64 {
        match self {
            Self::Inch => 1.0,
            other => other.nanometres() as f64 / 25_400_000.0,
        }
    }

    /// How the unit is written: `in`, `ft`, `mm`, `cm`, `m`.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Inch => "in",
            Self::Foot => "ft",
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
        }
    }

    /// The unit written as `symbol`, `None` if there is no such unit.
    #[must_use]
    pub fn from_symbol(symbol: &str) -> Option<Self> {
        [
            Self::Inch,
            Self::Foot,
            Self::Millimetre,
            Self::Centimetre,
            Self::Metre,
        ]
        .into_iter()
        .find(|unit| unit.symbol() == symbol)
    }

    /// Whether it is one of the metric units.
    #[must_use]
    pub const fn is_metric(self) -> bool {
        matches!(self, Self::Millimetre | Self::Centimetre | Self::Metre)
    }
}

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);
    /// The longest length of any kind: 1000 km. Far above what a design
    /// allows, far below where sums could overflow.
    pub const MAX: Self = Self(1_000_000_000_000_000);
    /// The longest length in a design: 100 ft.
    pub const DESIGN_MAX: Self = Self(100 * 304_800_000);

    /// A length of whole nanometres.
    #[must_use]
    pub const fn from_nanometres(nanometres: i64) -> Self {
        Self(nanometres)
    }

    /// Whole nanometres.
    #[must_use]
    pub const fn nanometres(self) -> i64 {
        self.0
    }

    /// `value` of `unit`, to the nearest nanometre, ties to even.
    ///
    /// # Errors
    /// If `value` is not finite or beyond [`Length::MAX`].
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_precision_loss,
        reason = "bounded by MAX before the cast; MAX is below 2^53"
    )]
    pub fn from_f64(value: f64, unit: Unit) -> Result<Self, LengthError> {
        let nanometres = (value * unit.nanometres() as f64).round_ties_even();
        if nanometres.is_finite() && nanometres.abs() <= Self::MAX.0 as f64 {
            Ok(Self(nanometres as i64))
        } else {
            Err(LengthError::new(
                &value.to_string(),
                "is not a length; a number up to a million metres is allowed",
            ))
        }
    }

    /// Reads the forms of the trade: `9 13/16`, `9-13/16"`, `3' 4 1/2"`,
    /// `40.5`, `1029 mm`, `102.9 cm`, `3 ft 4 in`, `9½`. A text without a
    /// unit is in `unit`; after feet it is inches. Exact, then to the nearest
    /// nanometre, ties to even.
    ///
    /// # Errors
    /// If the text is not such a length: what is wrong, in one line.
    pub fn parse(text: &str, unit: Unit) -> Result<Self, LengthError> {
        parse::length(text, unit)
    }

    /// Inches.
    #[must_use]
    pub fn inches(self) -> f64 {
        self.in_unit(Unit::Inch)
    }

    /// Millimetres.
    #[must_use]
    pub fn millimetres(self) -> f64 {
        self.in_unit(Unit::Millimetre)
    }

    /// How many of `unit`.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "lengths stay below 2^53 nanometres"
    )]
    pub fn in_unit(self, unit: Unit) -> f64 {
        self.0 as f64 / unit.nanometres() as f64
    }

    /// The sum, `None` past what an `i64` holds.
    #[must_use]
    pub fn checked_add(self, other: Self) -> Option<Self> {
        self.0.checked_add(other.0).map(Self)
    }

    /// The difference, `None` past what an `i64` holds.
    #[must_use]
    pub fn checked_sub(self, other: Self) -> Option<Self> {
        self.0.checked_sub(other.0).map(Self)
    }

    /// The product with a whole number, `None` past what an `i64` holds.
    #[must_use]
    pub fn checked_mul(self, times: i64) -> Option<Self> {
        self.0.checked_mul(times).map(Self)
    }

    /// Exact text without a unit mark where the length is a whole number of
    /// 64ths of an inch and `unit` is the inch, otherwise exact millimetres
    /// with their mark. [`Length::parse`] with the same `unit` gives the same
    /// length back.
    #[must_use]
    pub fn exact(self, unit: Unit) -> String {
        match unit {
            Unit::Inch if self.0 % NM_PER_64TH == 0 => sixty_fourths(self.0 / NM_PER_64TH),
            _ => format!("{} mm", exact_millimetres(self.0)),
        }
    }
}

/// Nanometres in 1/64 in.
const NM_PER_64TH: i64 = 396_875;

/// `n` sixty-fourths as a whole number and a fraction in lowest terms.
fn sixty_fourths(n: i64) -> String {
    super::round::mixed(n, 64)
}

/// Nanometres written as millimetres with as many decimals as needed.
fn exact_millimetres(nanometres: i64) -> String {
    let sign = if nanometres < 0 { "-" } else { "" };
    let size = nanometres.unsigned_abs();
    let (whole, part) = (size / 1_000_000, size % 1_000_000);
    let decimals = format!("{part:06}");
    let decimals = decimals.trim_end_matches('0');
    let point = if decimals.is_empty() { "" } else { "." };
    format!("{sign}{whole}{point}{decimals}")
}

impl fmt::Display for Length {
    /// Exact: inches with a mark where the length is a whole number of
    /// 64ths, otherwise millimetres.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0 % NM_PER_64TH == 0 {
            write!(f, "{}\"", sixty_fourths(self.0 / NM_PER_64TH))
        } else {
            write!(f, "{} mm", exact_millimetres(self.0))
        }
    }
}
