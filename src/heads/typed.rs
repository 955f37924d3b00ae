//! What was typed into a head's form, to the design's JSON and back.
//!
//! The table of [`super::kinds`] drives both ways, so no kind has code of its
//! own. Nothing typed is ever dropped: a form that is refused is shown again
//! from the same [`Typed`].

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use super::kinds::{self, Field, Group, Input, Kind, When};
use super::reading::read;
use super::slots::{Slot, slots};
use crate::measure::Unit;
use crate::web::{Errors, Fields};

/// Most runs a form holds.
pub const MOST_RUNS: usize = 40;

/// Field name → text, as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Typed(BTreeMap<String, String>);

impl Typed {
    /// The text of a field, empty if nothing came.
    #[must_use]
    pub fn get(&self, field: &str) -> &str {
        self.0.get(field).map_or("", String::as_str)
    }

    /// Puts a text into a field.
    pub fn set(&mut self, field: impl Into<String>, text: impl Into<String>) {
        self.0.insert(field.into(), text.into());
    }

    /// What a posted form holds.
    #[must_use]
    pub fn of(fields: &Fields) -> Self {
        Self(
            fields
                .shown()
                .iter()
                .map(|(k, v)| (k.to_owned(), v.to_owned()))
                .collect(),
        )
    }

    /// For the form to show.
    #[must_use]
    pub fn fields(&self) -> Fields {
        Fields::new(self.0.clone().into_iter().collect())
    }

    /// How many entries a repeated group at the form's top has, at least one.
    #[must_use]
    pub fn count(&self, group: &Group) -> usize {
        self.entries(group.key)
    }

    /// How many entries the list at this path has, at least one.
    #[must_use]
    pub fn entries(&self, list: &str) -> usize {
        let prefix = format!("{list}.");
        let place = |key: &String| {
            key.strip_prefix(&prefix)?
                .split('.')
                .next()?
                .parse::<usize>()
                .ok()
        };
        let last = self.0.keys().filter_map(place).filter(|n| *n < MOST_RUNS);
        last.max().map_or(1, |n| n + 1)
    }

    /// A new head's form of this kind, every field at its default.
    #[must_use]
    pub fn fresh(kind: &Kind) -> Self {
        let mut typed = Self::default();
        typed.set("kind", kind.kind);
        typed.set("unit", "in");
        for group in kinds::KINDS.iter().flat_map(|k| k.groups) {
            typed.fill(&Slot {
                prefix: String::new(),
                part: None,
                group,
            });
        }
        typed.complete();
        typed
    }

    /// Puts defaults into groups that the form has since its kind, or a
    /// part's kind, was chosen; what was typed stays.
    pub fn complete(&mut self) {
        // A part's own groups are known once its kind is.
        for _ in 0..2 {
            for slot in slots(self) {
                self.fill(&slot);
            }
        }
    }

    /// One more entry of a repeated group at the form's top.
    pub fn add(&mut self, group: &'static Group) {
        self.add_to(&Slot {
            prefix: String::new(),
            part: None,
            group,
        });
    }

    /// One more entry of a repeated group, at its defaults.
    pub fn add_to(&mut self, slot: &Slot) {
        let nth = slot.many(self);
        if nth >= MOST_RUNS {
            return;
        }
        for field in slot.group.fields {
            self.set(slot.name(field, nth), field.default);
        }
        if let Some(name) = slot.group.fields.iter().find(|f| f.input == Input::Name) {
            let text = format!("{}-{}", name.default, nth + 1);
            self.set(slot.name(name, nth), text);
        }
        self.complete();
    }

    /// Without one entry of a repeated group at the form's top.
    pub fn remove(&mut self, group: &Group, nth: usize) {
        self.remove_from(group.key, nth);
    }

    /// Without one entry of the list at this path; those after it move up.
    pub fn remove_from(&mut self, list: &str, nth: usize) {
        let prefix = format!("{list}.");
        let old = std::mem::take(&mut self.0);
        for (key, text) in old {
            let place = key.strip_prefix(&prefix).and_then(|rest| {
                let (at, rest) = rest.split_once('.')?;
                Some((at.parse::<usize>().ok()?, rest.to_owned()))
            });
            match place {
                Some((at, _)) if at == nth => {}
                Some((at, rest)) if at > nth => {
                    self.set(format!("{prefix}{}.{rest}", at - 1), text);
                }
                _ => self.set(key, text),
            }
        }
    }

    /// Fills what a group lacks with its defaults; a group that was there
    /// already keeps its box as it is.
    fn fill(&mut self, slot: &Slot) {
        let group = slot.group;
        let mut fields = group.fields.iter();
        let new = fields.all(|field| !self.0.contains_key(&slot.name(field, 0)));
        if new && group.when == When::Ticked(true) {
            self.set(slot.tick(), "on");
        }
        for field in group.fields {
            let name = slot.name(field, 0);
            if self.0.contains_key(&name) {
                continue;
            }
            if field.input == Input::Pitch {
                self.set(format!("{name}.as"), "rise");
            }
            // No opening decides a part's span.
            let default = match field.default {
                "" if field.path == "span" && slot.part.is_some() => "24",
                default => default,
            };
            if !default.is_empty() {
                self.set(name, default);
            }
        }
    }
}

/// The design as JSON of the contract, checked field by field. Rules that
/// join fields are the engine's.
///
/// # Errors
/// Every field that cannot be read.
pub fn to_json(typed: &Typed, name: &str) -> Result<Value, Errors> {
    let Some(kind) = kinds::kind(typed.get("kind")) else {
        return Err(Errors::one("kind", "Choose one of the kinds."));
    };
    let Some(unit) =
        Unit::from_symbol(typed.get("unit")).filter(|u| matches!(u, Unit::Inch | Unit::Millimetre))
    else {
        return Err(Errors::one("unit", "Choose inches or millimetres."));
    };
    let mut errors = Errors::default();
    let mut design = Map::new();
    design.insert("unit".into(), unit.symbol().into());
    design.insert("kind".into(), kind.kind.into());
    design.insert("name".into(), name.into());
    let mut design = Value::Object(design);
    for slot in slots(typed).into_iter().filter(|s| s.counts(typed)) {
        for nth in 0..slot.many(typed) {
            for field in slot.group.fields {
                let at = slot.name(field, nth);
                match read(typed, &at, field, unit) {
                    Ok(Some(value)) => put(&mut design, &at, value),
                    Ok(None) => {}
                    Err(text) => errors.add(&at, text),
                }
            }
        }
    }
    if errors.is_empty() {
        Ok(design)
    } else {
        Err(errors)
    }
}

/// Puts a value at a dotted path; a step that is a number is a place in a
/// list. A path of our own table never meets anything else.
fn put(root: &mut Value, path: &str, value: Value) {
    let (head, rest) = match path.split_once('.') {
        Some((head, rest)) => (head, Some(rest)),
        None => (path, None),
    };
    match (root, rest) {
        (Value::Object(map), None) => {
            map.insert(head.to_owned(), value);
        }
        (Value::Object(map), Some(rest)) => {
            let is_place = rest
                .split('.')
                .next()
                .is_some_and(|next| next.parse::<usize>().is_ok());
            let empty = if is_place {
                Value::Array(Vec::new())
            } else {
                Value::Object(Map::new())
            };
            put(map.entry(head).or_insert(empty), rest, value);
        }
        (Value::Array(list), Some(rest)) => {
            let Some(nth) = head.parse::<usize>().ok().filter(|n| *n < MOST_RUNS) else {
                return;
            };
            if list.len() <= nth {
                list.resize(nth + 1, Value::Object(Map::new()));
            }
            if let Some(child) = list.get_mut(nth) {
                put(child, rest, value);
            }
        }
        _ => {}
    }
}

/// The form's field that a path of the design is in, such as
/// `runs[1].section[2][0]` → `runs.1.section`; `None` if no field is.
#[must_use]
pub fn field_at(typed: &Typed, path: &str) -> Option<String> {
    if let Some(name) = path
        .strip_prefix("run `")
        .and_then(|rest| rest.split('`').next())
    {
        return path_field(typed, name);
    }
    let path = path.replace('[', ".").replace(']', "");
    let names: Vec<String> = placed(typed).into_iter().map(|(.., name)| name).collect();
    let inside = |name: &String| path == *name || path.starts_with(&format!("{name}."));
    let whole = |name: &String| name.starts_with(&format!("{path}."));
    names
        .iter()
        .filter(|n| inside(n))
        .max_by_key(|n| n.len())
        .or_else(|| names.iter().find(|n| whole(n)))
        .cloned()
}

/// The field with the path of the run of this name.
fn path_field(typed: &Typed, name: &str) -> Option<String> {
    let lists = slots(typed).into_iter().filter(|s| s.group.key == "runs");
    let mut paths = lists.flat_map(|slot| {
        let list = slot.list();
        let before = slot
            .part
            .map_or_else(String::new, |part| format!("{part}-"));
        (0..typed.entries(&list)).filter_map(move |nth| {
            let named = typed.get(&format!("{list}.{nth}.name")).trim().to_owned();
            (format!("{before}{named}") == name).then(|| format!("{list}.{nth}.path"))
        })
    });
    paths.next()
}

/// Every field that this form has, with its group and its name.
pub(super) fn placed(typed: &Typed) -> Vec<(Slot, &'static Field, String)> {
    let mut all = Vec::new();
    for slot in slots(typed) {
        for nth in 0..slot.many(typed) {
            for field in slot.group.fields {
                all.push((slot.clone(), field, slot.name(field, nth)));
            }
        }
    }
    all
}

/// The label of a field of the form; the name itself if the table has none.
#[must_use]
pub fn label_of(typed: &Typed, name: &str) -> String {
    let found = placed(typed).into_iter().find(|(.., n)| n == name);
    found.map_or_else(
        || name.to_owned(),
        |(slot, field, _)| format!("{}: {}", slot.title(), field.label),
    )
}
