//! Reads the fields of a JSON object, keeping the path for messages.

use serde_json::{Map, Value};

use crate::measure::{Length, Unit, parse_number};

use super::Wrong;

/// One JSON object and where it stands.
pub(in crate::trim) struct Fields<'a> {
    at: String,
    map: &'a Map<String, Value>,
    unit: Unit,
}

/// What a length may be.
#[derive(Clone, Copy)]
pub(in crate::trim) enum Least {
    /// More than 0.
    MoreThanNothing,
    /// 0 or more.
    Nothing,
}

/// A short form of a value for a message.
pub(in crate::trim) fn shown(value: &Value) -> String {
    const KEEP: usize = 40;
    let text = match value {
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
        Value::String(text) => format!("`{}`", text.chars().take(KEEP).collect::<String>()),
        other => format!("`{other}`"),
    };
    text.replace(|c: char| c.is_control(), " ")
}

impl<'a> Fields<'a> {
    /// The object `value` standing at `at`; refuses fields not in `known`.
    pub(in crate::trim) fn new(value: &'a Value, at: &str, known: &[&str]) -> Result<Self, Wrong> {
        let Value::Object(map) = value else {
            let what = format!("is {}; an object {{…}} is needed", shown(value));
            return Err(Wrong::new(
                if at.is_empty() { "the input" } else { at },
                what,
            ));
        };
        let fields = Self {
            at: at.to_owned(),
            map,
            unit: Unit::Inch,
        };
        for key in map.keys() {
            if !known.contains(&key.as_str()) {
                let key: String = key.chars().take(60).collect();
                let what = format!("there is no such field here; allowed: {}", known.join(", "));
                return Err(Wrong::new(fields.path(&key), what));
            }
        }
        Ok(fields)
    }

    /// The same with lengths typed in `unit`.
    pub(in crate::trim) fn in_unit(mut self, unit: Unit) -> Self {
        self.unit = unit;
        self
    }

    /// The path of the field `key`.
    pub(in crate::trim) fn path(&self, key: &str) -> String {
        if self.at.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.at)
        }
    }

    /// A complaint about the field `key`.
    pub(in crate::trim) fn wrong(&self, key: &str, what: impl Into<String>) -> Wrong {
        Wrong::new(self.path(key), what)
    }

    /// The field, `None` if it is missing or null.
    pub(in crate::trim) fn get(&self, key: &str) -> Option<&'a Value> {
        self.map.get(key).filter(|value| !value.is_null())
    }

    pub(in crate::trim) fn need(&self, key: &str) -> Result<&'a Value, Wrong> {
        self.get(key)
            .ok_or_else(|| self.wrong(key, "is missing; it is needed here"))
    }

    /// One of some words.
    pub(in crate::trim) fn word<T: Copy>(
        &self,
        key: &str,
        words: &[(&str, T)],
    ) -> Result<T, Wrong> {
        one_of(self.need(key)?, &self.path(key), words)
    }

    /// A text of at most `most` characters, no control characters.
    pub(in crate::trim) fn text(&self, key: &str, most: usize) -> Result<Option<String>, Wrong> {
        let Some(value) = self.get(key) else {
            return Ok(None);
        };
        let Value::String(text) = value else {
            return Err(self.wrong(key, format!("is {}; a text is needed", shown(value))));
        };
        if text.chars().nth(most).is_some() {
            let what = format!("is longer than {most} characters, the most that is allowed");
            return Err(self.wrong(key, what));
        }
        if text.chars().any(char::is_control) {
            return Err(self.wrong(key, "holds a control character; plain text is allowed"));
        }
        Ok(Some(text.clone()))
    }

    /// A length a design may have.
    pub(in crate::trim) fn length(&self, key: &str, least: Least) -> Result<Length, Wrong> {
        let length = length(self.need(key)?, &self.path(key), self.unit)?;
        let (fits, allowed) = match least {
            Least::MoreThanNothing => (length > Length::ZERO, "more than 0"),
            Least::Nothing => (length >= Length::ZERO, "0 or more"),
        };
        if fits && length <= Length::DESIGN_MAX {
            Ok(length)
        } else {
            let what = format!("is {length}; {allowed} and at most 100 ft is allowed");
            Err(self.wrong(key, what))
        }
    }

    pub(in crate::trim) fn maybe_length(
        &self,
        key: &str,
        least: Least,
    ) -> Result<Option<Length>, Wrong> {
        self.get(key).map(|_| self.length(key, least)).transpose()
    }

    /// Degrees between `above` (excluded, or included if `from` says so) and
    /// `below` (excluded).
    pub(in crate::trim) fn degrees(&self, key: &str, range: Degrees) -> Result<f64, Wrong> {
        let degrees = number(self.need(key)?, &self.path(key))?;
        if range.holds(degrees) {
            Ok(degrees)
        } else {
            Err(self.wrong(key, format!("is {degrees}°; {}", range.allowed())))
        }
    }

    pub(in crate::trim) fn maybe_degrees(
        &self,
        key: &str,
        range: Degrees,
    ) -> Result<Option<f64>, Wrong> {
        self.get(key).map(|_| self.degrees(key, range)).transpose()
    }

    /// A list and its path.
    pub(in crate::trim) fn list(&self, key: &str) -> Result<&'a [Value], Wrong> {
        list(self.need(key)?, &self.path(key))
    }
}

/// The least slope or spring: nothing finer can be set or measured.
const LEAST_DEGREES: f64 = 0.01;

/// A range of degrees.
#[derive(Clone, Copy)]
pub(in crate::trim) enum Degrees {
    /// At least [`LEAST_DEGREES`] and less than this.
    Between(f64),
    /// 0 or more and less than this.
    Below(f64),
    /// 0 or more and at most this.
    UpTo(f64),
}

impl Degrees {
    fn holds(self, degrees: f64) -> bool {
        match self {
            Self::Between(most) => degrees >= LEAST_DEGREES && degrees < most,
            Self::Below(most) => degrees >= 0.0 && degrees < most,
            Self::UpTo(most) => degrees >= 0.0 && degrees <= most,
        }
    }

    pub(in crate::trim) fn allowed(self) -> String {
        match self {
            Self::Between(most) => {
                format!("at least {LEAST_DEGREES} and less than {most} degrees is allowed")
            }
            Self::Below(most) => format!("0 or more and less than {most} degrees is allowed"),
            Self::UpTo(most) => format!("0 to {most} degrees is allowed"),
        }
    }
}

/// One of some words.
pub(in crate::trim) fn one_of<T: Copy>(
    value: &Value,
    at: &str,
    words: &[(&str, T)],
) -> Result<T, Wrong> {
    let found = words.iter().find(|(word, _)| value.as_str() == Some(word));
    found.map(|(_, meaning)| *meaning).ok_or_else(|| {
        let allowed: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        Wrong::new(
            at,
            format!("is {}; allowed: {}", shown(value), allowed.join(", ")),
        )
    })
}

/// A list.
pub(in crate::trim) fn list<'a>(value: &'a Value, at: &str) -> Result<&'a [Value], Wrong> {
    match value {
        Value::Array(list) => Ok(list),
        other => Err(Wrong::new(
            at,
            format!("is {}; a list is needed", shown(other)),
        )),
    }
}

/// A finite number.
pub(in crate::trim) fn number(value: &Value, at: &str) -> Result<f64, Wrong> {
    match value {
        Value::Number(number) => number.as_f64().filter(|n| n.is_finite()),
        Value::String(text) => {
            return parse_number(text).map_err(|error| Wrong::new(at, error.to_string()));
        }
        _ => None,
    }
    .ok_or_else(|| Wrong::new(at, format!("is {}; a number is needed", shown(value))))
}

/// A length: a number in `unit`, or a text whose own unit wins.
pub(in crate::trim) fn length(value: &Value, at: &str, unit: Unit) -> Result<Length, Wrong> {
    let found = match value {
        Value::String(text) => Length::parse(text, unit),
        Value::Number(number) => Length::from_f64(number.as_f64().unwrap_or(f64::NAN), unit),
        other => {
            let what = format!(
                "is {}; a length is needed, a number or a text such as \"9 13/16\"",
                shown(other)
            );
            return Err(Wrong::new(at, what));
        }
    };
    found.map_err(|error| Wrong::new(at, error.to_string()))
}

/// A coordinate as a number of `unit`, within 1000 ft of the origin.
fn coordinate(value: &Value, at: &str, unit: Unit) -> Result<f64, Wrong> {
    let number = match value {
        Value::Number(number) => number.as_f64().unwrap_or(f64::NAN),
        other => length(other, at, unit)?.in_unit(unit),
    };
    if (number * unit.inches()).abs() <= 12_000.0 {
        Ok(number)
    } else {
        let what = format!("is {number}; at most 1000 ft from the origin is allowed");
        Err(Wrong::new(at, what))
    }
}

/// N coordinates as numbers of `unit`.
pub(in crate::trim) fn place<const N: usize>(
    value: &Value,
    at: &str,
    unit: Unit,
) -> Result<[f64; N], Wrong> {
    let parts = list(value, at)?;
    if parts.len() != N {
        let what = format!("has {} numbers; {N} are needed", parts.len());
        return Err(Wrong::new(at, what));
    }
    let mut place = [0.0; N];
    for (slot, part) in place.iter_mut().zip(parts) {
        *slot = coordinate(part, at, unit)?;
    }
    Ok(place)
}
