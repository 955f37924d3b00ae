//! Who asks for work, who pays for it, and the visits paid to them.

use std::fmt;

use chrono::{NaiveDate, NaiveTime};

use crate::access::UserId;
use crate::db::Stamp;
use crate::{choices, record_id};

record_id! {
    /// A client's row.
    pub ClientId
}
record_id! {
    /// An enquiry's row.
    pub EnquiryId
}
record_id! {
    /// A visit's row.
    pub VisitId
}

choices! {
    /// How far an enquiry has come.
    pub EnquiryState {
        /// Nobody has answered yet.
        New = "new", "New";
        /// A day to look at it is agreed.
        VisitAgreed = "visit-agreed", "Visit agreed";
        /// It became a job.
        Won = "won", "Won";
        /// It will not be done; the reason says why.
        NotOurs = "not-ours", "Not ours";
    }
}

impl EnquiryState {
    /// A sign beside the word, so that no state is told by its colour alone.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::New => "○",
            Self::VisitAgreed => "◐",
            Self::Won => "●",
            Self::NotOurs => "✗",
        }
    }

    /// The shape of its tag in the style sheet.
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::New => "wait",
            Self::VisitAgreed => "now",
            Self::Won => "done",
            Self::NotOurs => "none",
        }
    }
}

/// A telephone number as people write it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Phone(String);

impl Phone {
    /// Figures with spaces, hyphens, brackets, dots, a leading plus and an
    /// extension; empty where there is none.
    ///
    /// # Errors
    /// What is allowed instead.
    pub fn parse(text: &str) -> Result<Self, &'static str> {
        const WRONG: &str = "Write a telephone number, such as 555-0114 or +1 555 0114 ext 2.";
        let text = text.trim();
        if text.is_empty() {
            return Ok(Self::default());
        }
        let number = text.split_once("ext").map_or(text, |(number, _)| number);
        let extension = text
            .split_once("ext")
            .map_or("", |(_, extension)| extension);
        let figures = number.bytes().filter(u8::is_ascii_digit).count();
        let plain = number.char_indices().all(|(at, c)| {
            c.is_ascii_digit() || matches!(c, ' ' | '-' | '.' | '(' | ')') || (c == '+' && at == 0)
        });
        let tail = extension.trim_start_matches(['.', ' ']);
        let extended = tail.len() <= 8 && tail.bytes().all(|b| b.is_ascii_digit());
        if plain && extended && (5..=18).contains(&figures) && number.len() <= 40 {
            Ok(Self(text.to_owned()))
        } else {
            Err(WRONG)
        }
    }

    /// As written.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// What a `tel:` link carries: figures and the plus.
    #[must_use]
    pub fn dial(&self) -> String {
        let number = self
            .0
            .split_once("ext")
            .map_or(self.0.as_str(), |(number, _)| number);
        number
            .chars()
            .filter(|c| c.is_ascii_digit() || *c == '+')
            .collect()
    }
}

impl fmt::Display for Phone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// An address for electronic mail.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Email(String);

impl Email {
    /// Something, one `@`, a name with a dot; empty where there is none.
    ///
    /// # Errors
    /// What is allowed instead.
    pub fn parse(text: &str) -> Result<Self, &'static str> {
        const WRONG: &str = "Write a mail address, such as name@example.org.";
        let text = text.trim();
        if text.is_empty() {
            return Ok(Self::default());
        }
        let Some((name, place)) = text.split_once('@') else {
            return Err(WRONG);
        };
        let plain = |c: char| c.is_alphanumeric() || "._%+-'!#$&*=^`{|}~/".contains(c);
        let label = |part: &str| {
            !part.is_empty()
                && !part.starts_with('-')
                && !part.ends_with('-')
                && part.chars().all(|c| c.is_alphanumeric() || c == '-')
        };
        let fits = (1..=64).contains(&name.len())
            && text.len() <= 200
            && name.chars().all(plain)
            && place.contains('.')
            && place.split('.').all(label);
        if fits {
            Ok(Self(text.to_owned()))
        } else {
            Err(WRONG)
        }
    }

    /// As written.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Email {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A time of day as people agree on it: `09:30`.
///
/// # Errors
/// What is allowed instead.
pub fn parse_time(text: &str) -> Result<NaiveTime, &'static str> {
    NaiveTime::parse_from_str(text, "%H:%M")
        .map_err(|_| "Write the time as hours and minutes, such as 09:30.")
}

/// A client as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ClientFacts {
    /// Whom one speaks to.
    pub name: String,
    /// The firm or body behind them.
    pub firm: String,
    /// Telephone.
    pub phone: Phone,
    /// Mail.
    pub email: Email,
    /// Where letters and invoices go.
    pub address: String,
    /// Who sent them.
    pub heard_of: String,
    /// What else to know.
    pub note: String,
}

/// A client as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Client {
    /// The row.
    pub id: ClientId,
    /// What is known.
    pub facts: ClientFacts,
    /// Rises by one with each change.
    pub version: i64,
    /// Put away since.
    pub archived_at: Option<Stamp>,
}

/// A first call as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EnquiryFacts {
    /// Who called.
    pub name: String,
    /// Telephone.
    pub phone: Phone,
    /// Mail.
    pub email: Email,
    /// Who sent them.
    pub heard_of: String,
    /// What they want.
    pub wants: String,
    /// The day of the call.
    pub day: NaiveDate,
    /// How far it has come.
    pub state: EnquiryState,
    /// Why it is not ours.
    pub reason: String,
}

/// A first call as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Enquiry {
    /// The row.
    pub id: EnquiryId,
    /// What was said.
    pub facts: EnquiryFacts,
    /// The client it became.
    pub client: Option<ClientId>,
    /// Rises by one with each change.
    pub version: i64,
    /// Put away since.
    pub archived_at: Option<Stamp>,
}

/// A visit as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VisitFacts {
    /// The row of the job it is for, once there is one.
    pub job: Option<i64>,
    /// Who goes.
    pub goes: Option<UserId>,
    /// The day.
    pub day: NaiveDate,
    /// The time of day.
    pub time: Option<NaiveTime>,
    /// What for.
    pub purpose: String,
    /// Who has the key.
    pub key_with: String,
    /// How one gets in.
    pub access: String,
    /// Whom to ask for there.
    pub contact: String,
    /// What came of it.
    pub outcome: String,
}

/// A visit as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Visit {
    /// The row.
    pub id: VisitId,
    /// Whom it is paid to.
    pub client: ClientId,
    /// Their name.
    pub client_name: String,
    /// The job's code.
    pub job_code: Option<String>,
    /// The name of who goes.
    pub goes_name: Option<String>,
    /// What was agreed and what came of it.
    pub facts: VisitFacts,
    /// Rises by one with each change.
    pub version: i64,
    /// Put away since.
    pub archived_at: Option<Stamp>,
}
