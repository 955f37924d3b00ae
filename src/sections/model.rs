//! A section of the shelf: its name, its editions, and what happened to it.

use serde_json::Value;

use crate::choices;
use crate::db::Stamp;
use crate::record_id;
use crate::trim::section::Section;

record_id! {
    /// Which section.
    pub SectionId
}

/// Longest name.
pub const LONGEST_NAME: usize = 120;

choices! {
    /// How a section was given.
    pub Made {
        /// Member by member.
        Parts = "parts", "Member by member";
        /// Points measured on an old moulding.
        Points = "points", "Points measured on a moulding";
        /// The path of an SVG drawing.
        Path = "path", "The path of an SVG drawing";
        /// A DXF drawing.
        Dxf = "dxf", "The outline in a DXF drawing";
        /// Ripped from another.
        Rip = "rip", "Ripped from another section";
        /// Raked from another.
        Raked = "raked", "Raked from another section";
    }
}

choices! {
    /// What may happen to a section.
    pub What {
        /// Put on the shelf.
        Created = "created", "put on the shelf";
        /// Its name changed.
        Renamed = "renamed", "renamed";
        /// Drawn anew: another edition.
        Redrawn = "redrawn", "drawn anew";
        /// Its note changed.
        Noted = "noted", "note changed";
        /// Put away.
        Archived = "archived", "archived";
        /// Taken out again.
        BroughtBack = "brought-back", "brought back";
    }
}

/// A drawing with how it was given.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The curves.
    pub section: Section,
    /// How it was given.
    pub made_of: Made,
    /// What was typed, as an object of field and text.
    pub typed: Value,
}

/// A section of the shelf with the edition that counts now.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Which.
    pub id: SectionId,
    /// Its name.
    pub name: String,
    /// What else to know.
    pub note: String,
    /// Rises by one with each change.
    pub version: i64,
    /// Rises by one with each new drawing.
    pub edition: i64,
    /// Put away since.
    pub archived_at: Option<Stamp>,
    /// The drawing that counts now.
    pub drawing: Drawing,
}

/// What a form gives.
#[derive(Debug, Clone, PartialEq)]
pub struct NewSection {
    /// Its name.
    pub name: String,
    /// What else to know.
    pub note: String,
    /// How it is drawn.
    pub drawing: Drawing,
}

/// One thing that happened; never changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// When.
    pub at: Stamp,
    /// By whom, by name.
    pub who: Option<String>,
    /// What.
    pub what: What,
    /// The edition after it.
    pub edition: i64,
    /// The name before a renaming.
    pub old: Option<String>,
}

/// A section as a head takes it: one edition.
#[derive(Debug, Clone, PartialEq)]
pub struct ShelfEntry {
    /// Which.
    pub id: SectionId,
    /// Its name.
    pub name: String,
    /// Which edition this is.
    pub edition: i64,
    /// The curves.
    pub section: Section,
}
