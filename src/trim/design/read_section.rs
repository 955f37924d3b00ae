//! JSON → a drawn section: corners, or curves with the shelf's entry that
//! they were copied from.

use serde_json::Value;

use crate::measure::Unit;
use crate::trim::section::json;

use super::fields::{Fields, list, place, shown};
use super::{Curves, Section, Shelf, Wrong};

/// The section in the fields `section`, or `curves` with `shelf`; `None` if
/// there is neither.
pub(super) fn maybe(fields: &Fields<'_>, unit: Unit) -> Result<Option<Section>, Wrong> {
    let shelf = fields
        .get("shelf")
        .map(|v| shelf(v, &fields.path("shelf")))
        .transpose()?;
    match (fields.get("section"), fields.get("curves"), shelf) {
        (Some(_), Some(_), _) => {
            Err(fields.wrong("curves", "give either section or curves, not both"))
        }
        (_, None, Some(_)) => {
            Err(fields.wrong("shelf", "belongs to curves, which are missing here"))
        }
        (Some(corners_), None, None) => {
            let found = corners(corners_, &fields.path("section"), unit)?;
            Ok(Some(Section::Corners(found)))
        }
        (None, Some(curves), shelf) => {
            let outline = json::outline(curves, &fields.path("curves"), unit)?;
            Ok(Some(Section::Curves(Box::new(Curves { outline, shelf }))))
        }
        (None, None, None) => Ok(None),
    }
}

/// The same where a section is needed.
pub(super) fn needed(fields: &Fields<'_>, unit: Unit) -> Result<Section, Wrong> {
    match maybe(fields, unit)? {
        Some(section) => Ok(section),
        None => Err(fields.wrong("section", "is missing; it is needed here")),
    }
}

/// Corners of an outline.
fn corners(value: &Value, at: &str, unit: Unit) -> Result<Vec<[f64; 2]>, Wrong> {
    let corners = list(value, at)?;
    if corners.len() < 3 || corners.len() > 1000 {
        let what = format!("has {} corners; 3 to 1000 are allowed", corners.len());
        return Err(Wrong::new(at, what));
    }
    let corner = |(i, v)| place(v, &format!("{at}[{i}]"), unit);
    corners.iter().enumerate().map(corner).collect()
}

fn shelf(value: &Value, at: &str) -> Result<Shelf, Wrong> {
    let fields = Fields::new(value, at, &["id", "name", "version"])?;
    let count = |key: &str| {
        let value = fields.need(key)?;
        value.as_i64().filter(|n| *n > 0).ok_or_else(|| {
            let what = format!("is {}; a whole number from 1 is needed", shown(value));
            fields.wrong(key, what)
        })
    };
    Ok(Shelf {
        id: count("id")?,
        name: fields.text("name", 200)?.unwrap_or_default(),
        version: count("version")?,
    })
}
