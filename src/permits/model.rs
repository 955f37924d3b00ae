//! A permit, and whether it is in hand on a day.

use chrono::{Days, NaiveDate};

use crate::jobs::JobId;
use crate::{choices, record_id};

record_id! {
    /// A permit's row.
    pub PermitId
}

choices! {
    /// What sort of paper it is.
    pub PermitKind {
        /// From whoever inspects buildings.
        Building = "building", "Building permit";
        /// For changes to what is seen from the street.
        Certificate = "certificate", "Historic-district certificate";
        /// For a scaffold or a van on public ground.
        Street = "street", "Permit to stand on the street";
        /// Any other.
        Other = "other", "Another permit";
    }
}

choices! {
    /// Where it stands.
    pub PermitState {
        /// Not applied for yet.
        Needed = "needed", "needed";
        /// With the authority.
        Applied = "applied", "applied for";
        /// In hand, until it expires.
        Granted = "granted", "granted";
        /// Said no to.
        Refused = "refused", "refused";
        /// The work under it is done and signed off.
        Closed = "closed", "closed";
    }
}

/// A permit as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PermitFacts {
    /// What sort of paper.
    pub kind: PermitKind,
    /// Who grants it.
    pub authority: String,
    /// Its number.
    pub number: String,
    /// Where it stands.
    pub state: PermitState,
    /// What it asks for.
    pub conditions: String,
    /// When it was granted.
    pub granted_on: Option<NaiveDate>,
    /// The last day on which it holds.
    pub expires_on: Option<NaiveDate>,
    /// What else to know; not shown on site.
    pub note: String,
}

/// A permit as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Permit {
    /// The row.
    pub id: PermitId,
    /// Its job.
    pub job: JobId,
    /// The job's code.
    pub job_code: String,
    /// What is known.
    pub facts: PermitFacts,
    /// Rises by one with each change.
    pub version: i64,
    /// Put away since.
    pub archived: bool,
}

/// A permit that expires within so many days is spoken of ahead.
pub const SOON: u64 = 14;

impl PermitFacts {
    /// What it is and who grants it.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} ({})", self.kind.words(), self.authority)
    }

    /// Why it is not in hand on this day; nothing if it is, or if the work
    /// under it is signed off.
    #[must_use]
    pub fn lacks(&self, today: NaiveDate) -> Option<String> {
        match self.state {
            PermitState::Needed => Some("not applied for yet".to_owned()),
            PermitState::Applied => Some("applied for, not granted yet".to_owned()),
            PermitState::Refused => Some("refused".to_owned()),
            PermitState::Granted => match self.expires_on {
                Some(last) if last < today => Some(format!("expired after {last}")),
                _ => None,
            },
            PermitState::Closed => None,
        }
    }

    /// Its last day, if it is in hand and that day comes within [`SOON`].
    #[must_use]
    pub fn ends_soon(&self, today: NaiveDate) -> Option<NaiveDate> {
        let until = today.checked_add_days(Days::new(SOON))?;
        self.expires_on
            .filter(|last| self.state == PermitState::Granted && (today..=until).contains(last))
    }
}
