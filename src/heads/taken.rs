//! Sections that a head takes from the shelf: chosen by number and edition,
//! their curves copied into the design, so that a later change of the shelf
//! changes no drawn head.

use std::collections::BTreeSet;

use serde_json::{Map, Value, json};

use super::kinds::Input;
use super::typed::{Typed, placed};
use crate::measure::{Length, Unit};
use crate::sections::{self, SectionId, ShelfEntry};
use crate::trim::section::{Back, json as stored};
use crate::web::{AppState, Choice, Errors, WebError};

/// The sections that a form may choose from.
#[derive(Debug, Clone, Default)]
pub struct Shelf {
    /// The live ones, by name.
    live: Vec<ShelfEntry>,
    /// What the form names beside them: an older edition, or one put away.
    older: Vec<ShelfEntry>,
}

/// Number and edition as the form sends them: `3@2`.
fn code(entry: &ShelfEntry) -> String {
    format!("{}@{}", entry.id, entry.edition)
}

fn read_code(text: &str) -> Option<(SectionId, i64)> {
    let (id, edition) = text.split_once('@')?;
    Some((id.parse().ok()?, edition.parse().ok().filter(|n| *n > 0)?))
}

/// The value of a field that names a section: `{"id", "version"}`, or curves
/// of the head's own that are on no shelf.
pub(super) fn typed(text: &str) -> Result<Value, String> {
    if text.starts_with('{') {
        let curves: Value = serde_json::from_str(text).map_err(|_| gone())?;
        return Ok(json!({ "curves": curves }));
    }
    let (id, edition) = read_code(text).ok_or_else(gone)?;
    Ok(json!({ "id": id.get(), "version": edition }))
}

fn gone() -> String {
    "This section is not on the shelf. Choose one of the list.".to_owned()
}

/// What the form's field holds for a stored design: the entry's number and
/// edition, or the curves themselves where no shelf has them.
pub(super) fn shown(root: &Value, path: &str) -> String {
    let holder = match path.rsplit_once('.') {
        Some((holder, _)) => holder.split('.').try_fold(root, |at, step| at.get(step)),
        None => Some(root),
    };
    let Some(holder) = holder else {
        return String::new();
    };
    match (reference(holder), holder.get("curves")) {
        (Some((id, edition)), Some(_)) => format!("{id}@{edition}"),
        (None, Some(curves)) => curves.to_string(),
        _ => String::new(),
    }
}

/// A field's text for people.
pub(super) fn words(text: &str) -> String {
    match read_code(text) {
        Some((id, edition)) => format!("section {id} of the shelf, edition {edition}"),
        None if text.is_empty() => String::new(),
        None => "curves of its own".to_owned(),
    }
}

fn reference(holder: &Value) -> Option<(SectionId, i64)> {
    let shelf = holder.get("shelf")?;
    let id = shelf.get("id")?.as_i64()?;
    Some((SectionId::new(id), shelf.get("version")?.as_i64()?))
}

impl Shelf {
    /// The shelf as a form needs it.
    ///
    /// # Errors
    /// The database's.
    pub async fn of(app: &AppState, typed: &Typed) -> Result<Self, WebError> {
        let pool = app.db().read();
        let mut shelf = Self {
            live: sections::shelf(pool).await?,
            older: Vec::new(),
        };
        let named: BTreeSet<String> = placed(typed)
            .into_iter()
            .filter(|(_, field, _)| field.input == Input::Shelf)
            .map(|(.., name)| typed.get(&name).trim().to_owned())
            .collect();
        for (id, edition) in named.iter().filter_map(|text| read_code(text)) {
            if shelf.entry(id, edition).is_none() {
                shelf
                    .older
                    .extend(sections::edition(pool, id, edition).await?);
            }
        }
        Ok(shelf)
    }

    fn entry(&self, id: SectionId, edition: i64) -> Option<&ShelfEntry> {
        let all = self.live.iter().chain(&self.older);
        all.into_iter().find(|e| e.id == id && e.edition == edition)
    }

    /// What a field may choose, what it holds among it.
    #[must_use]
    pub fn choices(&self, held: &str) -> Vec<Choice> {
        let mut all = vec![Choice::new("", "none: the sizes or outline below")];
        let named = |entry: &ShelfEntry, rest: &str| {
            Choice::new(code(entry), format!("{}{rest}", entry.name))
        };
        for entry in &self.older {
            if code(entry) == held {
                all.push(named(
                    entry,
                    &format!(", edition {}, as drawn here", entry.edition),
                ));
            }
        }
        if held.starts_with('{') {
            all.push(Choice::new(held, "curves of its own, as drawn here"));
        }
        all.extend(self.live.iter().map(|entry| named(entry, "")));
        all
    }

    /// The design with the curves of every section it names.
    ///
    /// # Errors
    /// A section that is not there, or one beside a typed outline.
    pub fn filled(&self, mut design: Value) -> Result<Value, Errors> {
        let unit = design
            .get("unit")
            .and_then(Value::as_str)
            .and_then(Unit::from_symbol)
            .unwrap_or(Unit::Inch);
        let mut errors = Errors::default();
        self.fill(&mut design, "", unit, &mut errors);
        if errors.is_empty() {
            Ok(design)
        } else {
            Err(errors)
        }
    }

    fn fill(&self, value: &mut Value, at: &str, unit: Unit, errors: &mut Errors) {
        let under = |key: &str| {
            if at.is_empty() {
                key.to_owned()
            } else {
                format!("{at}.{key}")
            }
        };
        match value {
            Value::Object(map) => {
                if let Some(chosen) = map.get("shelf").filter(|v| v.is_object()).cloned()
                    && let Err(words) = self.take(map, &chosen, unit)
                {
                    errors.add(&under("shelf"), words);
                }
                let kept = |key: &str| key == "curves" || key == "shelf";
                for (key, child) in map.iter_mut().filter(|(key, _)| !kept(key)) {
                    self.fill(child, &under(key), unit, errors);
                }
            }
            Value::Array(list) if list.iter().all(Value::is_object) => {
                for (nth, child) in list.iter_mut().enumerate() {
                    self.fill(child, &under(&nth.to_string()), unit, errors);
                }
            }
            _ => {}
        }
    }

    /// Puts a section's curves, back and true size into the object that
    /// names it.
    fn take(&self, map: &mut Map<String, Value>, chosen: &Value, unit: Unit) -> Result<(), String> {
        if map.get("section").is_some_and(|v| !v.is_null()) {
            return Err("Choose a section of the shelf or type an outline, not both.".to_owned());
        }
        if let Some(curves) = chosen.get("curves") {
            map.remove("shelf");
            map.insert("curves".into(), curves.clone());
            return Ok(());
        }
        let holder = json!({ "shelf": chosen });
        let entry = reference(&holder)
            .and_then(|(id, edition)| self.entry(id, edition))
            .ok_or_else(gone)?;
        let section = &entry.section;
        map.insert("curves".into(), stored::outline_value(&section.outline));
        map.insert(
            "shelf".into(),
            json!({ "id": entry.id.get(), "name": entry.name, "version": entry.edition }),
        );
        let spring = match section.back {
            Back::Solid => None,
            Back::Sprung(spring) => Some(spring.degrees()),
        };
        // A run has no back, only its spring angle, which may be typed.
        if map.contains_key("path") {
            if let (Some(spring), None) = (spring, map.get("spring_degrees")) {
                map.insert("spring_degrees".into(), spring.into());
            }
            return Ok(());
        }
        let e = section.outline.extents();
        for (key, inches) in [("projection", e.width()), ("height", e.height())] {
            let length = Length::from_f64(inches, Unit::Inch).unwrap_or_default();
            map.insert(key.into(), length.exact(unit).into());
        }
        map.insert(
            "back".into(),
            if spring.is_some() { "sprung" } else { "solid" }.into(),
        );
        match spring {
            Some(spring) => map.insert("spring_degrees".into(), spring.into()),
            None => map.remove("spring_degrees"),
        };
        Ok(())
    }
}

/// What a person must know where the shelf has moved on since a head was
/// drawn: one line a section.
///
/// # Errors
/// The database's.
pub async fn changed(app: &AppState, design: &Value) -> Result<Vec<String>, WebError> {
    let mut named = Vec::new();
    references(design, &mut named);
    named.sort();
    named.dedup();
    let mut said = Vec::new();
    for (id, edition, name) in named {
        let here = format!("“{name}”, edition {edition}, is drawn here");
        match sections::present_edition(app.db().read(), SectionId::new(id)).await? {
            None => said.push(format!("{here}; it is no longer on the shelf.")),
            Some((now, _)) if now > edition => said.push(format!(
                "{here}; the shelf’s section has changed since: edition {now} is there now. \
                 This head keeps its own until the new one is chosen in its design."
            )),
            Some((_, true)) => said.push(format!("{here}; it has been archived on the shelf.")),
            Some(_) => {}
        }
    }
    Ok(said)
}

fn references(value: &Value, found: &mut Vec<(i64, i64, String)>) {
    match value {
        Value::Object(map) => {
            if let Some((id, edition)) = reference(value) {
                let name = map.get("shelf").and_then(|s| s.get("name"));
                let name = name.and_then(Value::as_str).unwrap_or("Section");
                found.push((id.get(), edition, name.to_owned()));
            }
            map.values().for_each(|child| references(child, found));
        }
        Value::Array(list) => list.iter().for_each(|child| references(child, found)),
        _ => {}
    }
}
