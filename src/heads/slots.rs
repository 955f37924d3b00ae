//! Where each group of fields stands in a form: at its top, or within a part
//! of an assembly, its names then beginning with the part's place.

use super::kinds::{self, Field, Group, Kind, When};
use super::typed::Typed;

/// A group and where it stands.
#[derive(Debug, Clone)]
pub struct Slot {
    /// What its names begin with: nothing, or `parts.2.head.`.
    pub prefix: String,
    /// The part's name, where it stands in one.
    pub part: Option<String>,
    /// The group.
    pub group: &'static Group,
}

impl Slot {
    /// The name of a field; `nth` counts only in a repeated group.
    #[must_use]
    pub fn name(&self, field: &Field, nth: usize) -> String {
        format!("{}{}", self.prefix, name_of(self.group, field, nth))
    }

    /// The name of the box that says whether the group counts.
    #[must_use]
    pub fn tick(&self) -> String {
        format!("{}{}", self.prefix, with(self.group))
    }

    /// The path of the list, for a repeated group.
    #[must_use]
    pub fn list(&self) -> String {
        format!("{}{}", self.prefix, self.group.key)
    }

    /// Whether the group counts: its box is ticked, and that of the group it
    /// belongs to.
    #[must_use]
    pub fn counts(&self, typed: &Typed) -> bool {
        let When::Ticked(_) = self.group.when else {
            return true;
        };
        let owner = self.group.key.split_once('.').map(|(owner, _)| owner);
        let owned =
            owner.is_none_or(|o| !typed.get(&format!("{}with.{o}", self.prefix)).is_empty());
        owned && !typed.get(&self.tick()).is_empty()
    }

    /// How many entries it has; one unless it is repeated.
    #[must_use]
    pub fn many(&self, typed: &Typed) -> usize {
        match self.group.when {
            When::Each => typed.entries(&self.list()),
            When::Always | When::Ticked(_) => 1,
        }
    }

    /// What stands before its heading.
    #[must_use]
    pub fn title(&self) -> String {
        match &self.part {
            Some(part) => format!("{part}: {}", self.group.title),
            None => self.group.title.to_owned(),
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

/// The groups of a kind with these names before theirs.
fn of_kind(kind: &'static Kind, prefix: &str, part: Option<&str>) -> Vec<Slot> {
    let slot = |group: &&'static Group| Slot {
        prefix: prefix.to_owned(),
        part: part.map(str::to_owned),
        group,
    };
    kind.groups.iter().map(slot).collect()
}

/// Every group of the form, in order: a part's own after the list of parts.
#[must_use]
pub fn slots(typed: &Typed) -> Vec<Slot> {
    let Some(kind) = kinds::kind(typed.get("kind")) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for slot in of_kind(kind, "", None) {
        let many = if is_parts(slot.group) {
            slot.many(typed)
        } else {
            0
        };
        all.push(slot);
        for nth in 0..many {
            all.extend(of_part(typed, nth));
        }
    }
    all
}

/// Whether a group's entries are heads of their own.
#[must_use]
pub fn is_parts(group: &Group) -> bool {
    group.key == "parts"
}

/// What the names of a part's own fields begin with.
#[must_use]
pub fn part_prefix(nth: usize) -> String {
    format!("parts.{nth}.head.")
}

/// The groups of a part.
#[must_use]
pub fn of_part(typed: &Typed, nth: usize) -> Vec<Slot> {
    let prefix = part_prefix(nth);
    let word = typed.get(&format!("{prefix}kind"));
    let name = typed.get(&format!("parts.{nth}.name"));
    let kind = kinds::kind(word).filter(|kind| !kind.groups.iter().any(|g| is_parts(g)));
    kind.map_or_else(Vec::new, |kind| of_kind(kind, &prefix, Some(name)))
}
