//! `headwright raked`: the input and output of the public contract.

use serde_json::{Value, json};

use crate::measure::Unit;
use crate::trim::Wrong;
use crate::trim::contract::finding;
use crate::trim::design::fields::{Degrees, Fields, list, place as numbers, shown};
use crate::trim::design::read::{UNITS, pitch};
use crate::trim::section::{Curve, Outline, place};
use crate::trim::sheet::{Finding, SectionPoint, Severity};

use super::{Form, RakeCorner, Raked, change, map_points, table};

/// What was asked: a section, which run it belongs to, and the corner.
#[derive(Debug, Clone, PartialEq)]
pub struct RakedInput {
    /// Points of the section in the order given, inches.
    pub points: Vec<SectionPoint>,
    /// The section as curves where it was given so.
    pub outline: Option<Outline>,
    /// Which run it belongs to.
    pub given: Form,
    /// The corner.
    pub corner: RakeCorner,
    /// The unit that it was typed in.
    pub unit: Unit,
}

/// The most points a section may have.
const MOST_POINTS: usize = 1000;

const KNOWN: [&str; 6] = [
    "unit",
    "section",
    "curves",
    "given",
    "pitch",
    "plan_corner_degrees",
];

/// Reads the text of a JSON document.
///
/// # Errors
/// Where the input is wrong, what is wrong, and what is allowed.
pub fn from_json_text(text: &str) -> Result<RakedInput, Wrong> {
    let value: Value = serde_json::from_str(text)
        .map_err(|error| Wrong::new("", format!("not a JSON document: {error}")))?;
    from_json(&value)
}

/// Reads parsed JSON.
///
/// # Errors
/// Where the input is wrong, what is wrong, and what is allowed.
pub fn from_json(value: &Value) -> Result<RakedInput, Wrong> {
    let fields = Fields::new(value, "", &KNOWN)?;
    let unit = fields.word("unit", &UNITS)?;
    let fields = fields.in_unit(unit);
    let given = fields.word("given", &[("return", Form::Return), ("rake", Form::Rake)])?;
    let pitch = pitch(&fields)?.radians();
    let plan_corner = plan_corner(&fields)?;
    let (points, outline) = match (fields.get("section"), fields.get("curves")) {
        (Some(section), None) => (points(section, unit.inches(), unit)?, None),
        (None, Some(curves)) => {
            let outline = crate::trim::section::json::outline(curves, "curves", unit)?;
            let points = outline.curves().iter().map(Curve::from).collect();
            (points, Some(outline))
        }
        (None, None) => return Err(fields.wrong("section", "is missing; it is needed here")),
        (Some(_), Some(_)) => {
            return Err(fields.wrong("curves", "give either section or curves, not both"));
        }
    };
    Ok(RakedInput {
        points,
        outline,
        given,
        corner: RakeCorner { pitch, plan_corner },
        unit,
    })
}

/// Degrees between the walls, a square corner if left out.
fn plan_corner(fields: &Fields<'_>) -> Result<f64, Wrong> {
    const KEY: &str = "plan_corner_degrees";
    let degrees = fields
        .maybe_degrees(KEY, Degrees::Between(360.0))?
        .unwrap_or(90.0);
    if (1.0..=359.0).contains(&degrees) {
        Ok(degrees.to_radians())
    } else {
        Err(fields.wrong(KEY, format!("is {degrees}°; 1 to 359 degrees is allowed")))
    }
}

fn points(value: &Value, inches: f64, unit: Unit) -> Result<Vec<SectionPoint>, Wrong> {
    let corners = list(value, "section")?;
    if corners.is_empty() || corners.len() > MOST_POINTS {
        let what = format!(
            "is {} of {} corners; 1 to {MOST_POINTS} are allowed",
            shown(value),
            corners.len()
        );
        return Err(Wrong::new("section", what));
    }
    let corner = |(i, v)| {
        let [u, v] = numbers(v, &format!("section[{i}]"), unit)?;
        Ok(place(u * inches, v * inches))
    };
    corners.iter().enumerate().map(corner).collect()
}

impl RakedInput {
    /// The curves of the section: as given, or straight from point to point
    /// and back to the first.
    #[must_use]
    pub fn curves(&self) -> Vec<Curve> {
        if let Some(outline) = &self.outline {
            return outline.curves().to_vec();
        }
        let next = self.points.iter().cycle().skip(1);
        let lines = self.points.iter().zip(next);
        lines
            .filter(|(from, to)| from != to)
            .map(|(from, to)| Curve::Line {
                from: *from,
                to: *to,
            })
            .collect()
    }

    /// The three sections as curves, `None` if the points go round no area.
    #[must_use]
    pub fn raked(&self) -> Option<Raked> {
        let outline = match &self.outline {
            Some(outline) => outline.clone(),
            None => Outline::polygon_of(&self.points).ok()?,
        };
        Some(Raked::new(&outline, self.given, self.corner))
    }

    /// Points of one of the three sections, in the order given, inches.
    #[must_use]
    pub fn points_of(&self, form: Form) -> Vec<SectionPoint> {
        map_points(&self.points, &self.corner.map(self.given, form))
    }

    /// What a person must know.
    #[must_use]
    pub fn findings(&self) -> Vec<Finding> {
        let rows = change::part_rows(&self.curves(), self.given, &self.corner);
        change::findings(&rows, self.given)
    }

    /// Whether it can be made: no finding is an error.
    #[must_use]
    pub fn ok(&self) -> bool {
        self.findings()
            .iter()
            .all(|finding| finding.severity != Severity::Error)
    }

    /// The contract's output, with the heights of every arris and the change
    /// of every part beside it.
    #[must_use]
    pub fn to_json(&self) -> Value {
        let points = |form| -> Value {
            let points = self.points_of(form);
            points
                .iter()
                .map(|p| json!([tidy(p.u), tidy(p.v)]))
                .collect()
        };
        let findings = self.findings();
        let mut out = json!({
            "ok": self.ok(),
            "findings": findings.iter().map(finding).collect::<Vec<_>>(),
            "return_in": points(Form::Return),
            "rake_in": points(Form::Rake),
            "upper_return_in": points(Form::UpperReturn),
            "arrises": self.arrises(),
            "parts": self.parts(),
        });
        if let (Some(_), Some(raked), Some(map)) =
            (&self.outline, self.raked(), out.as_object_mut())
        {
            for (key, form) in [
                ("return_curves", Form::Return),
                ("rake_curves", Form::Rake),
                ("upper_return_curves", Form::UpperReturn),
            ] {
                let curves = crate::trim::section::json::outline_value(raked.form(form));
                map.insert(key.to_owned(), curves);
            }
        }
        out
    }

    fn arrises(&self) -> Value {
        change::arris_rows(&self.points, self.given, &self.corner)
            .iter()
            .map(|row| {
                let [level, rake, upper] = row.heights.map(tidy);
                json!({
                    "u_in": tidy(row.u),
                    "return_in": level,
                    "rake_in": rake,
                    "upper_return_in": upper,
                    "peak_in": tidy(row.peak),
                })
            })
            .collect()
    }

    fn parts(&self) -> Value {
        change::part_rows(&self.curves(), self.given, &self.corner)
            .iter()
            .map(|row| {
                let [level, rake, upper] = row.up.map(tidy);
                json!({
                    "part": row.part + 1,
                    "shape": row.shape.words(),
                    "out_in": tidy(row.out),
                    "return_up_in": level,
                    "rake_up_in": rake,
                    "upper_return_up_in": upper,
                    "turns_over": row.turns_over.contains(&true),
                    "dips": row.dips.contains(&true),
                })
            })
            .collect()
    }

    /// The same for people.
    #[must_use]
    pub fn table(&self) -> String {
        table::table(self)
    }
}

/// What floating point leaves of nothing, as nothing.
fn tidy(x: f64) -> f64 {
    if x.abs() < 1e-12 { 0.0 } else { x }
}
