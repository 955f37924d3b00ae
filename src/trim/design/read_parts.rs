//! JSON → mouldings below the crown, key, legs, bay and parts.

use serde_json::Value;

use crate::measure::{Length, Unit};

use super::fields::{Degrees, Fields, Least, list, place};
use super::read::{body_of, crown, part_head};
use super::{
    Apron, Band, Bay, BayEnds, Block, Key, LegSort, Legs, Meets, Part, PlanCorner, Sill, Wrong,
};

/// The most faces of a bay, and the most parts of an assembly.
const MOST: usize = 40;

/// The moulding in the field `key`: a crown with `below` beside its fields.
pub(super) fn band(fields: &Fields<'_>, key: &str, unit: Unit) -> Result<Option<Band>, Wrong> {
    let Some(value) = fields.get(key) else {
        return Ok(None);
    };
    let at = fields.path(key);
    let mut size = value.clone();
    let below = size
        .as_object_mut()
        .and_then(|map| map.remove("below"))
        .unwrap_or(Value::Null);
    let moulding = crown(&size, &at, unit)?;
    let below = serde_json::json!({ "below": below });
    let below = Fields::new(&below, &at, &["below"])?.in_unit(unit);
    Ok(Some(Band {
        below: below.length("below", Least::MoreThanNothing)?,
        moulding,
    }))
}

/// The block at the centre.
pub(super) fn key(fields: &Fields<'_>, unit: Unit) -> Result<Option<Key>, Wrong> {
    let Some(value) = fields.get("key") else {
        return Ok(None);
    };
    let known = [
        "width_top",
        "width_bottom",
        "height",
        "thickness",
        "projection",
        "above",
        "below",
        "mouldings",
    ];
    let key = Fields::new(value, &fields.path("key"), &known)?.in_unit(unit);
    let thickness = key.length("thickness", Least::MoreThanNothing)?;
    let projection = key.maybe_length("projection", Least::MoreThanNothing)?;
    if projection.is_some_and(|out| out > thickness) {
        let what = format!("is more than the thickness of {thickness}; at most that is allowed");
        return Err(key.wrong("projection", what));
    }
    let above = match (
        key.maybe_length("above", Least::Nothing)?,
        key.maybe_length("below", Least::Nothing)?,
    ) {
        (Some(_), Some(_)) => {
            let what = "is given beside above; give one of the two";
            return Err(key.wrong("below", what));
        }
        (Some(above), None) => above,
        (None, Some(below)) => Length::from_nanometres(-below.nanometres()),
        (None, None) => Length::ZERO,
    };
    Ok(Some(Key {
        width_top: key.length("width_top", Least::MoreThanNothing)?,
        width_bottom: key.length("width_bottom", Least::MoreThanNothing)?,
        height: key.length("height", Least::MoreThanNothing)?,
        thickness,
        projection,
        above,
        mouldings: match key.get("mouldings") {
            None => Meets::Break,
            Some(_) => key.word("mouldings", &MEETS)?,
        },
    }))
}

/// The contract's words for what mouldings do at the key.
pub(super) const MEETS: [(&str, Meets); 2] = [("break", Meets::Break), ("butt", Meets::Butt)];

/// The contract's words for legs.
pub(super) const SORTS: [(&str, LegSort); 2] =
    [("casing", LegSort::Casing), ("pilaster", LegSort::Pilaster)];

/// Casings or pilasters, and what goes with them.
pub(super) fn legs(fields: &Fields<'_>, unit: Unit) -> Result<Option<Legs>, Wrong> {
    let Some(value) = fields.get("legs") else {
        return Ok(None);
    };
    let known = [
        "sort",
        "width",
        "thickness",
        "opening",
        "reveal",
        "plinth",
        "cap_block",
        "sill",
        "apron",
    ];
    let legs = Fields::new(value, &fields.path("legs"), &known)?.in_unit(unit);
    let at = legs.path("opening");
    let opening = Fields::new(legs.need("opening")?, &at, &["width", "height"])?.in_unit(unit);
    Ok(Some(Legs {
        sort: match legs.get("sort") {
            None => LegSort::Casing,
            Some(_) => legs.word("sort", &SORTS)?,
        },
        width: legs.length("width", Least::MoreThanNothing)?,
        thickness: legs.length("thickness", Least::MoreThanNothing)?,
        opening_width: opening.length("width", Least::MoreThanNothing)?,
        opening_height: opening.length("height", Least::MoreThanNothing)?,
        reveal: none_is_nothing(&legs, "reveal")?,
        plinth: block(&legs, "plinth", unit)?,
        cap_block: block(&legs, "cap_block", unit)?,
        sill: sill(&legs, unit)?,
        apron: apron(&legs, unit)?,
    }))
}

fn none_is_nothing(fields: &Fields<'_>, key: &str) -> Result<Length, Wrong> {
    Ok(fields
        .maybe_length(key, Least::Nothing)?
        .unwrap_or(Length::ZERO))
}

fn block(legs: &Fields<'_>, key: &str, unit: Unit) -> Result<Option<Block>, Wrong> {
    let Some(value) = legs.get(key) else {
        return Ok(None);
    };
    let known = ["width", "height", "thickness"];
    let block = Fields::new(value, &legs.path(key), &known)?.in_unit(unit);
    Ok(Some(Block {
        width: block.length("width", Least::MoreThanNothing)?,
        height: block.length("height", Least::MoreThanNothing)?,
        thickness: block.length("thickness", Least::MoreThanNothing)?,
    }))
}

fn sill(legs: &Fields<'_>, unit: Unit) -> Result<Option<Sill>, Wrong> {
    let Some(value) = legs.get("sill") else {
        return Ok(None);
    };
    let known = ["thickness", "front", "into", "horn", "slope_degrees"];
    let sill = Fields::new(value, &legs.path("sill"), &known)?.in_unit(unit);
    Ok(Some(Sill {
        thickness: sill.length("thickness", Least::MoreThanNothing)?,
        front: sill.length("front", Least::MoreThanNothing)?,
        into: none_is_nothing(&sill, "into")?,
        horn: none_is_nothing(&sill, "horn")?,
        slope_degrees: sill
            .maybe_degrees("slope_degrees", Degrees::Below(45.0))?
            .unwrap_or(0.0),
    }))
}

fn apron(legs: &Fields<'_>, unit: Unit) -> Result<Option<Apron>, Wrong> {
    let Some(value) = legs.get("apron") else {
        return Ok(None);
    };
    let known = ["height", "thickness", "inset"];
    let apron = Fields::new(value, &legs.path("apron"), &known)?.in_unit(unit);
    Ok(Some(Apron {
        height: apron.length("height", Least::MoreThanNothing)?,
        thickness: apron.length("thickness", Least::MoreThanNothing)?,
        inset: none_is_nothing(&apron, "inset")?,
    }))
}

/// A level head whose front turns.
pub(super) fn bay(fields: &Fields<'_>, unit: Unit) -> Result<Bay, Wrong> {
    let faces = faces(fields, unit)?;
    let corners = corners(fields)?;
    if corners.len() + 1 != faces.len() {
        let what = format!(
            "has {} corners; one between each two of the {} faces is needed, here {}",
            corners.len(),
            faces.len(),
            faces.len() - 1
        );
        return Err(fields.wrong("corners", what));
    }
    let total = faces.iter().try_fold(Length::ZERO, |sum, face| {
        sum.checked_add(*face)
            .filter(|sum| *sum <= Length::DESIGN_MAX)
    });
    let total = total.ok_or_else(|| {
        let what = "are longer than 100 ft together; at most that is allowed";
        fields.wrong("faces", what)
    })?;
    Ok(Bay {
        body: body_of(fields, total, unit)?,
        faces,
        corners,
        ends: match fields.get("ends") {
            None => BayEnds::Return,
            Some(_) => fields.word("ends", &ENDS)?,
        },
    })
}

/// The contract's words for the ends of a bay.
pub(super) const ENDS: [(&str, BayEnds); 2] =
    [("return", BayEnds::Return), ("wall", BayEnds::Wall)];

fn faces(fields: &Fields<'_>, unit: Unit) -> Result<Vec<Length>, Wrong> {
    let values = fields.list("faces")?;
    if values.is_empty() || values.len() > MOST {
        let what = format!("has {} faces; 1 to {MOST} are allowed", values.len());
        return Err(fields.wrong("faces", what));
    }
    let face = |(i, value): (usize, &Value)| {
        let at = format!("{}[{i}]", fields.path("faces"));
        let length = super::fields::length(value, &at, unit)?;
        if length > Length::ZERO && length <= Length::DESIGN_MAX {
            Ok(length)
        } else {
            let what = format!("is {length}; more than 0 and at most 100 ft is allowed");
            Err(Wrong::new(at, what))
        }
    };
    values.iter().enumerate().map(face).collect()
}

fn corners(fields: &Fields<'_>) -> Result<Vec<PlanCorner>, Wrong> {
    let Some(value) = fields.get("corners") else {
        return Ok(Vec::new());
    };
    let corner = |(i, value): (usize, &Value)| {
        let at = format!("{}[{i}]", fields.path("corners"));
        let corner = Fields::new(value, &at, &["degrees", "way"])?;
        let degrees = corner.degrees("degrees", Degrees::Between(180.0))?;
        if !(30.0..=179.0).contains(&degrees) {
            let what = format!("is {degrees}°; 30 to 179 degrees between two faces is allowed");
            return Err(corner.wrong("degrees", what));
        }
        Ok(PlanCorner {
            degrees,
            outside: match corner.get("way") {
                None => true,
                Some(_) => corner.word("way", &[("outside", true), ("inside", false)])?,
            },
        })
    };
    let values = list(value, &fields.path("corners"))?;
    values.iter().enumerate().map(corner).collect()
}

/// The parts of an assembly.
pub(super) fn parts(fields: &Fields<'_>, unit: Unit) -> Result<Vec<Part>, Wrong> {
    let values = fields.list("parts")?;
    if values.is_empty() || values.len() > MOST {
        let what = format!("has {} parts; 1 to {MOST} are allowed", values.len());
        return Err(fields.wrong("parts", what));
    }
    let mut parts: Vec<Part> = Vec::with_capacity(values.len());
    for (i, value) in values.iter().enumerate() {
        let at = format!("{}[{i}]", fields.path("parts"));
        let part = part(value, &at, unit)?;
        if parts.iter().any(|other| other.name == part.name) {
            let what = format!(
                "`{}` is taken; every part needs a name of its own",
                part.name
            );
            return Err(Wrong::new(format!("{at}.name"), what));
        }
        parts.push(part);
    }
    Ok(parts)
}

fn part(value: &Value, at: &str, unit: Unit) -> Result<Part, Wrong> {
    let fields = Fields::new(value, at, &["name", "at", "head"])?.in_unit(unit);
    let name = fields.text("name", 40)?.unwrap_or_default();
    if name.trim().is_empty() {
        return Err(fields.wrong("name", "is missing; every part needs a name of its own"));
    }
    let (kind, legs) = part_head(fields.need("head")?, &fields.path("head"), unit)?;
    Ok(Part {
        name,
        at: match fields.get("at") {
            None => [0.0, 0.0],
            Some(value) => place(value, &fields.path("at"), unit)?,
        },
        kind,
        legs,
    })
}
