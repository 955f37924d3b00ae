//! Checklists, what is signed, talks and incidents.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::access::UserId;
use crate::db::Stamp;
use crate::heads::{HeadId, StepId};
use crate::jobs::JobId;
use crate::measure::Length;
use crate::{choices, record_id};

record_id! {
    /// A checklist the firm asks.
    pub TemplateId
}
record_id! {
    /// A signed checklist.
    pub ChecklistId
}
record_id! {
    /// A talk.
    pub TalkId
}
record_id! {
    /// An accident or near miss.
    pub IncidentId
}

choices! {
    /// How often a checklist is asked.
    pub Scope {
        /// On each day of work at the job.
        Day = "day", "each day";
        /// Once for the job.
        Job = "job", "once for the job";
        /// Once for each head.
        Head = "head", "for each head";
    }
}

choices! {
    /// How one gets up to the work.
    pub Reach {
        /// Ladders.
        Ladder = "ladder", "ladders";
        /// A scaffold.
        Scaffold = "scaffold", "a scaffold";
        /// A lift or hoist.
        Lift = "lift", "a lift";
    }
}

choices! {
    /// Overhead lines.
    pub Lines {
        /// Nobody has looked yet.
        Unknown = "unknown", "nobody has looked yet";
        /// None near.
        None = "none", "none near the work";
        /// There are some.
        There = "there", "there are lines";
    }
}

choices! {
    /// Whether the siding may hold asbestos.
    pub Doubt {
        /// Not decided.
        Unknown = "unknown", "not decided";
        /// It does not: sampled, or new.
        No = "no", "no: sampled, or new";
        /// It may.
        May = "may", "it may";
    }
}

choices! {
    /// One answer.
    pub Answer {
        /// It is so.
        Yes = "yes", "Yes";
        /// It is not: work waits.
        No = "no", "No";
        /// It does not come up here.
        NotHere = "not-here", "Not here";
    }
}

choices! {
    /// What kind of incident.
    pub IncidentKind {
        /// Nobody was hurt, this time.
        NearMiss = "near-miss", "Near miss";
        /// Treated on site.
        FirstAid = "first-aid", "First aid";
        /// A doctor was needed.
        Injury = "injury", "Injury";
        /// Only things were damaged.
        Damage = "damage", "Damage";
    }
}

/// A checklist as the firm asks it now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Template {
    /// Which.
    pub id: TemplateId,
    /// The topic by which the rule picks it; `None` for one of the firm's own.
    pub topic: Option<String>,
    /// How often.
    pub scope: Scope,
    /// The edition in use.
    pub edition: i64,
    /// Its title.
    pub title: String,
    /// The questions.
    pub asks: Vec<String>,
    /// Sections and sources.
    pub source: String,
    /// The steps before which it must be signed.
    pub before: Vec<StepId>,
    /// No longer asked.
    pub archived: bool,
}

/// A checklist's words as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewTemplate {
    /// Its title.
    pub title: String,
    /// How often.
    pub scope: Scope,
    /// The questions.
    pub asks: Vec<String>,
    /// Sections and sources.
    pub source: String,
    /// The steps before which it must be signed.
    pub before: Vec<StepId>,
}

/// One question with its answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Answered {
    /// The question as it was asked.
    pub ask: String,
    /// `yes`, `no` or `not-here`.
    pub answer: String,
    /// What was written beside it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// A checklist to be signed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewChecklist {
    /// Whose questions.
    pub template: TemplateId,
    /// In which edition.
    pub edition: i64,
    /// Which job.
    pub job: JobId,
    /// Which head, for a checklist of heads.
    pub head: Option<HeadId>,
    /// The day it is for.
    pub day: NaiveDate,
    /// Every answer.
    pub answers: Vec<Answered>,
    /// What else to say.
    pub note: String,
}

impl NewChecklist {
    /// Nothing is answered with no.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        self.answers.iter().all(|a| a.answer != Answer::No.code())
    }
}

/// A signed checklist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed {
    /// Which.
    pub id: ChecklistId,
    /// Its template.
    pub template: TemplateId,
    /// The title that was signed.
    pub title: String,
    /// Sections and sources as they stood then.
    pub source: String,
    /// Which job.
    pub job: JobId,
    /// Which head.
    pub head: Option<HeadId>,
    /// The day it is for.
    pub day: String,
    /// Nothing was answered with no.
    pub clear: bool,
    /// The answers.
    pub answers: Vec<Answered>,
    /// What else was said.
    pub note: String,
    /// Who signed.
    pub who: String,
    /// When.
    pub at: Stamp,
}

/// What is known of a job's site for the rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Hazards {
    /// How high the feet stand at the highest work; `None`: by the storeys.
    pub work_height: Option<Length>,
    /// How one gets up there.
    pub reach: Reach,
    /// Overhead lines.
    pub lines: Lines,
    /// How far away.
    pub line_distance: Option<Length>,
    /// Kilovolts.
    pub line_kv: Option<f64>,
    /// Insulated.
    pub line_insulated: bool,
    /// A licensed test found no lead.
    pub lead_ruled_out: bool,
    /// Old paint to be disturbed, square feet.
    pub old_paint_sqft: Option<f64>,
    /// A window is replaced.
    pub window_replaced: bool,
    /// Whether the siding may hold asbestos.
    pub asbestos: Doubt,
    /// Fibre cement is cut.
    pub fibre_cement: bool,
    /// Fast glue with accelerator.
    pub adhesive: bool,
    /// Highest heat index expected, °F.
    pub heat_index_f: Option<i64>,
}

impl Default for Hazards {
    fn default() -> Self {
        Self {
            work_height: None,
            reach: Reach::Ladder,
            lines: Lines::Unknown,
            line_distance: None,
            line_kv: None,
            line_insulated: false,
            lead_ruled_out: false,
            old_paint_sqft: None,
            window_replaced: false,
            asbestos: Doubt::Unknown,
            fibre_cement: false,
            adhesive: false,
            heat_index_f: None,
        }
    }
}

/// A talk to be written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewTalk {
    /// Which job.
    pub job: JobId,
    /// The day.
    pub day: NaiveDate,
    /// What about.
    pub topic: String,
    /// What was said.
    pub said: String,
    /// Who of the firm was there.
    pub there: Vec<UserId>,
    /// Who else.
    pub others: String,
}

/// A talk as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Talk {
    /// The day.
    pub day: String,
    /// What about.
    pub topic: String,
    /// What was said.
    pub said: String,
    /// Who gave it.
    pub who: String,
    /// Who was there.
    pub there: Vec<String>,
    /// Who else.
    pub others: String,
}

/// An incident to be written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewIncident {
    /// Which job.
    pub job: JobId,
    /// The day.
    pub day: NaiveDate,
    /// The time of day, if known.
    pub time: String,
    /// What kind.
    pub kind: IncidentKind,
    /// What happened.
    pub what: String,
    /// To whom.
    pub who: String,
    /// What was done for them.
    pub care: String,
    /// What is changed so that it does not happen again.
    pub changed: String,
}

/// An incident as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Incident {
    /// Which.
    pub id: IncidentId,
    /// The job.
    pub job: JobId,
    /// The job's code.
    pub code: String,
    /// Day and time.
    pub when: String,
    /// What kind.
    pub kind: IncidentKind,
    /// What happened.
    pub what: String,
    /// To whom.
    pub who: String,
    /// What was done.
    pub care: String,
    /// What is changed.
    pub changed: String,
    /// Who wrote it down.
    pub by: String,
    /// Their row.
    pub by_id: i64,
}
