//! What was typed into a head's form, to the design's JSON and back.
//!
//! The table of [`super::kinds`] drives both ways, so no kind has code of its
//! own. Nothing typed is ever dropped: a form that is refused is shown again
//! from the same [`Typed`].

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use super::kinds::{self, Field, Group, Input, Kind, When};
use super::reading::read;
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

    /// Whether a group counts.
    #[must_use]
    pub fn has(&self, group: &Group) -> bool {
        match group.when {
            When::Always | When::Each => true,
            When::Ticked(_) => !self.get(&with(group)).is_empty(),
        }
    }

    /// How many entries a repeated group has, at least one.
    #[must_use]
    pub fn count(&self, group: &Group) -> usize {
        let prefix = format!("{}.", group.key);
        let last = self
            .0
            .keys()
            .filter_map(|k| {
                k.strip_prefix(&prefix)?
                    .split('.')
                    .next()?
                    .parse::<usize>()
                    .ok()
            })
            .filter(|n| *n < MOST_RUNS)
            .max();
        last.map_or(1, |n| n + 1)
    }

    /// A new head's form of this kind, every field at its default.
    #[must_use]
    pub fn fresh(kind: &Kind) -> Self {
        let mut typed = Self::default();
        typed.set("kind", kind.kind);
        typed.set("unit", "in");
        for group in kinds::KINDS.iter().flat_map(|k| k.groups) {
            typed.fill(group);
        }
        typed
    }

    /// One more entry of a repeated group, at its defaults.
    pub fn add(&mut self, group: &Group) {
        let nth = self.count(group);
        if nth >= MOST_RUNS {
            return;
        }
        for field in group.fields {
            self.set(name_of(group, field, nth), field.default);
        }
        if let Some(name) = group.fields.iter().find(|f| f.input == Input::Name) {
            self.set(
                name_of(group, name, nth),
                format!("{}-{}", name.default, nth + 1),
            );
        }
    }

    /// Without one entry of a repeated group; those after it move up.
    pub fn remove(&mut self, group: &Group, nth: usize) {
        let many = self.count(group);
        for at in nth..many {
            for field in group.fields {
                let next = self.0.remove(&name_of(group, field, at + 1));
                self.0.remove(&name_of(group, field, at));
                if let Some(text) = next {
                    self.set(name_of(group, field, at), text);
                }
            }
        }
    }

    /// Fills the blanks of a group with its defaults.
    fn fill(&mut self, group: &Group) {
        if group.when == When::Ticked(true) {
            self.set(with(group), "on");
        }
        for field in group.fields {
            let name = name_of(group, field, 0);
            if field.input == Input::Pitch {
                self.set(format!("{name}.as"), "rise");
            }
            if !field.default.is_empty() {
                self.set(name, field.default);
            }
        }
    }
}

/// The name of the box that says whether a group counts.
#[must_use]
pub fn with(group: &Group) -> String {
    format!("with.{}", group.key)
}

/// The name of a field in the form; `nth` counts only in a repeated group.
#[must_use]
pub fn name_of(group: &Group, field: &Field, nth: usize) -> String {
    match group.when {
        When::Each => format!("{}.{nth}.{}", group.key, field.path),
        When::Always | When::Ticked(_) => field.path.to_owned(),
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
    for group in kind.groups.iter().filter(|g| typed.has(g)) {
        let many = if group.when == When::Each {
            typed.count(group)
        } else {
            1
        };
        for nth in 0..many {
            for field in group.fields {
                let at = name_of(group, field, nth);
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
        let named = |nth: &usize| typed.get(&format!("runs.{nth}.name")).trim() == name;
        return (0..MOST_RUNS)
            .find(named)
            .map(|nth| format!("runs.{nth}.path"));
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

/// Every field that a form of this kind has, with its name.
pub(super) fn placed(typed: &Typed) -> Vec<(&'static Group, &'static Field, String)> {
    let mut all = Vec::new();
    for group in kinds::kind(typed.get("kind"))
        .into_iter()
        .flat_map(|k| k.groups)
    {
        let many = if group.when == When::Each {
            typed.count(group)
        } else {
            1
        };
        for nth in 0..many {
            all.extend(
                group
                    .fields
                    .iter()
                    .map(|field| (*group, field, name_of(group, field, nth))),
            );
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
        |(group, field, _)| format!("{}: {}", group.title, field.label),
    )
}
