//! A run's path as it is typed, one point a line: where the point stands, how
//! far it is from the last one, or at what angle and how far.

use serde_json::Value;

use super::reading::{coordinate, lines, number};
use crate::measure::{Length, Unit};

/// The path as the contract has it: three coordinates a point.
pub(super) fn path(text: &str, unit: Unit) -> Result<Value, String> {
    let mut all: Vec<Value> = Vec::new();
    for (nth, line) in lines(text) {
        let at = |words: String| format!("Line {nth}: {words}");
        let last = all.last().map(|last| place(last, unit));
        let point = match (step(line, unit).map_err(at)?, last) {
            (Step::To(point), _) => point,
            (Step::By(by), Some(last)) => moved(last, by),
            (Step::By(_), None) => {
                return Err(at(
                    "the first point says where it stands: right, up, out.".into()
                ));
            }
        };
        all.push(Value::Array(point));
    }
    Ok(Value::Array(all))
}

/// What one line says.
enum Step {
    To(Vec<Value>),
    By([f64; 3]),
}

fn step(line: &str, unit: Unit) -> Result<Step, String> {
    let line = line.replace('\u{2212}', "-");
    if let Some((angle, length)) = line.split_once('°') {
        let angle = number(angle.trim())?.as_f64().unwrap_or(0.0).to_radians();
        let length = length.trim().trim_start_matches(',').trim();
        let length = Length::parse(length, unit)
            .map_err(|e| format!("after the angle a length is needed, as in “30° 12”: {e}."))?
            .in_unit(unit);
        return Ok(Step::By([length * angle.cos(), length * angle.sin(), 0.0]));
    }
    let by = line.strip_prefix("by ").or_else(|| line.strip_prefix('+'));
    let parts: Vec<&str> = by
        .unwrap_or(&line)
        .split([',', ';'])
        .map(str::trim)
        .collect();
    if parts.len() != 3 {
        return Err(format!(
            "3 lengths are needed, parted by commas; {} found.",
            parts.len()
        ));
    }
    let point: Result<Vec<Value>, String> =
        parts.iter().map(|part| coordinate(part, unit)).collect();
    let point = point?;
    Ok(match by {
        Some(_) => Step::By(place(&Value::Array(point), unit)),
        None => Step::To(point),
    })
}

/// A point's numbers in the design's unit.
fn place(point: &Value, unit: Unit) -> [f64; 3] {
    let number = |nth: usize| match point.get(nth) {
        Some(Value::String(text)) => {
            Length::parse(text, unit).map_or(0.0, |length| length.in_unit(unit))
        }
        Some(other) => other.as_f64().unwrap_or(0.0),
        None => 0.0,
    };
    [number(0), number(1), number(2)]
}

fn moved(from: [f64; 3], by: [f64; 3]) -> Vec<Value> {
    let sums = from.iter().zip(by).map(|(a, b)| a + b);
    sums.map(|sum| Value::from(clean(sum))).collect()
}

/// What floating point leaves of nothing, as nothing.
fn clean(x: f64) -> f64 {
    if x.abs() < 1e-12 { 0.0 } else { x }
}
