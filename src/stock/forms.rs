//! Typed text into suppliers, items, lengths and sticks, and back.

use crate::measure::{Length, Money, Unit};
use crate::web::{Check, Errors, Fields};

use super::model::{
    Flip, ItemFacts, OffcutFacts, Sold, StockForm, StockItemId, SupplierFacts, SupplierId,
    defects_text, parse_defects,
};

const NAME: usize = 120;
const NOTE: usize = 2000;
/// Longest stick: 100 ft.
const LONGEST: Length = Length::from_nanometres(30_480_000_000);
/// Dearest stick.
const DEAREST: i64 = 100_000_000;

/// Reads a length of more than 0 and no more than `most`.
fn size(text: &str, unit: Unit, most: Length) -> Result<Length, String> {
    let length = Length::parse(text, unit).map_err(|e| e.to_string())?;
    if length <= Length::ZERO || length > most {
        return Err(format!("Write a length of more than 0, up to {most}."));
    }
    Ok(length)
}

/// Reads the supplier form.
///
/// # Errors
/// What is wrong, field by field.
pub fn supplier(fields: &Fields) -> Result<SupplierFacts, Errors> {
    let mut check = Check::of(fields);
    let facts = SupplierFacts {
        name: check.line("name", NAME),
        phone: check.optional_line("phone", NAME),
        note: check.lines("note", NOTE),
    };
    check.finish(facts)
}

/// The supplier form filled.
#[must_use]
pub fn supplier_fields(facts: &SupplierFacts) -> Fields {
    Fields::default()
        .with("name", &facts.name)
        .with("phone", &facts.phone)
        .with("note", &facts.note)
}

/// Reads the form of a board or moulding; a drawn section must be one of
/// `drawn`.
///
/// # Errors
/// What is wrong, field by field.
pub fn item(fields: &Fields, drawn: &[i64], unit: Unit) -> Result<ItemFacts, Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", NAME);
    let form = check.one_of("form", StockForm::from_code);
    let material = check.optional_line("material", NAME);
    let section = check.optional_line("section", NAME);
    let drawn = check.optional("drawn", |text| {
        let known = |row: &i64| drawn.contains(row);
        text.parse()
            .ok()
            .filter(known)
            .ok_or("Choose one of the list.")
    });
    let nominal = check.optional_line("nominal", 40);
    let most = Length::from_nanometres(LONGEST.nanometres() / 10);
    let thickness = check.parse("thickness", |t| size(t, unit, most));
    let width = check.parse("width", |t| size(t, unit, most));
    let flip = check.one_of("flip", Flip::from_code);
    let keep = check.parse("keep", |t| size(t, unit, LONGEST));
    let match_runs = check.ticked("match_runs");
    let note = check.lines("note", NOTE);
    let facts = form.zip(flip).zip(thickness.zip(width)).zip(keep);
    let facts = facts.map(|(((form, flip), (thickness, width)), keep)| ItemFacts {
        name,
        form,
        material,
        section,
        drawn,
        nominal,
        thickness,
        width,
        flip,
        match_runs,
        keep,
        note,
    });
    check.finish_some(facts)
}

/// The form of a board or moulding filled.
#[must_use]
pub fn item_fields(facts: &ItemFacts, unit: Unit) -> Fields {
    Fields::default()
        .with("name", &facts.name)
        .with("form", facts.form.code())
        .with("material", &facts.material)
        .with("section", &facts.section)
        .with_some("drawn", facts.drawn)
        .with("nominal", &facts.nominal)
        .with("thickness", facts.thickness.exact(unit))
        .with("width", facts.width.exact(unit))
        .with("flip", facts.flip.code())
        .with("keep", facts.keep.exact(unit))
        .with_some("match_runs", facts.match_runs.then_some("yes"))
        .with("note", &facts.note)
}

/// Reads one length sold; the supplier must be one of `known`.
///
/// # Errors
/// What is wrong, field by field.
pub fn sold(fields: &Fields, known: &[SupplierId], unit: Unit) -> Result<Sold, Errors> {
    let mut check = Check::of(fields);
    let supplier = check.one_of("supplier", |text| {
        text.parse().ok().filter(|id| known.contains(id))
    });
    let length = check.parse("length", |t| size(t, unit, LONGEST));
    let price = check.parse("price", |text| {
        let price = Money::parse(text).map_err(|e| e.to_string())?;
        if !(0..=DEAREST).contains(&price.cents()) {
            return Err("Write a price of 0 or more, up to 1,000,000.00.".to_owned());
        }
        Ok(price)
    });
    let lead_days = check.whole("lead_days", 0..=365);
    let sold = supplier
        .zip(length)
        .zip(price)
        .map(|((supplier, length), price)| Sold {
            supplier,
            length,
            price,
            lead_days,
        });
    check.finish_some(sold)
}

/// Reads the form of a stick on the rack; item and job must be among those
/// given.
///
/// # Errors
/// What is wrong, field by field.
pub fn offcut(
    fields: &Fields,
    items: &[StockItemId],
    jobs: &[i64],
    unit: Unit,
) -> Result<OffcutFacts, Errors> {
    let mut check = Check::of(fields);
    let item = check.one_of("item", |text| {
        text.parse().ok().filter(|id| items.contains(id))
    });
    let length = check.parse("length", |t| size(t, unit, LONGEST));
    let width = check.optional("width", |t| size(t, unit, LONGEST));
    let place = check.optional_line("place", NAME);
    let job = check.optional("job", |text| {
        let known = |row: &i64| jobs.contains(row);
        text.parse()
            .ok()
            .filter(known)
            .ok_or("Choose one of the list.")
    });
    let batch = check.optional_line("batch", 60);
    let long = length.unwrap_or(LONGEST);
    let defects = check.parse("defects", |text| parse_defects(text, long, unit));
    let note = check.lines("note", NOTE);
    let facts = item.zip(length).zip(defects);
    let facts = facts.map(|((item, length), defects)| OffcutFacts {
        item,
        length,
        width,
        place,
        job,
        batch,
        defects,
        note,
    });
    check.finish_some(facts)
}

/// The form of a stick filled.
#[must_use]
pub fn offcut_fields(facts: &OffcutFacts, unit: Unit) -> Fields {
    Fields::default()
        .with("item", facts.item)
        .with("length", facts.length.exact(unit))
        .with_some("width", facts.width.map(|w| w.exact(unit)))
        .with("place", &facts.place)
        .with_some("job", facts.job)
        .with("batch", &facts.batch)
        .with("defects", defects_text(&facts.defects, unit))
        .with("note", &facts.note)
}
