//! A job: one piece of work at one address.

use std::fmt;

use chrono::NaiveDate;

use crate::access::UserId;
use crate::clients::ClientId;
use crate::db::Stamp;
use crate::record_id;

record_id! {
    /// A job's row.
    pub JobId
}

/// The short code that names a job on labels and sheets: `SM`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobCode(String);

impl JobCode {
    /// Letters, figures and hyphens, at most twelve, the letters made capital.
    ///
    /// # Errors
    /// What is allowed instead.
    pub fn parse(text: &str) -> Result<Self, &'static str> {
        let fits = (1..=12).contains(&text.len())
            && text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
            && text.bytes().any(|b| b.is_ascii_alphanumeric());
        if fits {
            Ok(Self(text.to_ascii_uppercase()))
        } else {
            Err("Write a short code of letters and figures, such as SM or 26-014; at most 12.")
        }
    }

    /// As written.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for JobCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A job as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobFacts {
    /// Whose job it is.
    pub client: ClientId,
    /// Its code.
    pub code: JobCode,
    /// What it is.
    pub title: String,
    /// Where it is.
    pub site_address: String,
    /// How one gets in; the crew reads this.
    pub access: String,
    /// Whom to ask for on site; office and foreman only.
    pub site_contact: String,
    /// When the house was built: before 1978 there may be lead in the paint.
    pub year_built: Option<i64>,
    /// Listed, or in a historic district.
    pub historic: bool,
    /// District or zone whose rules hold.
    pub zone: String,
    /// Who leads it.
    pub foreman: Option<UserId>,
    /// First day on site.
    pub first_day: Option<NaiveDate>,
    /// Last day on site.
    pub last_day: Option<NaiveDate>,
    /// When and how it is paid; office, owner and the job's foreman only.
    pub terms: String,
    /// What else to know; likewise.
    pub note: String,
}

/// A job as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// The row.
    pub id: JobId,
    /// What is known.
    pub facts: JobFacts,
    /// The client's name.
    pub client_name: String,
    /// The foreman's name.
    pub foreman_name: Option<String>,
    /// Rises by one with each change.
    pub version: i64,
    /// Put away since.
    pub archived_at: Option<Stamp>,
}

/// Paint of houses built before this year may hold lead: work on it asks for
/// lead-safe practice (40 CFR 745.82, seen in excerpts).
pub const LEAD_PAINT_YEAR: i64 = 1978;

impl JobFacts {
    /// Whether the old paint must be taken for lead paint: built before 1978.
    #[must_use]
    pub fn may_hold_lead(&self) -> bool {
        self.year_built.is_some_and(|year| year < LEAD_PAINT_YEAR)
    }
}
