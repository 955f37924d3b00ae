//! A stored design as the form's text, and what differs between two.

use serde_json::Value;

use super::kinds::{self, Group, Input, When};
use super::typed::{MOST_RUNS, Typed, name_of, placed, with};

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
    for group in kinds::kind(word).into_iter().flat_map(|k| k.groups) {
        match group.when {
            When::Always => show(&mut typed, group, design, 0),
            When::Ticked(_) => {
                let there = at_path(design, group.key).is_some_and(|v| !v.is_null());
                typed.set(with(group), if there { "on" } else { "" });
                if there {
                    show(&mut typed, group, design, 0);
                }
            }
            When::Each => {
                let all = at_path(design, group.key).and_then(Value::as_array);
                for (nth, one) in all.into_iter().flatten().enumerate().take(MOST_RUNS) {
                    show(&mut typed, group, one, nth);
                }
            }
        }
    }
    typed
}

fn show(typed: &mut Typed, group: &Group, root: &Value, nth: usize) {
    for field in group.fields {
        let name = name_of(group, field, nth);
        let value = at_path(root, field.path);
        if let (Input::Pitch, Some(value)) = (field.input, value) {
            let (written_as, text) = shown_pitch(value);
            typed.set(format!("{name}.as"), written_as);
            typed.set(name, text);
        } else {
            typed.set(name, value.map(shown).unwrap_or_default());
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

/// What changed from one design to another, in the form's words.
#[must_use]
pub fn differences(old: &Value, new: &Value) -> Vec<Difference> {
    let (old, new) = (from_json(old), from_json(new));
    let mut all = Vec::new();
    if old.get("kind") != new.get("kind") {
        all.push((
            "Kind".to_owned(),
            old.get("kind").to_owned(),
            new.get("kind").to_owned(),
        ));
        return all;
    }
    for (group, field, name) in placed(&new).into_iter().chain(placed(&old)) {
        let value = |typed: &Typed| {
            if typed.has(group) {
                typed.get(&name).to_owned()
            } else {
                String::new()
            }
        };
        let (before, after) = (value(&old), value(&new));
        let label = format!("{}: {}", group.title, field.label);
        if before != after && !all.iter().any(|(known, ..)| *known == label) {
            all.push((label, before, after));
        }
    }
    all
}
