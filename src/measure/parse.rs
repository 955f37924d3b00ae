//! Reads lengths as the trade writes them, with whole-number arithmetic.

use super::length::{Length, Unit};

/// Why a text is not a length: the text and what is wrong with it, one line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{text}`: {what}")]
pub struct LengthError {
    text: String,
    what: String,
}

impl LengthError {
    pub(super) fn new(text: &str, what: impl Into<String>) -> Self {
        Self {
            text: excerpt(text),
            what: what.into(),
        }
    }
}

/// The start of a typed text, fit for one line of a message.
pub(super) fn excerpt(text: &str) -> String {
    const KEEP: usize = 40;
    let mut plain: String = text
        .chars()
        .take(KEEP)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if text.chars().nth(KEEP).is_some() {
        plain.push('…');
    }
    plain
}

/// A number of more than nothing or nothing as `top`/`bottom`, `bottom` > 0.
#[derive(Debug, Clone, Copy)]
struct Ratio {
    top: i128,
    bottom: i128,
}

impl Ratio {
    const fn whole(top: i128) -> Self {
        Self { top, bottom: 1 }
    }

    fn plus(self, other: Self) -> Option<Self> {
        let left = self.top.checked_mul(other.bottom)?;
        let right = other.top.checked_mul(self.bottom)?;
        Some(Self {
            top: left.checked_add(right)?,
            bottom: self.bottom.checked_mul(other.bottom)?,
        })
    }

    fn times(self, by: i128) -> Option<Self> {
        Some(Self {
            top: self.top.checked_mul(by)?,
            bottom: self.bottom,
        })
    }
}

/// `top`/`bottom` to the nearest whole number, ties to even; `bottom` > 0.
pub(super) fn nearest_even(top: i128, bottom: i128) -> i128 {
    let floor = top.div_euclid(bottom);
    let twice = top.rem_euclid(bottom) * 2;
    match twice.cmp(&bottom) {
        std::cmp::Ordering::Less => floor,
        std::cmp::Ordering::Greater => floor + 1,
        std::cmp::Ordering::Equal => floor + floor.rem_euclid(2),
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Token {
    Whole(i128),
    Decimal(i128, i128),
    Slash,
    Hyphen,
    Unit(Unit),
}

const NOT_A_LENGTH: &str =
    "is not a length; forms such as 9 13/16, 3' 4 1/2\", 40.5 or 1029 mm are allowed";
const TOO_LONG: &str = "has too many digits for a length";

/// See [`Length::parse`].
pub(super) fn length(text: &str, unit: Unit) -> Result<Length, LengthError> {
    let wrong = |what: &str| LengthError::new(text, what);
    // No length of the trade is this long; a bound keeps work small.
    if text.len() > 200 {
        return Err(wrong(TOO_LONG));
    }
    let (negative, tokens) = signed_tokens(text).map_err(|what| wrong(&what))?;
    let nanometres = quantity(&tokens, unit).map_err(wrong)?;
    let nanometres = nearest_even(nanometres.top, nanometres.bottom);
    match i64::try_from(nanometres) {
        Ok(size) if size <= Length::MAX.nanometres() => {
            Ok(Length::from_nanometres(if negative { -size } else { size }))
        }
        _ => Err(wrong("is too long; up to 1000 km is allowed")),
    }
}

/// Reads a bare number as the trade writes it, `6 1/2` or `6.5`, with no unit.
///
/// # Errors
/// If the text is not such a number.
#[expect(
    clippy::cast_precision_loss,
    reason = "a number typed by hand; the nearest float is meant"
)]
pub fn parse_number(text: &str) -> Result<f64, LengthError> {
    let wrong = |what: &str| LengthError::new(text, what);
    if text.len() > 200 {
        return Err(wrong(TOO_LONG));
    }
    let (negative, tokens) = signed_tokens(text).map_err(|what| wrong(&what))?;
    let (number, used) = mixed(&tokens).map_err(wrong)?;
    if used != tokens.len() {
        return Err(wrong(
            "is not a number; forms such as 7, 6 1/2 or 6.5 are allowed",
        ));
    }
    let size = number.top as f64 / number.bottom as f64;
    Ok(if negative { -size } else { size })
}

/// Nanometres of one quantity, or of feet and inches.
fn quantity(tokens: &[Token], unit: Unit) -> Result<Ratio, &'static str> {
    let (first, used) = mixed(tokens)?;
    let mut rest = tokens.get(used..).unwrap_or_default();
    let own = match rest.first() {
        Some(Token::Unit(own)) => {
            rest = rest.get(1..).unwrap_or_default();
            Some(*own)
        }
        _ => None,
    };
    let first = in_nanometres(first, own.unwrap_or(unit))?;
    if rest.is_empty() {
        return Ok(first);
    }
    if own != Some(Unit::Foot) {
        return Err(NOT_A_LENGTH);
    }
    if rest.first() == Some(&Token::Hyphen) {
        rest = rest.get(1..).unwrap_or_default();
    }
    let (second, used) = mixed(rest)?;
    match rest.get(used..).unwrap_or_default() {
        [] | [Token::Unit(Unit::Inch)] => {}
        _ => return Err("after feet come inches and nothing else"),
    }
    let second = in_nanometres(second, Unit::Inch)?;
    first.plus(second).ok_or(TOO_LONG)
}

fn in_nanometres(number: Ratio, unit: Unit) -> Result<Ratio, &'static str> {
    number.times(unit.nanometres().into()).ok_or(TOO_LONG)
}

/// A whole number, a decimal, a fraction, or a whole number and a fraction;
/// and how many tokens it takes.
fn mixed(tokens: &[Token]) -> Result<(Ratio, usize), &'static str> {
    match *tokens {
        [Token::Whole(top), Token::Slash, ref rest @ ..] => Ok((fraction(top, rest, false)?, 3)),
        [
            Token::Whole(whole),
            Token::Hyphen,
            Token::Whole(top),
            Token::Slash,
            ref rest @ ..,
        ] => {
            let part = fraction(top, rest, true)?;
            Ok((Ratio::whole(whole).plus(part).ok_or(TOO_LONG)?, 5))
        }
        [
            Token::Whole(whole),
            Token::Whole(top),
            Token::Slash,
            ref rest @ ..,
        ] => {
            let part = fraction(top, rest, true)?;
            Ok((Ratio::whole(whole).plus(part).ok_or(TOO_LONG)?, 4))
        }
        [Token::Decimal(..), Token::Slash, ..] | [Token::Decimal(..), _, Token::Slash, ..] => {
            Err("a fraction stands after a whole number and is made of whole numbers")
        }
        [Token::Whole(whole), ..] => Ok((Ratio::whole(whole), 1)),
        [Token::Decimal(top, bottom), ..] => Ok((Ratio { top, bottom }, 1)),
        [] => Err("nothing is typed; a length such as 9 13/16 or 250 mm is needed"),
        _ => Err(NOT_A_LENGTH),
    }
}

/// `top` over the first token; a `proper` one is less than 1.
fn fraction(top: i128, rest: &[Token], proper: bool) -> Result<Ratio, &'static str> {
    match rest.first() {
        Some(Token::Whole(0)) => Err("a fraction needs a bottom number of 1 or more"),
        Some(&Token::Whole(bottom)) if proper && top >= bottom => {
            Err("after a whole number the fraction must be less than 1")
        }
        Some(&Token::Whole(bottom)) => Ok(Ratio { top, bottom }),
        _ => Err("a fraction needs a whole bottom number of 1 or more"),
    }
}

/// The sign in front, and the rest as tokens.
fn signed_tokens(text: &str) -> Result<(bool, Vec<Token>), String> {
    let plain = plain_characters(text);
    let trimmed = plain.trim();
    let (negative, rest) = match trimmed.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, trimmed.strip_prefix('+').unwrap_or(trimmed)),
    };
    Ok((negative, tokens(rest)?))
}

/// Fraction glyphs, primes, dashes and odd spaces written plainly.
fn plain_characters(text: &str) -> String {
    let mut plain = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '\u{2044}' | '\u{2215}' => plain.push('/'),
            '\u{2033}' | '\u{201d}' | '\u{201c}' => plain.push('"'),
            '\u{2032}' | '\u{2019}' | '\u{2018}' => plain.push('\''),
            '\u{2212}' | '\u{2010}' | '\u{2011}' | '\u{2013}' => plain.push('-'),
            c if c.is_whitespace() => plain.push(' '),
            c => match glyph(c) {
                Some(fraction) => {
                    plain.push(' ');
                    plain.push_str(fraction);
                    plain.push(' ');
                }
                None => plain.push(c),
            },
        }
    }
    plain
}

/// The fraction that one character stands for.
fn glyph(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅓' => "1/3",
        '⅔' => "2/3",
        '⅕' => "1/5",
        '⅖' => "2/5",
        '⅗' => "3/5",
        '⅘' => "4/5",
        '⅙' => "1/6",
        '⅚' => "5/6",
        _ => return None,
    })
}

fn tokens(text: &str) -> Result<Vec<Token>, String> {
    let mut found = Vec::new();
    let mut rest = text.trim_start();
    while let Some(c) = rest.chars().next() {
        let (token, after) = match c {
            '0'..='9' | '.' => number(rest)?,
            '/' => (Token::Slash, &rest[1..]),
            '-' => (Token::Hyphen, &rest[1..]),
            '"' => (Token::Unit(Unit::Inch), &rest[1..]),
            '\'' => match rest.strip_prefix("''") {
                Some(after) => (Token::Unit(Unit::Inch), after),
                None => (Token::Unit(Unit::Foot), &rest[1..]),
            },
            _ => word(rest)?,
        };
        found.push(token);
        rest = after.trim_start();
    }
    Ok(found)
}

fn word(text: &str) -> Result<(Token, &str), String> {
    let end = text
        .find(|c: char| !c.is_alphabetic())
        .unwrap_or(text.len());
    let (word, after) = text.split_at(end);
    let unit = match word.to_lowercase().as_str() {
        "in" | "inch" | "inches" => Unit::Inch,
        "ft" | "foot" | "feet" => Unit::Foot,
        "mm" => Unit::Millimetre,
        "cm" => Unit::Centimetre,
        "m" => Unit::Metre,
        _ => return Err(NOT_A_LENGTH.to_owned()),
    };
    // `in.` and `ft.` are written too.
    Ok((Token::Unit(unit), after.strip_prefix('.').unwrap_or(after)))
}

fn number(text: &str) -> Result<(Token, &str), String> {
    let end = text
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(text.len());
    let (digits, after) = text.split_at(end);
    let (whole, part) = match digits.split_once('.') {
        None => (digits, None),
        Some((whole, part)) => (whole, Some(part)),
    };
    let part_digits = part.unwrap_or("0");
    if part_digits.contains('.') || (whole.is_empty() && part_digits.is_empty()) {
        return Err(NOT_A_LENGTH.to_owned());
    }
    // 15 whole digits and 15 decimals keep every product inside an i128.
    if whole.len() > 15 || part_digits.len() > 15 {
        return Err(TOO_LONG.to_owned());
    }
    let read = |digits: &str| match digits {
        "" => Ok(0),
        digits => digits.parse::<i128>().map_err(|_| NOT_A_LENGTH.to_owned()),
    };
    let whole = read(whole)?;
    let Some(part) = part else {
        return Ok((Token::Whole(whole), after));
    };
    let bottom = 10_i128.pow(u32::try_from(part.len()).unwrap_or(0));
    Ok((Token::Decimal(whole * bottom + read(part)?, bottom), after))
}
