//! Heads as the program knows them: the design as typed, where it stands,
//! what happened to it.

use serde_json::Value;

use super::steps::{Standing, StepId};
use crate::db::Stamp;
use crate::{choices, record_id};

record_id! {
    /// A tick that met a changed sheet.
    pub LateTickId
}

record_id! {
    /// Which head.
    pub HeadId
}

/// The form of the design's JSON that this program writes.
pub const FORM_VERSION: i64 = 1;

/// A head's name: one to 120 characters, trimmed, none of them unprintable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeadName(String);

impl HeadName {
    /// Longest name.
    pub const LONGEST: usize = 120;

    /// From text already checked by the form's rules.
    ///
    /// # Errors
    /// What is wrong, for the person who typed it.
    pub fn parse(text: &str) -> Result<Self, String> {
        let text = text.trim();
        let count = text.chars().count();
        if count == 0 {
            return Err("Give the head a name, such as Street door.".into());
        }
        if count > Self::LONGEST {
            return Err(format!(
                "At most {} characters; this has {count}.",
                Self::LONGEST
            ));
        }
        if let Some(at) = text.chars().position(char::is_control) {
            return Err(format!(
                "Character {} cannot be printed. Delete it.",
                at + 1
            ));
        }
        Ok(Self(text.to_owned()))
    }

    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Where a head belongs, in the words of its opening and job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Row of the opening.
    pub opening: i64,
    /// Its mark, such as W1.
    pub mark: String,
    /// Row of the job.
    pub job: i64,
    /// Its code, such as SM.
    pub job_code: String,
    /// Its title.
    pub job_title: String,
}

/// A head as lists show it.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// Which.
    pub id: HeadId,
    /// Its name.
    pub name: String,
    /// Its kind's word.
    pub kind: String,
    /// Goes up with every change.
    pub version: i64,
    /// Goes up when the cut sheet changes.
    pub sheet_version: i64,
    /// When it was put away.
    pub archived_at: Option<Stamp>,
    /// Opening and job.
    pub place: Place,
    /// The last step reached.
    pub step: StepId,
    /// The word for it.
    pub step_name: String,
    /// Why it is held.
    pub held: Option<String>,
}

/// A head with its design.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// What lists show.
    pub card: Card,
    /// JSON of the contract, as typed.
    pub design: Value,
    /// The bench's measures, JSON of the contract's `as_built`.
    pub as_built: Option<Value>,
    /// When the present design was saved.
    pub drawn_at: Stamp,
    /// By whom.
    pub drawn_by: Option<String>,
}

/// A tick from a phone that met a changed sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LateTick {
    /// Which.
    pub id: LateTickId,
    /// The piece.
    pub label: String,
    /// Of this sheet, which is no longer the present one.
    pub sheet_version: i64,
    /// Cut, or not after all.
    pub done: bool,
    /// When, by the phone's clock.
    pub said_at: Stamp,
    /// By whom.
    pub who: Option<String>,
}

/// What is planned for one step of a head.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stage {
    /// The step.
    pub step: StepId,
    /// Row of whoever does it.
    pub assignee: Option<i64>,
    /// Their name.
    pub assignee_name: Option<String>,
    /// This head does not need it.
    pub not_needed: bool,
}

choices! {
    /// What may happen to a head.
    pub What {
        /// Put down for the first time.
        Created = "created", "put down";
        /// Its name changed.
        Renamed = "renamed", "renamed";
        /// Its design changed; the old one is kept in the event.
        Redrawn = "redrawn", "design changed";
        /// On to the next step.
        Moved = "moved", "on to";
        /// Held with a reason.
        Held = "held", "held";
        /// Going on again.
        Released = "released", "released";
        /// Back to an earlier step, with a reason.
        SentBack = "sent-back", "sent back to";
        /// A step is not needed.
        NotNeeded = "not-needed", "marked not needed:";
        /// A step is needed after all.
        Needed = "needed", "marked needed:";
        /// A step was given to somebody, or taken from them.
        Assigned = "assigned", "given:";
        /// The bench's measures were written down.
        Measured = "measured", "measured at the bench";
        /// Put away.
        Archived = "archived", "archived";
        /// Taken out again.
        BroughtBack = "brought-back", "brought back";
        /// A piece is to be made again.
        Again = "again", "to be made again:";
        /// The last change was taken back.
        Undone = "undone", "taken back:";
    }
}

/// One thing that happened; never changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Order of happening.
    pub id: i64,
    /// When.
    pub at: Stamp,
    /// By whom, by name.
    pub who: Option<String>,
    /// What.
    pub what: What,
    /// The head's version after it.
    pub head_version: i64,
    /// From which step.
    pub from: Option<String>,
    /// To which step, or which step it is about.
    pub to: Option<String>,
    /// To whom.
    pub person: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// What was there before.
    pub old: Option<String>,
    /// What is there now.
    pub new: Option<String>,
}

/// A head to be put down.
#[derive(Debug, Clone, PartialEq)]
pub struct NewHead {
    /// Row of its opening.
    pub opening: i64,
    /// Its name.
    pub name: HeadName,
    /// Checked JSON of the contract.
    pub design: Value,
}

/// A head's standing with the version it is true of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct At {
    /// Version of the head.
    pub version: i64,
    /// Where it stands.
    pub standing: Standing,
}

/// A piece ticked off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tick {
    /// Its label.
    pub label: String,
    /// By whom.
    pub who: Option<String>,
    /// When.
    pub at: Stamp,
}

/// A piece that is to be made again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Again {
    /// Its label.
    pub label: String,
    /// Why.
    pub reason: String,
}

/// A change that its maker may still take back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Undoable {
    /// What was done.
    pub what: What,
    /// How long that stays open.
    pub left: std::time::Duration,
}
