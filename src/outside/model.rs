//! An outside firm, and its part of a job.

use chrono::NaiveDate;

use crate::db::Stamp;
use crate::jobs::JobId;
use crate::{choices, record_id};

record_id! {
    /// An outside firm's row.
    pub OutsideId
}

record_id! {
    /// The row of a firm's part of a job.
    pub WorkId
}

record_id! {
    /// A private link's row.
    pub LinkId
}

choices! {
    /// What an outside firm does.
    pub Trade {
        /// Paint.
        Painter = "painter", "Painter";
        /// Scaffolds.
        Scaffolder = "scaffolder", "Scaffolder";
        /// Flashing and gutters.
        SheetMetal = "sheet-metal", "Sheet metal";
        /// Anything else.
        Other = "other", "Another trade";
    }
}

/// How many days a private link holds.
pub const LINK_DAYS: u64 = 60;

/// A firm as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutsideFacts {
    /// Its name.
    pub name: String,
    /// What it does.
    pub trade: Trade,
    /// Whom to ask for.
    pub contact: String,
    /// Telephone.
    pub phone: String,
    /// E-mail.
    pub email: String,
    /// The last day that its insurance paper covers.
    pub insured_until: Option<NaiveDate>,
    /// What else to know.
    pub note: String,
}

/// A firm as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outside {
    /// The row.
    pub id: OutsideId,
    /// What is known.
    pub facts: OutsideFacts,
    /// Rises by one with each change.
    pub version: i64,
    /// Put away since.
    pub archived: bool,
}

/// A firm's part of a job as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkFacts {
    /// Which firm.
    pub firm: OutsideId,
    /// First day on site.
    pub first_day: Option<NaiveDate>,
    /// Last day on site.
    pub last_day: Option<NaiveDate>,
    /// What they do: their link shows it.
    pub does: String,
    /// For the crew only.
    pub note: String,
}

/// A firm's part of a job as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Work {
    /// The row.
    pub id: WorkId,
    /// Which job.
    pub job: JobId,
    /// Its code.
    pub job_code: String,
    /// Where it is.
    pub site_address: String,
    /// Who leads it.
    pub foreman: Option<String>,
    /// The firm's name.
    pub name: String,
    /// What the firm does.
    pub trade: Trade,
    /// Whom to ask for, and how to reach them.
    pub contact: (String, String),
    /// The last day that its insurance paper covers.
    pub insured_until: Option<NaiveDate>,
    /// What is known.
    pub facts: WorkFacts,
    /// Rises by one with each change.
    pub version: i64,
    /// Put away since.
    pub archived: bool,
}

/// A private link as kept, without its token.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// The row.
    pub id: LinkId,
    /// When it was made.
    pub made_at: Stamp,
    /// Until when it holds.
    pub expires_at: Stamp,
}

impl Work {
    /// The days in words; empty if none is settled.
    #[must_use]
    pub fn days(&self) -> String {
        match (self.facts.first_day, self.facts.last_day) {
            (Some(first), Some(last)) if first == last => first.to_string(),
            (Some(first), Some(last)) => format!("{first} to {last}"),
            (Some(first), None) => format!("from {first}"),
            (None, Some(last)) => format!("until {last}"),
            (None, None) => String::new(),
        }
    }

    /// What is amiss with the firm's insurance for these days; nothing if its
    /// paper covers them.
    #[must_use]
    pub fn uninsured(&self, today: NaiveDate) -> Option<String> {
        let needed = self.facts.last_day.or(self.facts.first_day);
        let needed = needed.map_or(today, |day| day.max(today));
        match self.insured_until {
            None => Some("no insurance paper is written down".to_owned()),
            Some(until) if until < today => Some(format!("its insurance ended on {until}")),
            Some(until) if until < needed => Some(format!(
                "its insurance ends on {until}, before the work does"
            )),
            Some(_) => None,
        }
    }
}
