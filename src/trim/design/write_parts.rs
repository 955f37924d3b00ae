//! Mouldings below the crown, key, legs, bay and parts → JSON.

use serde_json::{Map, Value, json};

use crate::measure::{Length, Unit};

use super::read_parts::{ENDS, MEETS};
use super::write::{crown_json, present, put_head};
use super::{Band, Bay, Block, Key, Legs, Part};

fn word<T: PartialEq + Copy>(words: &[(&'static str, T)], of: T) -> &'static str {
    words
        .iter()
        .find(|(_, meaning)| *meaning == of)
        .map_or("", |(word, _)| word)
}

pub(super) fn band(band: &Band, unit: Unit) -> Value {
    let mut out = crown_json(&band.moulding, unit);
    out["below"] = band.below.exact(unit).into();
    out
}

pub(super) fn key(key: &Key, unit: Unit) -> Value {
    let length = |length: Length| Some(Value::from(length.exact(unit)));
    let down = Length::from_nanometres(-key.above.nanometres());
    present([
        ("width_top", length(key.width_top)),
        ("width_bottom", length(key.width_bottom)),
        ("height", length(key.height)),
        ("thickness", length(key.thickness)),
        ("projection", key.projection.and_then(length)),
        (
            "above",
            length(key.above).filter(|_| key.above > Length::ZERO),
        ),
        ("below", length(down).filter(|_| key.above < Length::ZERO)),
        ("mouldings", Some(word(&MEETS, key.mouldings).into())),
    ])
}

pub(super) fn legs(legs: &Legs, unit: Unit) -> Value {
    let length = |length: Length| Value::from(length.exact(unit));
    let block = |block: &Block| {
        json!({
            "width": length(block.width),
            "height": length(block.height),
            "thickness": length(block.thickness),
        })
    };
    present([
        ("sort", Some(legs.sort.word().into())),
        ("width", Some(length(legs.width))),
        ("thickness", Some(length(legs.thickness))),
        (
            "opening",
            Some(json!({
                "width": length(legs.opening_width),
                "height": length(legs.opening_height),
            })),
        ),
        ("reveal", Some(length(legs.reveal))),
        ("plinth", legs.plinth.as_ref().map(block)),
        ("cap_block", legs.cap_block.as_ref().map(block)),
        (
            "sill",
            legs.sill.as_ref().map(|sill| {
                json!({
                    "thickness": length(sill.thickness),
                    "front": length(sill.front),
                    "into": length(sill.into),
                    "horn": length(sill.horn),
                    "slope_degrees": sill.slope_degrees,
                })
            }),
        ),
        (
            "apron",
            legs.apron.as_ref().map(|apron| {
                json!({
                    "height": length(apron.height),
                    "thickness": length(apron.thickness),
                    "inset": length(apron.inset),
                })
            }),
        ),
    ])
}

pub(super) fn bay(put: &mut impl FnMut(&str, Value), bay: &Bay, unit: Unit) {
    let faces: Vec<String> = bay.faces.iter().map(|face| face.exact(unit)).collect();
    let corner = |corner: &super::PlanCorner| {
        let way = if corner.outside { "outside" } else { "inside" };
        json!({"degrees": corner.degrees, "way": way})
    };
    put("faces", faces.into());
    put("corners", bay.corners.iter().map(corner).collect());
    put("ends", word(&ENDS, bay.ends).into());
}

pub(super) fn parts(parts: &[Part], unit: Unit) -> Value {
    let part = |part: &Part| {
        let mut head = Map::new();
        put_head(&mut head, &part.kind, part.legs.as_ref(), unit);
        json!({"name": part.name, "at": part.at, "head": head})
    };
    parts.iter().map(part).collect()
}
