//! What was typed into a section's form: field and text, with the rows of
//! members that grow, shrink and change places.

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use crate::web::Fields;

/// Most members that a form holds.
pub const MOST_MEMBERS: usize = 40;

/// The fields of one member.
pub const MEMBER: [&str; 5] = ["is", "height", "out", "struck", "depth"];

/// Field name → text, as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Typed(BTreeMap<String, String>);

/// The name of a field of a member, such as `member.0.height`.
#[must_use]
pub fn member(nth: usize, field: &str) -> String {
    format!("member.{nth}.{field}")
}

impl Typed {
    /// A new form: a small crown to begin with.
    #[must_use]
    pub fn fresh() -> Self {
        let mut typed = Self::default();
        for (field, text) in [
            ("kind", "parts"),
            ("unit", "in"),
            ("projection", "2 1/4"),
            ("back", "solid"),
            ("seat", "3/8"),
            ("drawn_in", "in"),
            ("faces", "right"),
        ] {
            typed.set(field, text);
        }
        for [is, height, out, struck] in [
            ["fillet", "3/8", "", "roman"],
            ["cyma-recta", "1 1/4", "1 1/4", "roman"],
            ["fillet", "1/4", "", "roman"],
            ["cavetto", "3/4", "3/4", "roman"],
        ] {
            let nth = typed.members();
            for (field, text) in MEMBER.into_iter().zip([is, height, out, struck, ""]) {
                typed.set(member(nth, field), text);
            }
        }
        typed
    }

    /// What a posted form holds, without uploads: a file counts only when its
    /// own button sent it.
    #[must_use]
    pub fn of(fields: &Fields) -> Self {
        let shown = fields.shown();
        let kept = shown.iter().filter(|(name, _)| *name != "file");
        Self(kept.map(|(k, v)| (k.to_owned(), v.to_owned())).collect())
    }

    /// What was kept with a drawing.
    #[must_use]
    pub fn of_json(value: &Value) -> Self {
        let mut typed = Self::default();
        for (field, text) in value.as_object().into_iter().flatten() {
            if let Some(text) = text.as_str() {
                typed.set(field.as_str(), text);
            }
        }
        typed
    }

    /// What is kept with a drawing: never the text of a file, since the curves
    /// themselves are kept.
    #[must_use]
    pub fn to_json(&self) -> Value {
        let kept = |name: &str| !matches!(name, "path" | "dxf" | "do" | "name" | "note");
        let fields = self.0.iter().filter(|(name, _)| kept(name));
        Value::Object(
            fields
                .map(|(name, text)| (name.clone(), text.as_str().into()))
                .collect::<Map<_, _>>(),
        )
    }

    /// The text of a field, trimmed; empty if nothing came.
    #[must_use]
    pub fn get(&self, field: &str) -> &str {
        self.0.get(field).map_or("", |text| text.trim())
    }

    /// Puts a text into a field.
    pub fn set(&mut self, field: impl Into<String>, text: impl Into<String>) {
        self.0.insert(field.into(), text.into());
    }

    /// For the form to show.
    #[must_use]
    pub fn fields(&self) -> Fields {
        Fields::new(self.0.clone().into_iter().collect())
    }

    /// Field and text.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().map(|(k, v)| (k.as_str(), v.as_str()))
    }

    /// How many members the form has.
    #[must_use]
    pub fn members(&self) -> usize {
        let nth = |name: &String| -> Option<usize> {
            let rest = name.strip_prefix("member.")?;
            rest.split('.').next()?.parse().ok()
        };
        let last = self.0.keys().filter_map(nth).filter(|n| *n < MOST_MEMBERS);
        last.max().map_or(0, |n| n + 1)
    }

    /// Does what a button of the list asks: `add`, `remove-2`, `up-2`,
    /// `down-2`. Anything else changes nothing.
    pub fn change_list(&mut self, asked: &str) {
        let nth = |start: &str| -> Option<usize> {
            let nth = asked.strip_prefix(start)?.parse().ok()?;
            (nth < self.members()).then_some(nth)
        };
        if asked == "add" {
            self.add();
        } else if let Some(nth) = nth("remove-") {
            self.remove(nth);
        } else if let Some(nth) = nth("up-").filter(|n| *n > 0) {
            self.swap(nth, nth - 1);
        } else if let Some(nth) = nth("down-").filter(|n| n + 1 < self.members()) {
            self.swap(nth, nth + 1);
        }
    }

    fn add(&mut self) {
        let nth = self.members();
        if nth >= MOST_MEMBERS {
            return;
        }
        for (field, text) in MEMBER.into_iter().zip(["fillet", "1/4", "", "roman", ""]) {
            self.set(member(nth, field), text);
        }
    }

    fn remove(&mut self, nth: usize) {
        let last = self.members() - 1;
        for at in nth..last {
            self.swap(at, at + 1);
        }
        for field in MEMBER {
            self.0.remove(&member(last, field));
        }
    }

    fn swap(&mut self, one: usize, two: usize) {
        for field in MEMBER {
            let (a, b) = (member(one, field), member(two, field));
            let (at_a, at_b) = (self.0.remove(&a), self.0.remove(&b));
            self.0.extend(at_b.map(|text| (a, text)));
            self.0.extend(at_a.map(|text| (b, text)));
        }
    }
}
