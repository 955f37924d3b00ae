//! Small sums with lengths, and how a length is said in a sentence.

use crate::measure::{Length, Rounding, Unit};

/// `9 1/4 in`, or `1029 mm`.
#[must_use]
pub fn say(length: Length, unit: Unit) -> String {
    let text = length.exact(unit);
    if text.ends_with("mm") {
        text
    } else {
        format!("{text} in")
    }
}

/// A unit's name in a sentence.
#[must_use]
pub const fn unit_words(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Foot => "feet",
        Unit::Millimetre => "millimetres",
        Unit::Centimetre => "centimetres",
        Unit::Metre => "metres",
    }
}

/// A reckoned length to the nearest 1/32 in, or half millimetre.
#[must_use]
pub fn nearest(inches: f64, unit: Unit) -> Length {
    let (rounding, division) = if unit.is_metric() {
        (Rounding::HalfMillimetre, 500_000)
    } else {
        (Rounding::ThirtySecond, 793_750)
    };
    Length::from_nanometres(rounding.round(inches).count.saturating_mul(division))
}

/// The sum, never past the longest length.
#[must_use]
pub fn sum(lengths: &[Length]) -> Length {
    lengths
        .iter()
        .try_fold(Length::ZERO, |total, length| total.checked_add(*length))
        .unwrap_or(Length::MAX)
}

/// `a` less `b`.
#[must_use]
pub fn less(a: Length, b: Length) -> Length {
    Length::from_nanometres(a.nanometres().saturating_sub(b.nanometres()))
}

/// Its size without its sign.
#[must_use]
pub fn absolute(length: Length) -> Length {
    Length::from_nanometres(length.nanometres().saturating_abs())
}

/// `length` · `by` / `of`, inches; zero when `of` is nothing.
#[must_use]
pub fn scaled(length: Length, by: Length, of: Length) -> f64 {
    if of == Length::ZERO {
        0.0
    } else {
        length.inches() * by.inches() / of.inches()
    }
}

/// The longest of those measured.
#[must_use]
pub fn longest(lengths: &[Option<Length>]) -> Option<Length> {
    lengths.iter().flatten().copied().max()
}

/// The shortest of those measured.
#[must_use]
pub fn shortest(lengths: &[Option<Length>]) -> Option<Length> {
    lengths.iter().flatten().copied().min()
}

/// The mean of those measured, inches.
#[must_use]
pub fn mean(lengths: &[Option<Length>]) -> Option<f64> {
    let known: Vec<f64> = lengths
        .iter()
        .flatten()
        .map(|length| length.inches())
        .collect();
    let count = u32::try_from(known.len()).ok().filter(|n| *n > 0)?;
    Some(known.iter().sum::<f64>() / f64::from(count))
}
