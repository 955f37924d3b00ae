//! One field of a head's form: its text to a value of the design's JSON, or
//! what is wrong with it and what is allowed.

use serde_json::{Map, Value};

use super::kinds::{Field, Input};
use super::typed::Typed;
use crate::measure::{Length, Unit, parse_number};

/// Longest text of a field with one line.
const LINE: usize = 200;
/// Longest text of a field with many lines.
const LINES: usize = 40_000;

/// One field's value; `None` where it is left out.
pub(super) fn read(
    typed: &Typed,
    name: &str,
    field: &Field,
    unit: Unit,
) -> Result<Option<Value>, String> {
    let text = typed.get(name).trim();
    let many = matches!(
        field.input,
        Input::Points(_)
            | Input::Directions
            | Input::Lengths
            | Input::Corners
            | Input::Path
            | Input::Shelf
    );
    if text.len() > if many { LINES } else { LINE } {
        return Err(format!(
            "Too long: at most {} characters.",
            if many { LINES } else { LINE }
        ));
    }
    if text.is_empty() {
        return if field.optional {
            Ok(None)
        } else {
            Err("Fill this in.".into())
        };
    }
    let value = match field.input {
        Input::Length => {
            Length::parse(text, unit).map_err(|e| sentence(&e))?;
            text.into()
        }
        Input::Degrees => number(text.trim_end_matches(['°', ' ']))?,
        Input::Count => text
            .parse::<u32>()
            .map(Value::from)
            .map_err(|_| "A whole number such as 7 is needed.".to_owned())?,
        Input::Pitch => pitch(text, typed.get(&format!("{name}.as")))?,
        Input::Choice(choices) => one_of(text, choices)?,
        Input::Points(each) => points(text, each, unit)?,
        Input::Directions => directions(text)?,
        Input::Lengths => lengths(text, unit)?,
        Input::Corners => corners(text)?,
        Input::Path => super::path_lines::path(text, unit)?,
        Input::Pair => pair(text, unit)?,
        Input::Name => text.into(),
        Input::Words(allowed) => words(text, allowed)?,
        Input::End => end(text)?,
        Input::Shelf => super::taken::typed(text)?,
    };
    Ok(Some(value))
}

fn sentence(error: &impl std::fmt::Display) -> String {
    let mut text = error.to_string();
    if !text.ends_with('.') {
        text.push('.');
    }
    text
}

/// A JSON number from a number as the trade writes it.
pub(super) fn number(text: &str) -> Result<Value, String> {
    let value = parse_number(text).map_err(|e| sentence(&e))?;
    serde_json::Number::from_f64(value)
        .map(Value::Number)
        .ok_or_else(|| format!("`{text}` is not a number."))
}

fn pitch(text: &str, written_as: &str) -> Result<Value, String> {
    let mut pitch = Map::new();
    if written_as == "degrees" {
        pitch.insert("degrees".into(), number(text.trim_end_matches(['°', ' ']))?);
    } else {
        pitch.insert("rise".into(), number(text)?);
        pitch.insert("run".into(), 12.into());
    }
    Ok(Value::Object(pitch))
}

fn one_of(text: &str, choices: &[(&str, &str)]) -> Result<Value, String> {
    choices
        .iter()
        .find(|(value, _)| *value == text)
        .map(|(value, _)| Value::from(*value))
        .ok_or_else(|| "Choose one from the list.".into())
}

/// One point a line, its lengths parted by commas.
fn points(text: &str, each: usize, unit: Unit) -> Result<Value, String> {
    let mut all = Vec::new();
    for (nth, line) in lines(text) {
        let parts: Vec<&str> = line.split([',', ';']).map(str::trim).collect();
        if parts.len() != each {
            return Err(format!(
                "Line {nth}: {each} lengths are needed, parted by commas; {} found.",
                parts.len()
            ));
        }
        let point: Result<Vec<Value>, String> =
            parts.iter().map(|part| coordinate(part, unit)).collect();
        all.push(Value::Array(point.map_err(|e| format!("Line {nth}: {e}"))?));
    }
    Ok(Value::Array(all))
}

/// Two lengths on one line.
fn pair(text: &str, unit: Unit) -> Result<Value, String> {
    match points(text, 2, unit)? {
        Value::Array(all) if all.len() == 1 => Ok(all.into_iter().next().unwrap_or_default()),
        _ => Err("Two lengths parted by a comma are needed: right, up.".into()),
    }
}

/// One length a line.
fn lengths(text: &str, unit: Unit) -> Result<Value, String> {
    let all: Result<Vec<Value>, String> = lines(text)
        .map(|(nth, line)| {
            Length::parse(line, unit)
                .map(|_| line.into())
                .map_err(|e| format!("Line {nth}: {}", sentence(&e)))
        })
        .collect();
    Ok(Value::Array(all?))
}

/// One plan corner a line.
fn corners(text: &str) -> Result<Value, String> {
    let corner = |(nth, line): (usize, &str)| {
        let (degrees, way) = match line.split_once([' ', ',']) {
            Some((degrees, way)) => (degrees, way.trim()),
            None => (line, "outside"),
        };
        if !matches!(way, "outside" | "inside") {
            return Err(format!(
                "Line {nth}: degrees, then outside or inside, as in “135 inside”."
            ));
        }
        let degrees =
            number(degrees.trim_end_matches('°')).map_err(|e| format!("Line {nth}: {e}"))?;
        Ok(serde_json::json!({"degrees": degrees, "way": way}))
    };
    let all: Result<Vec<Value>, String> = lines(text).map(corner).collect();
    Ok(Value::Array(all?))
}

/// A plain decimal stays the exact number; anything else stays as typed.
pub(super) fn coordinate(text: &str, unit: Unit) -> Result<Value, String> {
    let text = text.replace('\u{2212}', "-");
    Length::parse(&text, unit).map_err(|e| sentence(&e))?;
    match text
        .parse::<f64>()
        .ok()
        .and_then(serde_json::Number::from_f64)
    {
        Some(number) => Ok(Value::Number(number)),
        None => Ok(text.into()),
    }
}

pub(super) fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines()
        .enumerate()
        .map(|(at, line)| (at + 1, line.trim()))
        .filter(|(_, line)| !line.is_empty())
}

fn directions(text: &str) -> Result<Value, String> {
    let all: Result<Vec<Value>, String> = lines(text)
        .map(|(nth, line)| direction(line).map_err(|e| format!("Line {nth}: {e}")))
        .collect();
    Ok(Value::Array(all?))
}

fn direction(line: &str) -> Result<Value, String> {
    let numbers = match line.to_lowercase().as_str() {
        "out" => vec![Value::from(0.0), Value::from(0.0), Value::from(1.0)],
        "left" => vec![Value::from(-1.0), Value::from(0.0), Value::from(0.0)],
        "right" => vec![Value::from(1.0), Value::from(0.0), Value::from(0.0)],
        "up" => vec![Value::from(0.0), Value::from(1.0), Value::from(0.0)],
        "down" => vec![Value::from(0.0), Value::from(-1.0), Value::from(0.0)],
        _ => {
            let parts: Vec<&str> = line.split([',', ';']).map(str::trim).collect();
            if parts.len() != 3 {
                return Err(
                    "out, left, right, up, down, or three numbers parted by commas.".into(),
                );
            }
            parts
                .iter()
                .map(|part| exact_number(part))
                .collect::<Result<Vec<Value>, String>>()?
        }
    };
    Ok(Value::Array(numbers))
}

/// Directions keep every digit, as a joint closes only to 1e-6.
fn exact_number(text: &str) -> Result<Value, String> {
    text.replace('\u{2212}', "-")
        .parse::<f64>()
        .ok()
        .and_then(serde_json::Number::from_f64)
        .map(Value::Number)
        .ok_or_else(|| {
            format!(
                "`{}` is not a number.",
                text.chars().take(40).collect::<String>()
            )
        })
}

fn words(text: &str, allowed: &[&str]) -> Result<Value, String> {
    let mut all = Vec::new();
    for word in text
        .split([',', ' ', '\n'])
        .map(str::trim)
        .filter(|w| !w.is_empty())
    {
        if !allowed.contains(&word) {
            let word: String = word.chars().take(40).collect();
            return Err(format!("`{word}` is not one of {}.", allowed.join(", ")));
        }
        all.push(Value::from(word));
    }
    Ok(Value::Array(all))
}

fn end(text: &str) -> Result<Value, String> {
    if matches!(text, "square" | "plumb" | "level") {
        return Ok(text.into());
    }
    let plane = direction(text)
        .map_err(|_| "square, plumb, level, or three numbers parted by commas.".to_owned())?;
    let mut end = Map::new();
    end.insert("plane".into(), plane);
    Ok(Value::Object(end))
}
