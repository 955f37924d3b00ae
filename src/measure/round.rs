//! Rounding for the sheet: one rule, nearest, ties to even, with *strong*
//! and *scant* for what is left.

use std::fmt::Write as _;

use super::length::Unit;

/// What a sheet's lengths are rounded to.
///
/// The rule is always the nearest division, ties to the even one (the rule of
/// NIST SP 811 B.7, from memory). Where the true length is more than a
/// quarter of a division over the mark the text says *strong*, where it is
/// more than a quarter under it says *scant*; millimetres say neither.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Rounding {
    /// Sixteenths of an inch.
    #[default]
    Sixteenth,
    /// Thirty-seconds of an inch.
    ThirtySecond,
    /// Half millimetres.
    HalfMillimetre,
}

/// What is left after rounding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Remainder {
    /// Within a quarter of a division of the mark.
    On,
    /// More than a quarter of a division over the mark.
    Strong,
    /// More than a quarter of a division under the mark.
    Scant,
}

/// A length rounded for a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Text {
    /// Whole divisions.
    pub count: i64,
    /// What is left.
    pub rest: Remainder,
    /// Which divisions.
    pub rounding: Rounding,
}

impl Rounding {
    /// The rounding a design in `unit` starts with.
    #[must_use]
    pub const fn for_unit(unit: Unit) -> Self {
        if unit.is_metric() {
            Self::HalfMillimetre
        } else {
            Self::Sixteenth
        }
    }

    /// Divisions in one inch.
    fn per_inch(self) -> f64 {
        match self {
            Self::Sixteenth => 16.0,
            Self::ThirtySecond => 32.0,
            Self::HalfMillimetre => 50.8,
        }
    }

    /// Rounds `inches`. A value that is not finite or past any length of the
    /// trade counts as the largest whole number.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a float cast saturates, which is what the text says"
    )]
    pub fn round(self, inches: f64) -> Text {
        let exact = inches * self.per_inch();
        // 1e-6 of a division, so that what floating point leaves of an exact
        // tie still counts as the tie.
        let tie = (exact * 2.0).round();
        let exact = if (exact * 2.0 - tie).abs() < 1e-6 {
            tie / 2.0
        } else {
            exact
        };
        let count = exact.round_ties_even();
        let rest = exact - count;
        let remainder = match self {
            Self::HalfMillimetre => Remainder::On,
            _ if rest > 0.25 => Remainder::Strong,
            _ if rest < -0.25 => Remainder::Scant,
            _ => Remainder::On,
        };
        Text {
            count: count as i64,
            rest: remainder,
            rounding: self,
        }
    }

    /// `inches` rounded and in words: `9 1/4`, `15 5/8 strong`, `397.5 mm`.
    #[must_use]
    pub fn text(self, inches: f64) -> String {
        self.round(inches).to_string()
    }

    /// As [`text`](Self::text), with the unit where a sentence needs it:
    /// `9 1/4 in`, `15 5/8 in strong`, `397.5 mm`.
    #[must_use]
    pub fn words(self, inches: f64) -> String {
        let text = self.text(inches);
        match (self, text.split_once(" s")) {
            (Self::HalfMillimetre, _) => text,
            (_, None) => text + " in",
            (_, Some((length, rest))) => format!("{length} in s{rest}"),
        }
    }
}

impl std::fmt::Display for Text {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.rounding {
            Rounding::Sixteenth => f.write_str(&mixed(self.count, 16))?,
            Rounding::ThirtySecond => f.write_str(&mixed(self.count, 32))?,
            Rounding::HalfMillimetre => {
                let sign = if self.count < 0 { "-" } else { "" };
                let half = if self.count % 2 == 0 { "" } else { ".5" };
                write!(f, "{sign}{}{half} mm", self.count.unsigned_abs() / 2)?;
            }
        }
        f.write_str(match self.rest {
            Remainder::On => "",
            Remainder::Strong => " strong",
            Remainder::Scant => " scant",
        })
    }
}

/// `count`/`parts` as a whole number and a fraction in lowest terms; `parts`
/// is a power of two.
pub(super) fn mixed(count: i64, parts: u64) -> String {
    let mut text = String::from(if count < 0 { "-" } else { "" });
    let size = count.unsigned_abs();
    let (whole, mut top, mut bottom) = (size / parts, size % parts, parts);
    while top != 0 && top % 2 == 0 {
        top /= 2;
        bottom /= 2;
    }
    // Writing to a String cannot fail.
    let _ = match (whole, top) {
        (whole, 0) => write!(text, "{whole}"),
        (0, top) => write!(text, "{top}/{bottom}"),
        (whole, top) => write!(text, "{whole} {top}/{bottom}"),
    };
    text
}
