//! A section's form: what was typed to curves, or errors beside the fields.

use crate::measure::{SpringAngle, Unit, parse_number};
use crate::trim::Wrong;
use crate::trim::section::measured::{self, Measured};
use crate::trim::section::parts::{BuiltBack, build};
use crate::trim::section::{
    Back, NotAnOutline, Outline, Section, dxf, flat_back, place, settled, svg_path,
};
use crate::web::{Check, Choice, Errors};

use super::members::{self, length};
use super::model::{Drawing, LONGEST_NAME, Made, NewSection};
use super::typed::{Typed, member};

/// The form's word for a drawing that stays as it is.
pub const AS_IT_IS: &str = "as-it-is";

/// Ways to give a section; `drawn` if it already has a drawing to keep.
#[must_use]
pub fn kind_choices(drawn: bool) -> Vec<Choice> {
    let ways = [Made::Parts, Made::Points, Made::Path, Made::Dxf];
    let kept = drawn.then(|| Choice::new(AS_IT_IS, "As it is drawn now"));
    let ways = ways
        .iter()
        .map(|made| Choice::new(made.code(), made.words()));
    kept.into_iter().chain(ways).collect()
}

/// What the unit of a drawing may be.
#[must_use]
pub fn unit_choices() -> Vec<Choice> {
    [("in", "inches"), ("mm", "millimetres")]
        .map(|(value, words)| Choice::new(value, words))
        .to_vec()
}

/// The size of one unit of an SVG drawing.
#[must_use]
pub fn drawn_in_choices() -> Vec<Choice> {
    [
        ("in", "an inch"),
        ("mm", "a millimetre"),
        ("px", "1/96 in (a CSS pixel)"),
    ]
    .map(|(value, words)| Choice::new(value, words))
    .to_vec()
}

/// Where the face of a drawn outline looks.
#[must_use]
pub fn faces_choices() -> Vec<Choice> {
    [
        ("right", "to the right, the wall at the left"),
        ("left", "to the left"),
    ]
    .map(|(value, words)| Choice::new(value, words))
    .to_vec()
}

/// What a back may be.
#[must_use]
pub fn back_choices() -> Vec<Choice> {
    [
        ("solid", "solid: flat against the wall"),
        ("sprung", "sprung: leaning, hollow behind"),
    ]
    .map(|(value, words)| Choice::new(value, words))
    .to_vec()
}

/// What a form gives, as far as it can be read.
#[derive(Debug, Default)]
pub struct Read {
    /// The section, if every field of its drawing can be read.
    pub section: Option<Section>,
    /// What was left out of a drawing, in words.
    pub left_out: Option<String>,
    /// What is wrong with which field.
    pub errors: Errors,
}

/// Reads a whole form. `now` is the drawing that stays where the form says
/// so.
#[must_use]
pub fn read(typed: &Typed, now: Option<&Drawing>) -> (Option<NewSection>, Read) {
    let fields = typed.fields();
    let mut check = Check::of(&fields);
    let name = check.line("name", LONGEST_NAME);
    let note = check.lines("note", 4000);
    // What is wrong with the name does not keep the section from being drawn.
    let named = check.errors();
    let mut found = Read::default();
    let made_of = drawing(typed, now, &mut found);
    let drawn = std::mem::replace(&mut found.errors, named);
    drawn
        .iter()
        .for_each(|(field, words)| found.errors.add(field, words));
    let (Some(section), Some(made_of)) = (found.section.clone(), made_of) else {
        return (None, found);
    };
    if !found.errors.is_empty() {
        return (None, found);
    }
    let kept = typed.get("kind") == AS_IT_IS;
    let was = now.filter(|_| kept).map(|now| now.typed.clone());
    let new = NewSection {
        name,
        note,
        drawing: Drawing {
            section,
            made_of,
            typed: was.unwrap_or_else(|| typed.to_json()),
        },
    };
    (Some(new), found)
}

/// Reads the drawing alone into `found`; how it was given.
fn drawing(typed: &Typed, now: Option<&Drawing>, found: &mut Read) -> Option<Made> {
    let kind = typed.get("kind");
    if let (AS_IT_IS, Some(now)) = (kind, now) {
        found.section = Some(now.section.clone());
        return Some(now.made_of);
    }
    let unit = match typed.get("unit") {
        "in" => Unit::Inch,
        "mm" => Unit::Millimetre,
        _ => {
            found.errors.add("unit", "Choose inches or millimetres.");
            return None;
        }
    };
    let made_of = Made::from_code(kind)
        .filter(|made| matches!(made, Made::Parts | Made::Points | Made::Path | Made::Dxf));
    match made_of {
        Some(Made::Parts) => of_parts(typed, unit, found),
        Some(Made::Points) => of_points(typed, unit, found),
        Some(Made::Path) => of_path(typed, found),
        Some(Made::Dxf) => of_dxf(typed, unit, found),
        _ => found.errors.add("kind", "Choose one of the ways."),
    }
    made_of
}

fn of_parts(typed: &Typed, unit: Unit, found: &mut Read) {
    let mut need = |field: &str| match length(typed.get(field), unit) {
        Ok(length) => Some(length),
        Err(words) => {
            found.errors.add(field, words);
            None
        }
    };
    let projection = need("projection");
    let back = match typed.get("back") {
        "sprung" => {
            let seat = need("seat");
            let spring = match typed.get("spring_degrees") {
                "" => Err("Fill this in, such as 38.".to_owned()),
                text => degrees(text),
            };
            match (seat, spring) {
                (Some(seat), Ok(spring)) => Some(BuiltBack::Sprung { spring, seat }),
                (_, Err(words)) => {
                    found.errors.add("spring_degrees", words);
                    None
                }
                _ => None,
            }
        }
        _ => Some(BuiltBack::Solid),
    };
    let parts = members::read(typed, unit, &mut found.errors);
    let (Some(projection), Some(back), true) = (projection, back, found.errors.is_empty()) else {
        return;
    };
    match build(projection, &parts, back) {
        Ok(section) => found.section = Some(section),
        Err(error) => {
            let (field, words) = place_of(&error);
            found.errors.add(&field, words);
        }
    }
}

/// The field that a complaint about the members is about.
fn place_of(error: &NotAnOutline) -> (String, String) {
    let named = error.0.strip_prefix("part ").and_then(|rest| {
        let (nth, what) = rest.split_once(": ")?;
        let nth = nth.parse::<usize>().ok()?.checked_sub(1)?;
        Some((member(nth, "height"), sentence(what)))
    });
    named.unwrap_or_else(|| {
        (
            String::new(),
            format!("The section {}", sentence_end(&error.0)),
        )
    })
}

fn sentence_end(words: &str) -> String {
    let mut words = words.to_owned();
    if !words.ends_with('.') {
        words.push('.');
    }
    words
}

fn sentence(words: &str) -> String {
    let words = sentence_end(words);
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// A spring angle as typed.
fn degrees(text: &str) -> Result<SpringAngle, String> {
    let number =
        parse_number(text.trim_end_matches(['°', ' '])).map_err(|e| sentence(&e.to_string()))?;
    if (1.0..89.0).contains(&number) {
        Ok(SpringAngle::from_degrees(number))
    } else {
        Err("Degrees from 1 to 89 are allowed, between the flat back and the wall.".to_owned())
    }
}

/// One point a line: out, up, and `smooth` where no arris is.
fn of_points(typed: &Typed, unit: Unit, found: &mut Read) {
    let mut points = Vec::new();
    for (nth, line) in (1..).zip(typed.get("points").lines()) {
        if line.trim().is_empty() {
            continue;
        }
        if points.len() >= 400 {
            found
                .errors
                .add("points", "At most 400 points are allowed.");
            return;
        }
        match point(line, unit) {
            Ok(point) => points.push(point),
            Err(words) => {
                found.errors.add("points", format!("Line {nth}: {words}"));
                return;
            }
        }
    }
    if points.is_empty() {
        found
            .errors
            .add("points", "Write one point a line: out, up.");
        return;
    }
    match measured::outline(&points) {
        Ok(outline) => drawn(typed, outline, found),
        Err(error) => {
            let words = format!("The outline {}", sentence_end(&error.0));
            found.errors.add("points", words);
        }
    }
}

fn point(line: &str, unit: Unit) -> Result<Measured, String> {
    let parts: Vec<&str> = line.split([',', ';']).map(str::trim).collect();
    let (u, v, smooth) = match parts.as_slice() {
        [u, v] => (u, v, false),
        [u, v, "smooth"] => (u, v, true),
        _ => {
            return Err("two lengths are needed, parted by a comma, with “, smooth” after them where no arris is.".to_owned());
        }
    };
    Ok(Measured {
        at: place(length(u, unit)?, length(v, unit)?),
        smooth,
    })
}

fn of_path(typed: &Typed, found: &mut Read) {
    let inches = match typed.get("drawn_in") {
        "in" => 1.0,
        "mm" => 1.0 / 25.4,
        "px" => 1.0 / 96.0,
        _ => {
            found.errors.add("drawn_in", "Choose one of the list.");
            return;
        }
    };
    if typed.get("path").is_empty() {
        found
            .errors
            .add("path", "Paste the path here: what stands in d=\"…\".");
        return;
    }
    match svg_path::read(typed.get("path"), inches) {
        Ok(outline) => drawn(typed, outline, found),
        Err(wrong) => found.errors.add("path", said(&wrong)),
    }
}

fn of_dxf(typed: &Typed, unit: Unit, found: &mut Read) {
    if typed.get("dxf").is_empty() {
        found
            .errors
            .add("dxf", "Paste the drawing here, or choose its file.");
        return;
    }
    match dxf::read(typed.get("dxf"), unit) {
        Ok(read) => {
            if !read.left_out.is_empty() {
                let all: Vec<String> = read
                    .left_out
                    .iter()
                    .map(|(what, count)| format!("{count} {what}"))
                    .collect();
                found.left_out = Some(format!("Left out of the drawing: {}.", all.join(", ")));
            }
            drawn(typed, read.outline, found);
        }
        Err(wrong) => found.errors.add("dxf", said(&wrong)),
    }
}

fn said(wrong: &Wrong) -> String {
    sentence(&wrong.what)
}

/// Takes a drawn outline: its wall at u = 0, its top at v = 0, its back as
/// typed. A blank spring angle is taken from the flat back itself.
fn drawn(typed: &Typed, outline: Outline, found: &mut Read) {
    let outline = settled(&outline, typed.get("faces") == "left");
    let back = match (typed.get("back"), typed.get("spring_degrees")) {
        ("sprung", "") => flat_back(&outline).map(Back::Sprung).ok_or_else(|| {
            "No flat leaning back is drawn; type its angle or choose a solid back.".to_owned()
        }),
        ("sprung", text) => degrees(text).map(Back::Sprung),
        _ => Ok(Back::Solid),
    };
    match back {
        Ok(back) => found.section = Some(Section { outline, back }),
        Err(words) => found.errors.add("spring_degrees", words),
    }
}
