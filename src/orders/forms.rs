//! Typed text into a lumber order.

use crate::measure::{Length, Unit};
use crate::web::{Check, Errors, Fields};

use super::model::OrderFacts;

/// Most heads of one order.
const MOST_HEADS: usize = 300;

/// Reads the form of a new order; heads must be among those `known`.
///
/// # Errors
/// What is wrong, field by field.
pub fn order(fields: &Fields, known: &[i64], unit: Unit) -> Result<OrderFacts, Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", 120);
    let spare = check.whole("spare", 0..=50).unwrap_or(0);
    let end_trim = check.parse("end_trim", |text| {
        let trim = Length::parse(text, unit).map_err(|e| e.to_string())?;
        if trim < Length::ZERO || trim > Length::from_nanometres(254_000_000) {
            return Err("Write a length from 0 to 10 in.".to_owned());
        }
        Ok(trim)
    });
    let seconds = check.whole("seconds", 1..=600);
    if seconds.is_none() && !check.failed("seconds") {
        check.fail("seconds", "Write a whole number of seconds from 1 to 600.");
    }
    let mut heads: Vec<i64> = Vec::new();
    for text in fields.all("head") {
        match text.parse() {
            Ok(id) if known.contains(&id) => heads.push(id),
            _ => check.fail(
                "heads",
                "One of the heads is not there any more. Choose again.",
            ),
        }
    }
    heads.sort_unstable();
    heads.dedup();
    if heads.is_empty() && !check.failed("heads") {
        check.fail("heads", "Choose at least one head.");
    }
    if heads.len() > MOST_HEADS {
        check.fail(
            "heads",
            format!(
                "At most {MOST_HEADS} heads in one order; these are {}.",
                heads.len()
            ),
        );
    }
    let facts = end_trim.zip(seconds).map(|(end_trim, seconds)| OrderFacts {
        name,
        spare,
        end_trim,
        seconds,
        heads,
    });
    check.finish_some(facts)
}
