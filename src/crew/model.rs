//! The plan, absences, hours and notes.

use chrono::{Datelike as _, Days, NaiveDate, Weekday};

use crate::access::UserId;
use crate::heads::{HeadId, StepId};
use crate::jobs::JobId;
use crate::{choices, record_id};

record_id! {
    /// One step of one head on the plan.
    pub SlotId
}
record_id! {
    /// A row of hours.
    pub HoursId
}
record_id! {
    /// A note.
    pub NoteId
}

choices! {
    /// Why somebody is away.
    pub AbsenceReason {
        /// Ill.
        Sick = "sick", "sick";
        /// On holiday.
        Holiday = "holiday", "holiday";
        /// Learning.
        School = "school", "school";
        /// Something else.
        Other = "other", "other";
    }
}

/// Minutes one person works on a day before the plan says it is too much.
pub const DAY_MINUTES: i64 = 8 * 60;

/// The Monday of the week of this day.
#[must_use]
pub fn monday(day: NaiveDate) -> NaiveDate {
    day.checked_sub_days(Days::new(u64::from(day.weekday().num_days_from_monday())))
        .unwrap_or(day)
}

/// The next day that is worked on: no Saturday, no Sunday.
#[must_use]
pub fn next_working(day: NaiveDate) -> NaiveDate {
    let mut next = day;
    for _ in 0..7 {
        next = next.succ_opt().unwrap_or(next);
        if !matches!(next.weekday(), Weekday::Sat | Weekday::Sun) {
            break;
        }
    }
    next
}

/// A step of a head on the plan, as read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slot {
    /// Which.
    pub id: SlotId,
    /// Goes up with every change.
    pub version: i64,
    /// The head.
    pub head: HeadId,
    /// The step.
    pub step: StepId,
    /// The step's word.
    pub step_name: String,
    /// Who.
    pub user: UserId,
    /// On which day.
    pub day: NaiveDate,
    /// The head has reached this step.
    pub done: bool,
}

/// Somebody is away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Absence {
    /// Its row.
    pub id: i64,
    /// Who.
    pub user: UserId,
    /// From.
    pub first: NaiveDate,
    /// To.
    pub last: NaiveDate,
    /// Why.
    pub reason: AbsenceReason,
}

/// A day that was lost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LostDay {
    /// The job's code; `None` for the whole firm.
    pub job: Option<String>,
    /// Which day.
    pub day: NaiveDate,
    /// Why.
    pub reason: String,
    /// Temporary cover.
    pub cover: String,
    /// How many steps moved on.
    pub moved: i64,
}

/// Hours to be written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewHours {
    /// Whose.
    pub user: UserId,
    /// On which job.
    pub job: JobId,
    /// On which head.
    pub head: Option<HeadId>,
    /// On which step of it.
    pub step: Option<StepId>,
    /// When.
    pub day: NaiveDate,
    /// How long; 0 strikes an earlier row out.
    pub minutes: i64,
    /// By the timer.
    pub timed: bool,
    /// What else.
    pub note: String,
}

/// Hours as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hours {
    /// Which.
    pub id: HoursId,
    /// Whose.
    pub user: UserId,
    /// Their name.
    pub who: String,
    /// On which job.
    pub job: JobId,
    /// Its code.
    pub code: String,
    /// On which head.
    pub head: Option<(HeadId, String)>,
    /// On which step.
    pub step: Option<String>,
    /// When.
    pub day: NaiveDate,
    /// How long.
    pub minutes: i64,
    /// By the timer.
    pub timed: bool,
    /// What else.
    pub note: String,
    /// The row it replaces.
    pub replaces: Option<HoursId>,
    /// Who wrote it down, and when.
    pub by: (String, crate::db::Stamp),
}

/// The timer that runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Timer {
    /// Since.
    pub since: crate::db::Stamp,
    /// On which head.
    pub head: HeadId,
    /// In words.
    pub words: String,
    /// On which step.
    pub step: Option<StepId>,
    /// The job.
    pub job: JobId,
}

/// A note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    /// Which.
    pub id: NoteId,
    /// From whom.
    pub from: String,
    /// To whom.
    pub to: Option<(UserId, String)>,
    /// On which job.
    pub job: JobId,
    /// Its code.
    pub code: String,
    /// On which head.
    pub head: Option<(HeadId, String)>,
    /// What.
    pub words: String,
    /// When.
    pub at: crate::db::Stamp,
    /// Whoever it was for has seen it.
    pub seen: bool,
}
