//! Typed text of the firm's pages.

use crate::access::{Person, Role};
use crate::measure::{Length, Rounding, Unit};
use crate::web::{Check, Errors, Fields, FirmBasics};

use super::{Firm, Saw};

/// Name and telephone of a profile.
///
/// # Errors
/// What is wrong, field by field.
pub fn profile(fields: &Fields) -> Result<(String, String), Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", 120);
    let phone = check.optional_line("phone", 40);
    check.finish((name, phone))
}

/// A person's own fields.
pub fn profile_fields(person: &Person) -> Fields {
    Fields::default()
        .with("name", &person.name)
        .with("phone", &person.phone)
}

/// Name, telephone and role of a person, as the owner sets them.
///
/// # Errors
/// What is wrong, field by field.
pub fn person(fields: &Fields) -> Result<(String, String, Role), Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", 120);
    let phone = check.optional_line("phone", 40);
    let role = check.one_of("role", Role::from_word);
    check.finish_some(role.map(|role| (name, phone, role)))
}

/// A person's fields with the role.
pub fn person_fields(person: &Person) -> Fields {
    profile_fields(person).with("role", person.role)
}

/// Name and role of an invite.
///
/// # Errors
/// What is wrong, field by field.
pub fn invite(fields: &Fields) -> Result<(String, Role), Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", 120);
    let role = check.one_of("role", Role::from_word);
    check.finish_some(role.map(|role| (name, role)))
}

/// A length of more than nothing, at most `most`.
fn length(check: &mut Check<'_>, field: &str, unit: Unit, most: Length) -> Option<Length> {
    let found = check.parse(field, |typed| Length::parse(typed, unit))?;
    if found > Length::ZERO && found <= most {
        return Some(found);
    }
    check.fail(
        field,
        format!("More than nothing, at most {}.", most.exact(unit)),
    );
    None
}

const HALF_FOOT: Length = Length::from_nanometres(152_400_000);
const THREE_FEET: Length = Length::from_nanometres(914_400_000);

/// The firm's settings and its saw.
///
/// # Errors
/// What is wrong, field by field.
pub fn firm(fields: &Fields, version: i64) -> Result<Firm, Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", 120);
    let zone = check.parse("zone", |typed| {
        typed
            .parse()
            .map_err(|_| "No such zone. Write one such as America/New_York or Europe/Dublin.")
    });
    let rounding = check.one_of("rounding", |word| match word {
        "16" => Some(Rounding::Sixteenth),
        "32" => Some(Rounding::ThirtySecond),
        "mm" => Some(Rounding::HalfMillimetre),
        _ => None,
    });
    let unit = if rounding == Some(Rounding::HalfMillimetre) {
        Unit::Millimetre
    } else {
        Unit::Inch
    };
    let short_piece = length(&mut check, "short_piece", unit, THREE_FEET);
    let saw = saw(&mut check, unit);
    let whole = (|| {
        let basics = FirmBasics {
            name,
            zone: zone?,
            unit,
            rounding: rounding?,
            short_piece: short_piece?,
        };
        Some(Firm {
            basics,
            saw: saw?,
            version,
        })
    })();
    check.finish_some(whole)
}

fn saw(check: &mut Check<'_>, unit: Unit) -> Option<Saw> {
    let name = check.line("saw_name", 80);
    let swing_left = check.number("swing_left", 0.0..=70.0);
    let swing_right = check.number("swing_right", 0.0..=70.0);
    let tilt_left = check.number("tilt_left", 0.0..=60.0);
    let tilt_right = check.number("tilt_right", 0.0..=60.0);
    let max_height = length(check, "max_height", unit, THREE_FEET);
    let max_depth = length(check, "max_depth", unit, THREE_FEET);
    let kerf = length(check, "kerf", unit, HALF_FOOT);
    Some(Saw {
        name,
        swing_left: swing_left?,
        swing_right: swing_right?,
        tilt_left: tilt_left?,
        tilt_right: tilt_right?,
        max_height: max_height?,
        max_depth: max_depth?,
        kerf: kerf?,
    })
}

/// The settings as their own form's fields.
pub fn firm_fields(firm: &Firm) -> Fields {
    let (basics, saw) = (&firm.basics, &firm.saw);
    let rounding = match basics.rounding {
        Rounding::Sixteenth => "16",
        Rounding::ThirtySecond => "32",
        Rounding::HalfMillimetre => "mm",
    };
    Fields::default()
        .with("name", &basics.name)
        .with("zone", basics.zone.name())
        .with("rounding", rounding)
        .with("short_piece", basics.short_piece.exact(basics.unit))
        .with("saw_name", &saw.name)
        .with("swing_left", saw.swing_left)
        .with("swing_right", saw.swing_right)
        .with("tilt_left", saw.tilt_left)
        .with("tilt_right", saw.tilt_right)
        .with("max_height", saw.max_height.exact(basics.unit))
        .with("max_depth", saw.max_depth.exact(basics.unit))
        .with("kerf", saw.kerf.exact(basics.unit))
}
