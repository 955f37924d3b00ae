//! JSON → [`Design`].

use serde::{Deserialize, Deserializer, de::Error as _};
use serde_json::Value;

use crate::measure::{SpringAngle, Unit};
use crate::trim::built;

use super::fields::{Degrees, Fields, Least, number, one_of};
use super::read_parts::{band, bay, key, legs, parts};
use super::read_runs::runs;
use super::read_section;

use super::{
    Arched, Backboard, Body, BrokenGable, Build, Cap, ClosedGable, Crown, Design, Drops, Foot,
    Gable, Hold, Kind, LowerEnd, MAX_PIECES, Outline, Pitch, Saw, SprungWay, UpperEnd, Wrong,
};

const COMMON: [&str; 5] = ["unit", "name", "kind", "saw", "as_built"];
/// What a part of an assembly has too.
const OF_ANY: [&str; 1] = ["legs"];
const BODY: [&str; 7] = ["span", "board", "cap", "crown", "bed", "neck", "key"];
/// A bay's span is the sum of its faces.
const BAY_BODY: [&str; 6] = ["board", "cap", "crown", "bed", "neck", "key"];

/// Units a design may be typed in.
pub(in crate::trim) const UNITS: [(&str, Unit); 5] = [
    ("in", Unit::Inch),
    ("ft", Unit::Foot),
    ("mm", Unit::Millimetre),
    ("cm", Unit::Centimetre),
    ("m", Unit::Metre),
];

/// The contract's words for lower ends.
pub(super) const LOWER_ENDS: [(&str, LowerEnd); 3] = [
    ("plumb", LowerEnd::Plumb),
    ("return", LowerEnd::Return),
    ("raked-return", LowerEnd::RakedReturn),
];

/// The contract's words for the holds.
pub(in crate::trim) const HOLDS: [(&str, Hold); 8] = [
    ("on-edge", Hold::OnEdge),
    ("upright", Hold::Upright),
    ("flat", Hold::Flat),
    ("inverted", Hold::Inverted),
    ("sprung-flat", Hold::SprungFlat),
    ("sprung-flat-turned", Hold::SprungFlatTurned),
    ("flat-turned", Hold::FlatTurned),
    ("sprung-nested", Hold::SprungNested),
];

/// How sprung crown is held at a saw.
const SPRUNG_WAYS: [(&str, SprungWay); 2] = [
    (SprungWay::Flat.word(), SprungWay::Flat),
    (SprungWay::Nested.word(), SprungWay::Nested),
];

#[derive(Clone, Copy)]
enum Word {
    Flat,
    Gable,
    ClosedGable,
    BrokenGable,
    Arched,
    Bay,
    Assembly,
    Runs,
}

const KINDS: [(&str, Word); 8] = [
    ("flat", Word::Flat),
    ("gable", Word::Gable),
    ("closed-gable", Word::ClosedGable),
    ("broken-gable", Word::BrokenGable),
    ("arched", Word::Arched),
    ("bay", Word::Bay),
    ("assembly", Word::Assembly),
    ("runs", Word::Runs),
];

impl Word {
    /// The fields that this kind has beside [`COMMON`] and [`OF_ANY`]: those
    /// of its body, and its own.
    const fn fields(self) -> (&'static [&'static str], &'static [&'static str]) {
        match self {
            Self::Flat => (&BODY, &[]),
            Self::Gable => (&BODY, &["wing", "pitch", "drops", "lower_end"]),
            Self::ClosedGable => (&BODY, &["pitch", "level", "foot"]),
            Self::BrokenGable => (&BODY, &["wing", "pitch", "gap", "upper_end", "lower_end"]),
            Self::Arched => (&BODY, &["rise", "segments", "bent"]),
            Self::Bay => (&BAY_BODY, &["faces", "corners", "ends"]),
            Self::Assembly => (&[], &["parts"]),
            Self::Runs => (&[], &["runs"]),
        }
    }
}

/// Reads a design from parsed JSON.
///
/// # Errors
/// Where the input is wrong, what is wrong, and what is allowed.
pub(in crate::trim) fn design(value: &Value) -> Result<Design, Wrong> {
    let kind = word(value, "")?;
    let fields = Fields::new(value, "", &known(kind, &COMMON))?;
    let unit = fields.word("unit", &UNITS)?;
    let fields = fields.in_unit(unit);
    let name = fields.text("name", 200)?.unwrap_or_default();
    let saw = fields.get("saw").map(|v| saw(v, unit)).transpose()?;
    let kind = of_kind(&fields, kind, unit)?;
    Ok(Design {
        unit,
        name,
        legs: legs(&fields, unit)?,
        as_built: built::read(&fields, &kind, unit)?,
        kind,
        saw,
    })
}

/// The kind of the head that stands at `at`.
fn word(value: &Value, at: &str) -> Result<Word, Wrong> {
    match value.get("kind") {
        Some(kind) => one_of(kind, &joined(at, "kind"), &KINDS),
        // Says that the input is no object, or that the kind is missing.
        None => Fields::new(value, at, &every_field())?.word("kind", &KINDS),
    }
}

fn joined(at: &str, key: &str) -> String {
    if at.is_empty() {
        key.to_owned()
    } else {
        format!("{at}.{key}")
    }
}

fn known(kind: Word, common: &[&'static str]) -> Vec<&'static str> {
    let (body, own) = kind.fields();
    [common, &OF_ANY, body, own].concat()
}

fn of_kind(fields: &Fields<'_>, kind: Word, unit: Unit) -> Result<Kind, Wrong> {
    Ok(match kind {
        Word::Flat => Kind::Flat(body(fields, unit)?),
        Word::Gable => Kind::Gable(gable(fields, unit)?),
        Word::ClosedGable => Kind::ClosedGable(closed_gable(fields, unit)?),
        Word::BrokenGable => Kind::BrokenGable(broken_gable(fields, unit)?),
        Word::Arched => Kind::Arched(arched(fields, unit)?),
        Word::Bay => Kind::Bay(bay(fields, unit)?),
        Word::Assembly => Kind::Assembly(parts(fields, unit)?),
        Word::Runs => Kind::Runs(runs(fields, unit)?),
    })
}

/// The head of a part: its unit, name and saw are those of the whole.
pub(super) fn part_head(
    value: &Value,
    at: &str,
    unit: Unit,
) -> Result<(Kind, Option<super::Legs>), Wrong> {
    let kind = word(value, at)?;
    if matches!(kind, Word::Assembly) {
        let what = "a part cannot itself be made of parts; put its parts beside the others";
        return Err(Wrong::new(joined(at, "kind"), what));
    }
    let fields = Fields::new(value, at, &known(kind, &["kind"]))?.in_unit(unit);
    Ok((of_kind(&fields, kind, unit)?, legs(&fields, unit)?))
}

fn every_field() -> Vec<&'static str> {
    let mut all = COMMON.to_vec();
    all.extend(OF_ANY);
    all.extend(BODY);
    for (_, kind) in KINDS {
        all.extend(kind.fields().1);
    }
    all
}

impl Design {
    /// Reads a design from parsed JSON.
    ///
    /// # Errors
    /// Where the input is wrong, what is wrong, and what is allowed.
    pub fn from_json(value: &Value) -> Result<Self, Wrong> {
        design(value)
    }

    /// Reads a design from the text of a JSON document.
    ///
    /// # Errors
    /// As [`Design::from_json`], and where the text is not JSON.
    pub fn from_json_text(text: &str) -> Result<Self, Wrong> {
        let value: Value = serde_json::from_str(text)
            .map_err(|error| Wrong::new("", format!("not a JSON document: {error}")))?;
        design(&value)
    }
}

impl<'de> Deserialize<'de> for Design {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let value = Value::deserialize(deserializer)?;
        design(&value).map_err(D::Error::custom)
    }
}

fn body(fields: &Fields<'_>, unit: Unit) -> Result<Body, Wrong> {
    let span = fields.length("span", Least::MoreThanNothing)?;
    body_of(fields, span, unit)
}

/// A body of this span.
pub(super) fn body_of(
    fields: &Fields<'_>,
    span: crate::measure::Length,
    unit: Unit,
) -> Result<Body, Wrong> {
    let at = fields.path("board");
    let board = Fields::new(fields.need("board")?, &at, &["thickness", "height"])?.in_unit(unit);
    Ok(Body {
        span,
        board: Backboard {
            thickness: board.length("thickness", Least::MoreThanNothing)?,
            height: board.length("height", Least::MoreThanNothing)?,
        },
        cap: fields
            .get("cap")
            .map(|v| cap(v, &fields.path("cap"), unit))
            .transpose()?,
        crown: fields
            .get("crown")
            .map(|v| crown(v, &fields.path("crown"), unit))
            .transpose()?,
        bed: band(fields, "bed", unit)?,
        neck: band(fields, "neck", unit)?,
        key: key(fields, unit)?,
    })
}

fn cap(value: &Value, at: &str, unit: Unit) -> Result<Cap, Wrong> {
    let fields = Fields::new(value, at, &["thickness", "front", "overhang"])?.in_unit(unit);
    Ok(Cap {
        thickness: fields.length("thickness", Least::MoreThanNothing)?,
        front: fields.length("front", Least::MoreThanNothing)?,
        overhang: fields.length("overhang", Least::Nothing)?,
    })
}

pub(super) fn crown(value: &Value, at: &str, unit: Unit) -> Result<Crown, Wrong> {
    let known = [
        "projection",
        "height",
        "section",
        "curves",
        "shelf",
        "back",
        "spring_degrees",
    ];
    let fields = Fields::new(value, at, &known)?.in_unit(unit);
    let sprung = match fields.get("back") {
        None => false,
        Some(_) => fields.word("back", &[("solid", false), ("sprung", true)])?,
    };
    let spring = fields.maybe_degrees("spring_degrees", Degrees::Between(90.0))?;
    let sprung = match (sprung, spring) {
        (true, Some(degrees)) => Some(SpringAngle::from_degrees(degrees)),
        (true, None) => {
            let what = "is missing; a sprung crown needs the angle between its back and the wall";
            return Err(fields.wrong("spring_degrees", what));
        }
        (false, None) => None,
        (false, Some(_)) => {
            let what = "belongs to a sprung crown; set \"back\" to \"sprung\" or leave it out";
            return Err(fields.wrong("spring_degrees", what));
        }
    };
    let outline = match read_section::maybe(&fields, unit)? {
        Some(section) => {
            // A projection or height beside it is the moulding's nominal
            // size, which is rarely its true one: it must be a length, the
            // section counts.
            for key in ["projection", "height"] {
                fields.maybe_length(key, Least::MoreThanNothing)?;
            }
            Outline::Section(section)
        }
        None => Outline::Size {
            projection: fields.length("projection", Least::MoreThanNothing)?,
            height: fields.length("height", Least::MoreThanNothing)?,
        },
    };
    Ok(Crown { outline, sprung })
}

/// How steep a rake is: the field `pitch`.
pub(in crate::trim) fn pitch(fields: &Fields<'_>) -> Result<Pitch, Wrong> {
    let value = fields.need("pitch")?;
    let slope = Fields::new(value, &fields.path("pitch"), &["rise", "run", "degrees"])?;
    let pitch = match (slope.get("degrees"), slope.get("rise").or(slope.get("run"))) {
        (Some(_), None) => Pitch::Degrees(slope.degrees("degrees", Degrees::Between(80.0))?),
        (None, Some(_)) => Pitch::Slope {
            rise: number(slope.need("rise")?, &slope.path("rise"))?,
            run: number(slope.need("run")?, &slope.path("run"))?,
        },
        _ => {
            let what = "give either degrees, or rise and run";
            return Err(fields.wrong("pitch", what));
        }
    };
    if let Pitch::Slope { rise, run } = pitch {
        let steep = pitch.radians().to_degrees();
        if !(rise > 0.0 && run > 0.0 && steep > 0.0 && steep < 80.0) {
            let what = format!(
                "is {rise} in {run}; rise and run must be more than 0, the slope under 80°"
            );
            return Err(fields.wrong("pitch", what));
        }
    }
    Ok(pitch)
}

fn gable(fields: &Fields<'_>, unit: Unit) -> Result<Gable, Wrong> {
    let body = body(fields, unit)?;
    let wing = fields.length("wing", Least::Nothing)?;
    if wing.nanometres() * 2 >= body.span.nanometres() {
        let what = format!(
            "is {wing}; it must be less than half the span of {}",
            body.span
        );
        return Err(fields.wrong("wing", what));
    }
    Ok(Gable {
        wing,
        pitch: pitch(fields)?,
        drops: fields
            .get("drops")
            .map(|v| drops(v, &fields.path("drops"), unit))
            .transpose()?,
        lower_end: lower_end(fields, wing)?,
        body,
    })
}

/// How the rakes of a head without wings end at the bottom.
fn lower_end(fields: &Fields<'_>, wing: crate::measure::Length) -> Result<LowerEnd, Wrong> {
    if fields.get("lower_end").is_none() {
        return Ok(LowerEnd::Plumb);
    }
    let lower = fields.word("lower_end", &LOWER_ENDS)?;
    if wing.nanometres() > 0 && lower != LowerEnd::Plumb {
        let what = "belongs to a head with wing 0; with wings the crown returns level";
        return Err(fields.wrong("lower_end", what));
    }
    Ok(lower)
}

fn drops(value: &Value, at: &str, unit: Unit) -> Result<Drops, Wrong> {
    let known = ["width", "thickness", "inset", "length", "point_degrees"];
    let fields = Fields::new(value, at, &known)?.in_unit(unit);
    let drops = Drops {
        width: fields.length("width", Least::MoreThanNothing)?,
        thickness: fields.length("thickness", Least::MoreThanNothing)?,
        inset: fields.length("inset", Least::Nothing)?,
        length: fields.length("length", Least::MoreThanNothing)?,
        point_degrees: fields
            .maybe_degrees("point_degrees", Degrees::Below(80.0))?
            .unwrap_or(0.0),
    };
    let point = drops.width.inches() / 2.0 * drops.point_degrees.to_radians().tan();
    if point > drops.length.inches() {
        let what = format!(
            "is {}; the point alone takes {point:.3} in, a longer drop or a flatter point is needed",
            drops.length
        );
        return Err(fields.wrong("length", what));
    }
    Ok(drops)
}

fn closed_gable(fields: &Fields<'_>, unit: Unit) -> Result<ClosedGable, Wrong> {
    let level = match fields.get("level") {
        Some(level) => Some(Fields::new(
            level,
            &fields.path("level"),
            &["cap", "crown"],
        )?),
        None => None,
    };
    let part = |key: &str| level.as_ref().and_then(|level| level.get(key));
    Ok(ClosedGable {
        body: body(fields, unit)?,
        pitch: pitch(fields)?,
        level_cap: part("cap")
            .map(|v| cap(v, &fields.path("level.cap"), unit))
            .transpose()?,
        level_crown: part("crown")
            .map(|v| crown(v, &fields.path("level.crown"), unit))
            .transpose()?,
        foot: fields.word(
            "foot",
            &[("level-cut", Foot::LevelCut), ("return", Foot::Return)],
        )?,
    })
}

fn broken_gable(fields: &Fields<'_>, unit: Unit) -> Result<BrokenGable, Wrong> {
    let body = body(fields, unit)?;
    let wing = fields.length("wing", Least::Nothing)?;
    let gap = fields.length("gap", Least::MoreThanNothing)?;
    if wing.nanometres() * 2 + gap.nanometres() >= body.span.nanometres() {
        let what = format!(
            "is {gap}; with two wings of {wing} it leaves no rake in a span of {}",
            body.span
        );
        return Err(fields.wrong("gap", what));
    }
    Ok(BrokenGable {
        body,
        wing,
        pitch: pitch(fields)?,
        gap,
        lower_end: lower_end(fields, wing)?,
        upper_end: fields.word(
            "upper_end",
            &[("plumb", UpperEnd::Plumb), ("return", UpperEnd::Return)],
        )?,
    })
}

fn arched(fields: &Fields<'_>, unit: Unit) -> Result<Arched, Wrong> {
    let build = match (fields.get("segments"), fields.get("bent")) {
        (Some(value), None) => Build::Segments(segments(value, &fields.path("segments"))?),
        (None, Some(value)) => {
            let at = fields.path("bent");
            let bent = Fields::new(value, &at, &["kerf", "depth"])?.in_unit(unit);
            Build::Bent {
                kerf: bent.length("kerf", Least::MoreThanNothing)?,
                depth: bent.length("depth", Least::MoreThanNothing)?,
            }
        }
        _ => {
            let what = "give either segments, a whole number, or bent, with kerf and depth";
            return Err(fields.wrong("segments", what));
        }
    };
    Ok(Arched {
        body: body(fields, unit)?,
        rise: fields.length("rise", Least::MoreThanNothing)?,
        build,
    })
}

fn segments(value: &Value, at: &str) -> Result<u32, Wrong> {
    let most = MAX_PIECES as u64;
    value
        .as_u64()
        .filter(|n| (1..=most).contains(n))
        .and_then(|n| u32::try_from(n).ok())
        .ok_or_else(|| {
            let what = format!(
                "is {}; a whole number from 1 to {most} is allowed",
                super::fields::shown(value)
            );
            Wrong::new(at, what)
        })
}

fn saw(value: &Value, unit: Unit) -> Result<Saw, Wrong> {
    let known = [
        "swing_left",
        "swing_right",
        "tilt_left",
        "tilt_right",
        "max_height",
        "max_depth",
        "kerf",
        "sprung",
    ];
    let fields = Fields::new(value, "saw", &known)?.in_unit(unit);
    let angle = |key: &str| fields.maybe_degrees(key, Degrees::UpTo(90.0));
    let size = |key: &str| fields.maybe_length(key, Least::MoreThanNothing);
    Ok(Saw {
        swing_left: angle("swing_left")?,
        swing_right: angle("swing_right")?,
        tilt_left: angle("tilt_left")?,
        tilt_right: angle("tilt_right")?,
        max_height: size("max_height")?,
        max_depth: size("max_depth")?,
        kerf: fields.maybe_length("kerf", Least::Nothing)?,
        sprung: fields
            .get("sprung")
            .map(|value| one_of(value, &fields.path("sprung"), &SPRUNG_WAYS))
            .transpose()?,
    })
}
