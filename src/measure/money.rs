//! Money as whole cents.

use std::fmt;

/// An amount of money: whole cents, may be negative (a credit).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(i64);

/// Why a text is not an amount, or why a sum is too large.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MoneyError {
    /// The text is not an amount.
    #[error("`{0}` is not an amount; dollars and cents such as 1,234.50 are allowed")]
    NotAnAmount(String),
    /// More than an `i64` of cents.
    #[error("the amount is too large to reckon with")]
    TooLarge,
}

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// An amount of whole cents.
    #[must_use]
    pub const fn from_cents(cents: i64) -> Self {
        Self(cents)
    }

    /// Whole cents.
    #[must_use]
    pub const fn cents(self) -> i64 {
        self.0
    }

    /// Reads `1234`, `1,234.5`, `$1,234.50`, `-12.00`.
    ///
    /// # Errors
    /// If the text is not such an amount, has more than two decimals, or is
    /// too large.
    pub fn parse(text: &str) -> Result<Self, MoneyError> {
        let wrong = || MoneyError::NotAnAmount(super::parse::excerpt(text));
        let plain = text.trim().replace('\u{2212}', "-");
        let (sign, rest) = match plain.strip_prefix('-') {
            Some(rest) => (-1, rest),
            None => (1, plain.as_str()),
        };
        let rest = rest.strip_prefix('$').unwrap_or(rest);
        let (whole, part) = rest.split_once('.').unwrap_or((rest, ""));
        let whole = without_commas(whole).ok_or_else(wrong)?;
        let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        if part.len() > 2 || !digits(part) || (rest.contains('.') && part.is_empty()) {
            return Err(wrong());
        }
        let cents = format!("{whole}{part:0<2}");
        let size: i64 = cents.parse().map_err(|_| MoneyError::TooLarge)?;
        Ok(Self(sign * size))
    }

    /// The sum.
    ///
    /// # Errors
    /// If it is too large.
    pub fn checked_add(self, other: Self) -> Result<Self, MoneyError> {
        let sum = self.0.checked_add(other.0);
        sum.map(Self).ok_or(MoneyError::TooLarge)
    }

    /// The difference.
    ///
    /// # Errors
    /// If it is too large.
    pub fn checked_sub(self, other: Self) -> Result<Self, MoneyError> {
        let rest = self.0.checked_sub(other.0);
        rest.map(Self).ok_or(MoneyError::TooLarge)
    }

    /// The product with a whole number.
    ///
    /// # Errors
    /// If it is too large.
    pub fn checked_mul(self, times: i64) -> Result<Self, MoneyError> {
        let product = self.0.checked_mul(times);
        product.map(Self).ok_or(MoneyError::TooLarge)
    }

    /// A share in basis points (1/100 %), to the nearest cent, ties to even.
    ///
    /// # Errors
    /// If it is too large.
    pub fn basis_points(self, points: i64) -> Result<Self, MoneyError> {
        let exact = i128::from(self.0) * i128::from(points);
        let cents = super::parse::nearest_even(exact, 10_000);
        i64::try_from(cents)
            .map(Self)
            .map_err(|_| MoneyError::TooLarge)
    }
}

/// The digits of a whole number whose commas, if any, stand between groups of
/// three; `None` if it is not one.
fn without_commas(whole: &str) -> Option<String> {
    let mut groups = whole.split(',');
    let first = groups.next()?;
    let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    let mut plain = first.to_owned();
    for group in groups {
        if group.len() != 3 || first.is_empty() || first.len() > 3 {
            return None;
        }
        plain.push_str(group);
    }
    (!plain.is_empty() && digits(&plain)).then_some(plain)
}

impl fmt::Display for Money {
    /// `1,234.50`, `-0.05`; no currency sign.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = self.0.unsigned_abs();
        let whole = (size / 100).to_string();
        let mut grouped = String::new();
        for (place, digit) in whole.chars().enumerate() {
            if place > 0 && (whole.len() - place).is_multiple_of(3) {
                grouped.push(',');
            }
            grouped.push(digit);
        }
        let sign = if self.0 < 0 { "-" } else { "" };
        write!(f, "{sign}{grouped}.{:02}", size % 100)
    }
}
