//! A stored design as the form's text, and what differs between two.

use serde_json::Value;

use super::kinds::{self, Field, Input, When};
use super::slots::{self, Slot};
use super::typed::{MOST_RUNS, Typed, placed};

/// The form of a stored design.
#[must_use]
pub fn from_json(design: &Value) -> Typed {
    let word = design.get("kind").and_then(Value::as_str).unwrap_or("flat");
    let mut typed = kinds::kind(word).map(Typed::fresh).unwrap_or_default();
    typed.set("kind", word);
    typed.set(
        "unit",
        design.get("unit").and_then(Value::as_str).unwrap_or("in"),
    );
    for slot in top(word) {
        show_group(&mut typed, &slot, design);
    }
    let parts = design.get("parts").and_then(Value::as_array);
    for (nth, part) in parts.into_iter().flatten().enumerate().take(MOST_RUNS) {
        let head = part.get("head").unwrap_or(&Value::Null);
        typed.complete();
        for slot in slots::of_part(&typed, nth) {
            show_group(&mut typed, &slot, head);
        }
    }
    typed
}

fn top(word: &str) -> Vec<Slot> {
    let mut asked = Typed::default();
    asked.set("kind", word);
    let own = |slot: &Slot| slot.prefix.is_empty();
    slots::slots(&asked).into_iter().filter(own).collect()
}

/// A group's fields from the head that it describes.
fn show_group(typed: &mut Typed, slot: &Slot, head: &Value) {
    match slot.group.when {
        When::Always => show(typed, slot, head, 0),
        When::Ticked(_) => {
            let there = at_path(head, slot.group.key).is_some_and(|v| !v.is_null());
            typed.set(slot.tick(), if there { "on" } else { "" });
            if there {
                show(typed, slot, head, 0);
            }
        }
        When::Each => {
            let all = at_path(head, slot.group.key).and_then(Value::as_array);
            for (nth, one) in all.into_iter().flatten().enumerate().take(MOST_RUNS) {
                show(typed, slot, one, nth);
            }
        }
    }
}

fn show(typed: &mut Typed, slot: &Slot, root: &Value, nth: usize) {
    for field in slot.group.fields {
        let name = slot.name(field, nth);
        let value = at_path(root, field.path);
        if let (Input::Pitch, Some(value)) = (field.input, value) {
            let (written_as, text) = shown_pitch(value);
            typed.set(format!("{name}.as"), written_as);
            typed.set(name, text);
        } else if field.input == Input::Shelf {
            typed.set(name, super::taken::shown(root, field.path));
        } else {
            let text = match (field.input, value) {
                (Input::Lengths, Some(Value::Array(all))) => lines(all.iter().map(shown)),
                (Input::Corners, Some(Value::Array(all))) => lines(all.iter().map(shown_corner)),
                (_, value) => value.map(shown).unwrap_or_default(),
            };
            typed.set(name, text);
        }
    }
}

fn shown_pitch(value: &Value) -> (&'static str, String) {
    if let Some(degrees) = value.get("degrees") {
        return ("degrees", shown(degrees));
    }
    let part = |key: &str| value.get(key).and_then(Value::as_f64);
    match (part("rise"), part("run")) {
        (Some(rise), Some(run)) if run != 0.0 => ("rise", (rise * 12.0 / run).to_string()),
        _ => ("rise", value.get("rise").map(shown).unwrap_or_default()),
    }
}

fn lines(all: impl Iterator<Item = String>) -> String {
    all.collect::<Vec<_>>().join("\n")
}

fn shown_corner(corner: &Value) -> String {
    let degrees = corner.get("degrees").map(shown).unwrap_or_default();
    match corner.get("way").and_then(Value::as_str) {
        Some("inside") => format!("{degrees} inside"),
        _ => degrees,
    }
}

/// A value as it would be typed.
fn shown(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Array(list) if list.iter().any(Value::is_array) => {
            list.iter().map(shown).collect::<Vec<_>>().join("\n")
        }
        Value::Array(list) => list.iter().map(shown).collect::<Vec<_>>().join(", "),
        Value::Object(map) => map.get("plane").map(shown).unwrap_or_default(),
        Value::Null => String::new(),
        other => other.to_string(),
    }
}

fn at_path<'a>(root: &'a Value, path: &str) -> Option<&'a Value> {
    path.split('.').try_fold(root, |at, step| at.get(step))
}

/// A field that two designs differ in: its label, before, after.
pub type Difference = (String, String, String);

/// A field's text as the form shows it: a choice by its words, and one that was
/// never made by those of what it then is.
fn worded(field: &Field, text: &str) -> String {
    match field.input {
        Input::Shelf => super::taken::words(text),
        Input::Choice(all) => {
            let code = if text.is_empty() { field.default } else { text };
            let named = all.iter().find(|(value, _)| *value == code);
            named.map_or(code, |(_, words)| words).to_owned()
        }
        _ => text.to_owned(),
    }
}

/// What changed from one design to another, in the form's words.
#[must_use]
pub fn differences(old: &Value, new: &Value) -> Vec<Difference> {
    let (old, new) = (from_json(old), from_json(new));
    let mut all = Vec::new();
    if old.get("kind") != new.get("kind") {
        let title = |typed: &Typed| {
            let code = typed.get("kind");
            kinds::kind(code).map_or(code, |kind| kind.title).to_owned()
        };
        all.push(("Kind".to_owned(), title(&old), title(&new)));
        return all;
    }
    for (slot, field, name) in placed(&new).into_iter().chain(placed(&old)) {
        let value = |typed: &Typed| {
            if slot.counts(typed) {
                worded(field, typed.get(&name))
            } else {
                String::new()
            }
        };
        let (before, after) = (value(&old), value(&new));
        let label = format!("{}: {}", slot.title(), field.label);
        if before != after && !all.iter().any(|(known, ..)| *known == label) {
            all.push((label, before, after));
        }
    }
    all
}
