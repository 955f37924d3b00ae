//! The contract's `as_built`: fields by name, lists along an arch or a run.

use serde_json::{Map, Value, json};

use crate::measure::Unit;
use crate::trim::design::fields::{Degrees, Fields, Least, list};
use crate::trim::design::{Kind, Wrong};

use super::{AsBuilt, Is, Spot};

/// The fields that a kind's `as_built` may have.
fn known(kind: &Kind) -> &'static [&'static str] {
    const FEET: &[&str] = &[
        "left_wing",
        "left_rake",
        "right_rake",
        "right_wing",
        "left_foot_degrees",
        "right_foot_degrees",
        "peak_degrees",
        "left_slope_degrees",
        "right_slope_degrees",
    ];
    match kind {
        Kind::Flat(_) => &["top"],
        Kind::Gable(_) => FEET,
        Kind::ClosedGable(_) => &[
            "level",
            "left_rake",
            "right_rake",
            "left_slope_degrees",
            "right_slope_degrees",
            "peak_degrees",
        ],
        Kind::BrokenGable(_) => &[
            "left_wing",
            "left_rake",
            "right_rake",
            "right_wing",
            "left_foot_degrees",
            "right_foot_degrees",
            "left_slope_degrees",
            "right_slope_degrees",
        ],
        Kind::Arched(_) => &["segments", "joints_degrees", "span", "rise"],
        _ => &["runs"],
    }
}

/// Reads `as_built` of a head of this kind. Which runs and how many legs there
/// are is not known yet: the solver refuses what the head does not have.
pub(in crate::trim) fn read(
    fields: &Fields<'_>,
    kind: &Kind,
    unit: Unit,
) -> Result<Option<AsBuilt>, Wrong> {
    let Some(value) = fields.get("as_built") else {
        return Ok(None);
    };
    let at = fields.path("as_built");
    let own = Fields::new(value, &at, known(kind))?.in_unit(unit);
    let mut built = AsBuilt::default();
    for key in known(kind) {
        let Some(value) = own.get(key) else { continue };
        match (*key, Spot::named(key)) {
            (_, Some(spot)) => one(&mut built, spot, &own, key, kind)?,
            ("segments", _) => many(&mut built, value, &own.path(key), unit, Spot::Segment)?,
            ("joints_degrees", _) => many(&mut built, value, &own.path(key), unit, Spot::Joint)?,
            _ => runs(&mut built, value, &own.path(key), unit)?,
        }
    }
    Ok(Some(built))
}

fn one(
    built: &mut AsBuilt,
    spot: Spot,
    fields: &Fields<'_>,
    key: &str,
    kind: &Kind,
) -> Result<(), Wrong> {
    if let Some(why) = refused(&spot, kind) {
        return Err(fields.wrong(key, why));
    }
    put(built, spot, fields, key)
}

/// A head has feet or slopes, not both.
fn refused(spot: &Spot, kind: &Kind) -> Option<&'static str> {
    let wings = match kind {
        Kind::Gable(gable) => gable.wing.nanometres() > 0,
        Kind::BrokenGable(broken) => broken.wing.nanometres() > 0,
        _ => false,
    };
    match spot {
        Spot::LeftFoot | Spot::RightFoot if !wings => {
            Some("a head with wing 0 has no foot; leave it out")
        }
        Spot::LeftWing | Spot::RightWing if !wings => {
            Some("a head with wing 0 has no wing; leave it out")
        }
        Spot::LeftSlope | Spot::RightSlope if wings => {
            Some("a head with wings is measured at its feet; leave it out")
        }
        _ => None,
    }
}

fn put(built: &mut AsBuilt, spot: Spot, fields: &Fields<'_>, key: &str) -> Result<(), Wrong> {
    if spot.is() == Is::Length {
        let length = fields.length(key, Least::MoreThanNothing)?;
        built.lengths.insert(spot, length);
    } else {
        let degrees = fields.degrees(key, Degrees::Between(80.0))?;
        built.degrees.insert(spot, degrees);
    }
    Ok(())
}

fn many(
    built: &mut AsBuilt,
    value: &Value,
    at: &str,
    unit: Unit,
    spot: impl Fn(usize) -> Spot,
) -> Result<(), Wrong> {
    for (nth, value) in list(value, at)?.iter().enumerate() {
        if value.is_null() {
            continue;
        }
        // One entry as an object of one field, so that it is read and
        // complained of like every other.
        let key = format!("{at}[{nth}]");
        let entry = json!({ &key: value });
        let fields = Fields::new(&entry, "", &[&key])?.in_unit(unit);
        put(built, spot(nth + 1), &fields, &key)?;
    }
    Ok(())
}

fn runs(built: &mut AsBuilt, value: &Value, at: &str, unit: Unit) -> Result<(), Wrong> {
    let Value::Object(map) = value else {
        return Err(Wrong::new(
            at,
            "is no object; {\"name of the run\": {…}} is needed",
        ));
    };
    for (name, value) in map.iter().filter(|(_, value)| !value.is_null()) {
        let short: String = name.chars().take(60).collect();
        let at = format!("{at}.{short}");
        let run = Fields::new(value, &at, &["legs", "corners_degrees"])?;
        type OfRun = fn(String, usize) -> Spot;
        let lists = [
            ("legs", Spot::Leg as OfRun),
            ("corners_degrees", Spot::Corner),
        ];
        for (key, spot) in lists {
            if let Some(value) = run.get(key) {
                many(built, value, &run.path(key), unit, |n| {
                    spot(name.clone(), n)
                })?;
            }
        }
    }
    Ok(())
}

/// As the contract writes it, every length exact.
fn to_json(built: &AsBuilt, unit: Unit) -> Value {
    let mut out = Map::new();
    for (spot, length) in &built.lengths {
        set(&mut out, spot, length.exact(unit).into());
    }
    for (spot, degrees) in &built.degrees {
        set(&mut out, spot, (*degrees).into());
    }
    Value::Object(out)
}

fn set(out: &mut Map<String, Value>, spot: &Spot, value: Value) {
    match spot {
        Spot::Segment(n) => place(out, "segments", *n, value),
        Spot::Joint(n) => place(out, "joints_degrees", *n, value),
        Spot::Leg(run, n) => in_run(out, run, |map| place(map, "legs", *n, value)),
        Spot::Corner(run, n) => in_run(out, run, |map| place(map, "corners_degrees", *n, value)),
        named => {
            out.insert(named.path(), value);
        }
    }
}

fn in_run(out: &mut Map<String, Value>, run: &str, put: impl FnOnce(&mut Map<String, Value>)) {
    let object = || Value::Object(Map::new());
    let runs = out.entry("runs").or_insert_with(object);
    if let Value::Object(runs) = runs
        && let Value::Object(own) = runs.entry(run).or_insert_with(object)
    {
        put(own);
    }
}

fn place(out: &mut Map<String, Value>, key: &str, nth: usize, value: Value) {
    let list = out.entry(key).or_insert_with(|| Value::Array(Vec::new()));
    if let Value::Array(list) = list {
        while list.len() < nth {
            list.push(Value::Null);
        }
        if let Some(slot) = nth.checked_sub(1).and_then(|n| list.get_mut(n)) {
            *slot = value;
        }
    }
}

impl AsBuilt {
    /// The contract's JSON, every length a text that gives the same length
    /// back.
    #[must_use]
    pub fn to_json(&self, unit: Unit) -> Value {
        to_json(self, unit)
    }

    /// Whether nothing was measured.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.lengths.is_empty() && self.degrees.is_empty()
    }
}
