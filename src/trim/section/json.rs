//! Sections as JSON, with a form version.
//!
//! Stored form: `{"form": 1, "unit": "in", "start": [u, v], "curves": […],
//! "back": "solid"}`. A curve runs from the end of the one before:
//! `{"line": [u, v]}`, `{"arc": [u, v], "bulge": b}`,
//! `{"conic": [u, v], "control": [u, v], "weight": w}`,
//! `{"cubic": [u, v], "first": [u, v], "second": [u, v]}`. The last one ends
//! at the start. A sprung back is `"sprung"` with `spring_degrees`.

use serde_json::{Value, json};

use crate::measure::{SpringAngle, Unit};
use crate::trim::Wrong;
use crate::trim::design::fields::{Degrees, Fields, number, place as numbers};
use crate::trim::design::read::UNITS;
use crate::trim::sheet::SectionPoint;

use super::curve::Curve;
use super::outline::{MAX_CURVES, Outline};
use super::plane::place;
use super::{Back, Section};

/// The form that is written; older ones are still read.
pub const FORM: u64 = 1;

const OUTLINE: [&str; 4] = ["form", "unit", "start", "curves"];

/// A section in its stored form, inches.
#[must_use]
pub fn section_value(section: &Section) -> Value {
    let mut value = outline_value(&section.outline);
    if let Some(map) = value.as_object_mut() {
        match section.back {
            Back::Solid => map.insert("back".to_owned(), json!("solid")),
            Back::Sprung(spring) => {
                map.insert("back".to_owned(), json!("sprung"));
                map.insert("spring_degrees".to_owned(), json!(spring.degrees()))
            }
        };
    }
    value
}

/// An outline in its stored form, inches.
#[must_use]
pub fn outline_value(outline: &Outline) -> Value {
    let start = outline
        .curves()
        .first()
        .map_or(place(0.0, 0.0), Curve::from);
    json!({
        "form": FORM,
        "unit": "in",
        "start": pair(start),
        "curves": outline.curves().iter().map(curve_value).collect::<Value>(),
    })
}

fn pair(p: SectionPoint) -> Value {
    json!([p.u, p.v])
}

fn curve_value(curve: &Curve) -> Value {
    match *curve {
        Curve::Line { to, .. } => json!({ "line": pair(to) }),
        Curve::Arc { to, bulge, .. } => json!({ "arc": pair(to), "bulge": bulge }),
        Curve::Conic {
            control,
            to,
            weight,
            ..
        } => json!({ "conic": pair(to), "control": pair(control), "weight": weight }),
        Curve::Cubic {
            first, second, to, ..
        } => json!({ "cubic": pair(to), "first": pair(first), "second": pair(second) }),
    }
}

/// Reads a section in its stored form standing at `at`. `unit` counts where
/// the section names none.
///
/// # Errors
/// Where the input is wrong, what is wrong, and what is allowed.
pub fn section(value: &Value, at: &str, unit: Unit) -> Result<Section, Wrong> {
    let known: Vec<&str> = OUTLINE
        .iter()
        .copied()
        .chain(["back", "spring_degrees"])
        .collect();
    let fields = Fields::new(value, at, &known)?;
    Ok(Section {
        outline: read_outline(&fields, unit)?,
        back: back(&fields)?,
    })
}

/// What the fields `back` and `spring_degrees` say; solid if left out.
pub(super) fn back(fields: &Fields<'_>) -> Result<Back, Wrong> {
    let spring = fields.maybe_degrees("spring_degrees", Degrees::Between(90.0))?;
    let sprung = match fields.get("back") {
        None => spring.is_some(),
        Some(_) => fields.word("back", &[("solid", false), ("sprung", true)])?,
    };
    match (sprung, spring) {
        (true, Some(spring)) => Ok(Back::Sprung(SpringAngle::from_degrees(spring))),
        (true, None) => Err(fields.wrong("spring_degrees", "is missing; a sprung back needs it")),
        (false, Some(_)) => Err(fields.wrong("spring_degrees", "a solid back has no spring angle")),
        (false, None) => Ok(Back::Solid),
    }
}

/// Reads an outline in its stored form standing at `at`.
///
/// # Errors
/// Where the input is wrong, what is wrong, and what is allowed.
pub fn outline(value: &Value, at: &str, unit: Unit) -> Result<Outline, Wrong> {
    read_outline(&Fields::new(value, at, &OUTLINE)?, unit)
}

fn read_outline(fields: &Fields<'_>, unit: Unit) -> Result<Outline, Wrong> {
    if let Some(form) = fields.get("form")
        && form.as_u64() != Some(FORM)
    {
        return Err(fields.wrong("form", format!("is {form}; this program reads form {FORM}")));
    }
    let unit = match fields.get("unit") {
        None => unit,
        Some(_) => fields.word("unit", &UNITS)?,
    };
    let start_at = fields.path("start");
    let start = point(fields.need("start")?, &start_at, unit)?;
    let list = fields.list("curves")?;
    if list.len() > MAX_CURVES {
        let what = format!(
            "has {} curves; at most {MAX_CURVES} are allowed",
            list.len()
        );
        return Err(fields.wrong("curves", what));
    }
    let mut from = start;
    let mut curves = Vec::with_capacity(list.len());
    for (i, value) in list.iter().enumerate() {
        let curve = curve(
            value,
            &format!("{}[{i}]", fields.path("curves")),
            from,
            unit,
        )?;
        from = curve.to();
        curves.push(curve);
    }
    Outline::new(curves).map_err(|error| fields.wrong("curves", error.to_string()))
}

fn curve(value: &Value, at: &str, from: SectionPoint, unit: Unit) -> Result<Curve, Wrong> {
    let known = [
        "line", "arc", "bulge", "conic", "control", "weight", "cubic", "first", "second",
    ];
    let fields = Fields::new(value, at, &known)?;
    let kinds = ["line", "arc", "conic", "cubic"];
    let mut named = kinds.into_iter().filter(|kind| fields.get(kind).is_some());
    let (Some(kind), None) = (named.next(), named.next()) else {
        return Err(Wrong::new(at, "needs one of line, arc, conic and cubic"));
    };
    let extra = match kind {
        "line" => &[][..],
        "arc" => &["bulge"][..],
        "conic" => &["control", "weight"][..],
        _ => &["first", "second"][..],
    };
    for key in known {
        if key != kind && fields.get(key).is_some() && !extra.contains(&key) {
            return Err(fields.wrong(key, format!("does not belong to a {kind}")));
        }
    }
    let place = |key: &str| point(fields.need(key)?, &fields.path(key), unit);
    let amount = |key: &str| number(fields.need(key)?, &fields.path(key));
    let to = place(kind)?;
    Ok(match kind {
        "line" => Curve::Line { from, to },
        "arc" => Curve::Arc {
            from,
            to,
            bulge: amount("bulge")?,
        },
        "conic" => Curve::Conic {
            from,
            control: place("control")?,
            to,
            weight: amount("weight")?,
        },
        _ => Curve::Cubic {
            from,
            first: place("first")?,
            second: place("second")?,
            to,
        },
    })
}

fn point(value: &Value, at: &str, unit: Unit) -> Result<SectionPoint, Wrong> {
    let [u, v] = numbers(value, at, unit)?;
    Ok(place(u * unit.inches(), v * unit.inches()))
}
