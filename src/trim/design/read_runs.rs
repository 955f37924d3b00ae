//! JSON → the runs of a [`Design`](super::Design) of kind `runs`.

use serde_json::Value;

use crate::measure::{SpringAngle, Unit};

use super::fields::{Degrees, Fields, list, number, one_of, place, shown};
use super::read::HOLDS;
use super::read_section;
use super::{End, Hold, MAX_PIECES, Run, Wrong};

/// The general form: mouldings on polylines.
pub(super) fn runs(fields: &Fields<'_>, unit: Unit) -> Result<Vec<Run>, Wrong> {
    let values = fields.list("runs")?;
    if values.is_empty() {
        return Err(fields.wrong("runs", "is empty; at least one run is needed"));
    }
    if values.len() > MAX_PIECES {
        let what = format!(
            "has {} runs; at most {MAX_PIECES} pieces a head",
            values.len()
        );
        return Err(fields.wrong("runs", what));
    }
    let mut runs: Vec<Run> = Vec::with_capacity(values.len());
    let mut pieces = 0;
    for (i, value) in values.iter().enumerate() {
        let at = format!("{}[{i}]", fields.path("runs"));
        let run = run(value, &at, unit)?;
        if runs.iter().any(|other| other.name == run.name) {
            let what = format!("`{}` is taken; every run needs a name of its own", run.name);
            return Err(Wrong::new(format!("{at}.name"), what));
        }
        pieces += run.normals.len();
        if pieces > MAX_PIECES {
            let what = format!("more than {MAX_PIECES} pieces a head; split it into several heads");
            return Err(Wrong::new(format!("{at}.path"), what));
        }
        runs.push(run);
    }
    Ok(runs)
}

fn run(value: &Value, at: &str, unit: Unit) -> Result<Run, Wrong> {
    let known = [
        "name",
        "section",
        "curves",
        "shelf",
        "holds",
        "spring_degrees",
        "path",
        "normals",
        "start",
        "end",
        "start_meets",
        "end_meets",
    ];
    let fields = Fields::new(value, at, &known)?.in_unit(unit);
    let name = fields.text("name", 60)?.unwrap_or_default();
    if name.trim().is_empty() {
        return Err(fields.wrong("name", "is missing; every run needs a name of its own"));
    }
    let (path, normals) = path(&fields, unit)?;
    let holds = match fields.get("holds") {
        Some(value) => holds(value, &fields.path("holds"))?,
        None => Vec::new(),
    };
    let spring = fields.maybe_degrees("spring_degrees", Degrees::Between(90.0))?;
    let needs_spring = |hold: &Hold| hold.is_sprung();
    if spring.is_none() && holds.iter().any(needs_spring) {
        let what =
            "is missing; a moulding held sprung-flat needs the angle of its back to the wall";
        return Err(fields.wrong("spring_degrees", what));
    }
    Ok(Run {
        name,
        section: read_section::needed(&fields, unit)?,
        holds,
        spring: spring.map(SpringAngle::from_degrees),
        path,
        normals,
        start: end(&fields, "start")?,
        end: end(&fields, "end")?,
        meets: [
            fields.text("start_meets", 80)?,
            fields.text("end_meets", 80)?,
        ],
    })
}

fn holds(value: &Value, at: &str) -> Result<Vec<Hold>, Wrong> {
    let values = list(value, at)?;
    if values.is_empty() || values.len() > HOLDS.len() {
        let what = format!(
            "has {} holds; 1 to {} are allowed",
            values.len(),
            HOLDS.len()
        );
        return Err(Wrong::new(at, what));
    }
    let hold = |(i, v)| one_of(v, &format!("{at}[{i}]"), &HOLDS);
    values.iter().enumerate().map(hold).collect()
}

type Path = (Vec<[f64; 3]>, Vec<[f64; 3]>);

fn path(fields: &Fields<'_>, unit: Unit) -> Result<Path, Wrong> {
    let vertices = fields.list("path")?;
    if vertices.len() < 2 {
        let what = format!("has {} vertices; at least 2 are needed", vertices.len());
        return Err(fields.wrong("path", what));
    }
    if vertices.len() > MAX_PIECES + 1 {
        let what = format!(
            "makes {} pieces; at most {MAX_PIECES} a head are allowed",
            vertices.len() - 1
        );
        return Err(fields.wrong("path", what));
    }
    let normals = fields.list("normals")?;
    if normals.len() + 1 != vertices.len() {
        let what = format!(
            "has {} normals; one a leg is needed, here {}",
            normals.len(),
            vertices.len() - 1
        );
        return Err(fields.wrong("normals", what));
    }
    let vertex = |(i, v)| place(v, &format!("{}[{i}]", fields.path("path")), unit);
    let normal = |(i, v)| direction(v, &format!("{}[{i}]", fields.path("normals")));
    Ok((
        vertices
            .iter()
            .enumerate()
            .map(vertex)
            .collect::<Result<_, _>>()?,
        normals
            .iter()
            .enumerate()
            .map(normal)
            .collect::<Result<_, _>>()?,
    ))
}

/// Three numbers that are not all nothing.
fn direction(value: &Value, at: &str) -> Result<[f64; 3], Wrong> {
    let parts = list(value, at)?;
    let mut direction = [0.0; 3];
    if parts.len() != 3 {
        let what = format!("has {} numbers; 3 are needed", parts.len());
        return Err(Wrong::new(at, what));
    }
    for (slot, part) in direction.iter_mut().zip(parts) {
        *slot = number(part, at)?;
    }
    let size = direction
        .iter()
        .fold(0.0_f64, |most, part| most.max(part.abs()));
    if (1e-6..=1e6).contains(&size) {
        Ok(direction)
    } else {
        Err(Wrong::new(
            at,
            "is no direction; three numbers such as [0, 0, 1] are needed",
        ))
    }
}

fn end(fields: &Fields<'_>, key: &str) -> Result<End, Wrong> {
    let words = [
        ("square", End::Square),
        ("plumb", End::Plumb),
        ("level", End::Level),
    ];
    match fields.get(key) {
        None => Ok(End::Square),
        Some(value) if value.is_object() => {
            let at = fields.path(key);
            let plane = Fields::new(value, &at, &["plane"])?;
            Ok(End::Plane(direction(
                plane.need("plane")?,
                &plane.path("plane"),
            )?))
        }
        Some(value) if value.is_string() => one_of(value, &fields.path(key), &words),
        Some(value) => {
            let what = format!(
                "is {}; allowed: square, plumb, level or {{\"plane\": [x, y, z]}}",
                shown(value)
            );
            Err(fields.wrong(key, what))
        }
    }
}
