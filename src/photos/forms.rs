//! Typed text into what is said of a photo, and back.

use super::model::{Photo, PhotoFacts, PhotoId, PhotoKind};
use crate::web::{Check, Choice, Errors, Fields};

/// Reads what is said of a photo; it may stand beside one of `befores` only.
///
/// # Errors
/// What is wrong, field by field.
pub fn facts(fields: &Fields, befores: &[Photo]) -> Result<PhotoFacts, Errors> {
    let mut check = Check::of(fields);
    let kind = check.one_of("kind", PhotoKind::from_code);
    let caption = check.optional_line("caption", 200);
    let beside: Option<PhotoId> = check.optional("beside", |text| {
        text.parse()
            .ok()
            .filter(|id| befores.iter().any(|photo| photo.id == *id))
            .ok_or("Choose one of the list.")
    });
    let facts = kind.map(|kind| PhotoFacts {
        kind,
        caption,
        // Only finished work stands beside what was there before.
        beside: beside.filter(|_| kind == PhotoKind::After),
    });
    check.finish_some(facts)
}

/// The form filled from what is kept.
#[must_use]
pub fn fields(facts: &PhotoFacts) -> Fields {
    Fields::default()
        .with("kind", facts.kind.code())
        .with("caption", &facts.caption)
        .with_some("beside", facts.beside)
}

/// The photos that finished work may stand beside.
#[must_use]
pub fn beside(befores: &[Photo], zone: chrono_tz::Tz) -> Vec<Choice> {
    let mut choices = vec![Choice::new("", "None")];
    choices.extend(befores.iter().map(|photo| {
        let day = photo.at.date(zone);
        Choice::new(photo.id, format!("{day} {}", photo.words()))
    }));
    choices
}

/// What a photo may be taken for.
#[must_use]
pub fn kinds() -> Vec<Choice> {
    PhotoKind::ALL
        .iter()
        .map(|kind| Choice::new(kind.code(), kind.words()))
        .collect()
}
