//! [`Design`] → JSON, with every length exact.

use serde::{Serialize, Serializer};
use serde_json::{Map, Value, json};

use crate::measure::{Length, SpringAngle, Unit};
use crate::trim::section::json as section_json;

use super::read::{HOLDS, LOWER_ENDS};
use super::{
    Body, Build, Cap, Crown, Design, Drops, End, Foot, Hold, Kind, Legs, LowerEnd, Outline, Pitch,
    Run, Saw, Section, UpperEnd, write_parts,
};

impl Design {
    /// The design in the contract's JSON. Lengths are texts that give the
    /// same length back; a run's coordinates are numbers in the unit.
    #[must_use]
    pub fn to_json(&self) -> Value {
        let unit = self.unit;
        let mut out = Map::new();
        out.insert("unit".into(), unit.symbol().into());
        out.insert("name".into(), self.name.clone().into());
        put_head(&mut out, &self.kind, self.legs.as_ref(), unit);
        if let Some(saw) = &self.saw {
            out.insert("saw".into(), saw_json(saw, unit));
        }
        if let Some(built) = &self.as_built {
            out.insert("as_built".into(), built.to_json(unit));
        }
        Value::Object(out)
    }
}

impl Serialize for Design {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.to_json().serialize(serializer)
    }
}

/// A kind with its body, and its legs.
pub(super) fn put_head(out: &mut Map<String, Value>, kind: &Kind, legs: Option<&Legs>, unit: Unit) {
    out.insert("kind".into(), kind.word().into());
    if let Some(body) = kind.body() {
        // A bay's span is the sum of its faces.
        if !matches!(kind, Kind::Bay(_)) {
            out.insert("span".into(), body.span.exact(unit).into());
        }
        put_body(out, body, unit);
    }
    put_kind(out, kind, unit);
    if let Some(legs) = legs {
        out.insert("legs".into(), write_parts::legs(legs, unit));
    }
}

fn put_body(out: &mut Map<String, Value>, body: &Body, unit: Unit) {
    let board = json!({
        "thickness": body.board.thickness.exact(unit),
        "height": body.board.height.exact(unit),
    });
    out.insert("board".into(), board);
    if let Some(cap) = &body.cap {
        out.insert("cap".into(), cap_json(cap, unit));
    }
    if let Some(crown) = &body.crown {
        out.insert("crown".into(), crown_json(crown, unit));
    }
    for (key, band) in [("bed", &body.bed), ("neck", &body.neck)] {
        if let Some(band) = band {
            out.insert(key.into(), write_parts::band(band, unit));
        }
    }
    if let Some(key) = &body.key {
        out.insert("key".into(), write_parts::key(key, unit));
    }
}

fn put_kind(out: &mut Map<String, Value>, kind: &Kind, unit: Unit) {
    let mut put = |key: &str, value: Value| {
        out.insert(key.into(), value);
    };
    match kind {
        Kind::Flat(_) => {}
        Kind::Gable(gable) => {
            put("wing", gable.wing.exact(unit).into());
            put("pitch", pitch_json(gable.pitch));
            if let Some(drops) = &gable.drops {
                put("drops", drops_json(drops, unit));
            }
            put_lower(&mut put, gable.lower_end);
        }
        Kind::ClosedGable(closed) => {
            put("pitch", pitch_json(closed.pitch));
            let mut level = Map::new();
            if let Some(cap) = &closed.level_cap {
                level.insert("cap".into(), cap_json(cap, unit));
            }
            if let Some(crown) = &closed.level_crown {
                level.insert("crown".into(), crown_json(crown, unit));
            }
            put("level", Value::Object(level));
            let foot = match closed.foot {
                Foot::LevelCut => "level-cut",
                Foot::Return => "return",
            };
            put("foot", foot.into());
        }
        Kind::BrokenGable(broken) => {
            put("wing", broken.wing.exact(unit).into());
            put("pitch", pitch_json(broken.pitch));
            put("gap", broken.gap.exact(unit).into());
            let upper = match broken.upper_end {
                UpperEnd::Plumb => "plumb",
                UpperEnd::Return => "return",
            };
            put("upper_end", upper.into());
            put_lower(&mut put, broken.lower_end);
        }
        Kind::Arched(arched) => {
            put("rise", arched.rise.exact(unit).into());
            match arched.build {
                Build::Segments(n) => put("segments", n.into()),
                Build::Bent { kerf, depth } => put(
                    "bent",
                    json!({"kerf": kerf.exact(unit), "depth": depth.exact(unit)}),
                ),
            }
        }
        Kind::Bay(bay) => write_parts::bay(&mut put, bay, unit),
        Kind::Assembly(parts) => put("parts", write_parts::parts(parts, unit)),
        Kind::Runs(runs) => put("runs", runs.iter().map(run_json).collect()),
    }
}

fn put_lower(put: &mut impl FnMut(&str, Value), lower: LowerEnd) {
    let word = LOWER_ENDS.iter().find(|(_, end)| *end == lower);
    if let Some((word, _)) = word.filter(|_| lower != LowerEnd::Plumb) {
        put("lower_end", (*word).into());
    }
}

fn cap_json(cap: &Cap, unit: Unit) -> Value {
    json!({
        "thickness": cap.thickness.exact(unit),
        "front": cap.front.exact(unit),
        "overhang": cap.overhang.exact(unit),
    })
}

pub(super) fn crown_json(crown: &Crown, unit: Unit) -> Value {
    let mut out = match &crown.outline {
        Outline::Size { projection, height } => json!({
            "projection": projection.exact(unit),
            "height": height.exact(unit),
        }),
        Outline::Section(section) => {
            let mut out = json!({});
            put_section(&mut out, section);
            out
        }
    };
    out["back"] = if crown.sprung.is_some() {
        "sprung"
    } else {
        "solid"
    }
    .into();
    if let Some(spring) = crown.sprung {
        out["spring_degrees"] = typed_degrees(spring).into();
    }
    out
}

/// The fields of a drawn section.
fn put_section(out: &mut Value, section: &Section) {
    match section {
        Section::Corners(corners) => out["section"] = json!(corners),
        Section::Curves(curves) => {
            out["curves"] = section_json::outline_value(&curves.outline);
            if let Some(shelf) = &curves.shelf {
                out["shelf"] = json!({
                    "id": shelf.id, "name": shelf.name, "version": shelf.version
                });
            }
        }
    }
}

/// The degrees that were typed: those nearest, short ones first, that give
/// the same radians again.
fn typed_degrees(angle: SpringAngle) -> f64 {
    let near = angle.degrees();
    let short = (near * 1e9).round() / 1e9;
    [short, near, near.next_up(), near.next_down()]
        .into_iter()
        .find(|degrees| SpringAngle::from_degrees(*degrees) == angle)
        .unwrap_or(near)
}

fn pitch_json(pitch: Pitch) -> Value {
    match pitch {
        Pitch::Slope { rise, run } => json!({"rise": rise, "run": run}),
        Pitch::Degrees(degrees) => json!({ "degrees": degrees }),
    }
}

fn drops_json(drops: &Drops, unit: Unit) -> Value {
    json!({
        "width": drops.width.exact(unit),
        "thickness": drops.thickness.exact(unit),
        "inset": drops.inset.exact(unit),
        "length": drops.length.exact(unit),
        "point_degrees": drops.point_degrees,
    })
}

/// An object of those fields that have a value.
pub(super) fn present<const N: usize>(fields: [(&str, Option<Value>); N]) -> Value {
    let kept = fields
        .into_iter()
        .filter_map(|(key, value)| Some((key.to_owned(), value?)));
    Value::Object(kept.collect())
}

fn saw_json(saw: &Saw, unit: Unit) -> Value {
    let length = |length: Option<Length>| length.map(|l| Value::from(l.exact(unit)));
    present([
        ("swing_left", saw.swing_left.map(Value::from)),
        ("swing_right", saw.swing_right.map(Value::from)),
        ("tilt_left", saw.tilt_left.map(Value::from)),
        ("tilt_right", saw.tilt_right.map(Value::from)),
        ("max_height", length(saw.max_height)),
        ("max_depth", length(saw.max_depth)),
        ("kerf", length(saw.kerf)),
        ("sprung", saw.sprung.map(|way| Value::from(way.word()))),
    ])
}

fn run_json(run: &Run) -> Value {
    let mut out = json!({
        "name": run.name,
        "path": run.path,
        "normals": run.normals,
        "start": end_json(run.start),
        "end": end_json(run.end),
    });
    put_section(&mut out, &run.section);
    if !run.holds.is_empty() {
        out["holds"] = run.holds.iter().map(|hold| hold.word()).collect();
    }
    if let Some(spring) = run.spring {
        out["spring_degrees"] = typed_degrees(spring).into();
    }
    for (key, label) in ["start_meets", "end_meets"].iter().zip(&run.meets) {
        if let Some(label) = label {
            out[*key] = label.clone().into();
        }
    }
    out
}

fn end_json(end: End) -> Value {
    match end {
        End::Square => "square".into(),
        End::Plumb => "plumb".into(),
        End::Level => "level".into(),
        End::Plane(normal) => json!({ "plane": normal }),
    }
}

impl Hold {
    /// The contract's word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        HOLDS
            .iter()
            .find(|(_, hold)| *hold == self)
            .map_or("flat", |(word, _)| word)
    }
}
