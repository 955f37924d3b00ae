//! Typed text of the firm's pages.

use crate::access::{Person, Role};
use crate::measure::{Length, Rounding, Unit};
use crate::web::{Check, Errors, Fields, FirmBasics};

use super::Firm;

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
pub(super) fn length(
    check: &mut Check<'_>,
    field: &str,
    unit: Unit,
    most: Length,
) -> Option<Length> {
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

const THREE_FEET: Length = Length::from_nanometres(914_400_000);

/// The firm's settings.
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
    let whole = (|| {
        let basics = FirmBasics {
            name,
            zone: zone?,
            unit,
            rounding: rounding?,
            short_piece: short_piece?,
        };
        Some(Firm { basics, version })
    })();
    check.finish_some(whole)
}

/// The settings as their own form's fields.
pub fn firm_fields(firm: &Firm) -> Fields {
    let basics = &firm.basics;
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
}
