//! What an opening is and what was measured of it.

use std::fmt;

use chrono::NaiveDate;

use crate::access::UserId;
use crate::db::Stamp;
use crate::jobs::JobId;
use crate::measure::Length;
use crate::{choices, record_id};

record_id! {
    /// An opening's row.
    pub OpeningId
}
record_id! {
    /// A survey's row.
    pub SurveyId
}

choices! {
    /// What stands in the wall.
    pub OpeningKind {
        /// One window.
        Window = "window", "Window";
        /// One door.
        Door = "door", "Door";
        /// Two windows side by side under one head.
        PairedWindows = "paired-windows", "Paired windows";
        /// Windows that stand out from the wall, on three sides or more.
        Bay = "bay", "Bay";
        /// A shop's window and door.
        Shopfront = "shopfront", "Shopfront";
        /// A garage door.
        Garage = "garage", "Garage door";
        /// An opening round or pointed at the top.
        Arch = "arch", "Arch";
        /// Something else; the note says what.
        Other = "other", "Other";
    }
}

choices! {
    /// Which of the two measures.
    pub Pass {
        /// Taken to draw by.
        First = "first", "First measure";
        /// Taken by a fresh eye before anything is ordered.
        Second = "second", "Second measure";
    }
}

choices! {
    /// Which way a wall leans.
    pub Lean {
        /// The top stands further out than the foot.
        Out = "out", "Top leans out";
        /// The top stands further in.
        In = "in", "Top leans in";
    }
}

choices! {
    /// Which end is the higher.
    pub High {
        /// The left, seen from the front.
        Left = "left", "Left end high";
        /// The right.
        Right = "right", "Right end high";
    }
}

/// The mark that names an opening within its job: `W1`, `D2`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark(String);

impl Mark {
    /// Letters, digits and hyphens, at most eight, the letters made capital.
    ///
    /// # Errors
    /// What is allowed instead.
    pub fn parse(text: &str) -> Result<Self, &'static str> {
        let fits = (1..=8).contains(&text.len())
            && text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
            && text.bytes().any(|b| b.is_ascii_alphanumeric());
        if fits {
            Ok(Self(text.to_ascii_uppercase()))
        } else {
            Err("Write a short mark of letters and figures, such as W1 or D2; at most 8.")
        }
    }

    /// As written.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Sorts W2 before W10: letters, then the number after them, then the rest.
    #[must_use]
    pub fn order(&self) -> (String, u64, String) {
        let digits = |c: char| c.is_ascii_digit();
        let (letters, rest) = self.0.split_at(self.0.find(digits).unwrap_or(self.0.len()));
        let (number, tail) = rest.split_at(rest.find(|c| !digits(c)).unwrap_or(rest.len()));
        (
            letters.to_owned(),
            number.parse().unwrap_or(0),
            tail.to_owned(),
        )
    }
}

impl fmt::Display for Mark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// An opening's own facts, as typed on its form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpeningFacts {
    /// Its name in the job.
    pub mark: Mark,
    /// What stands in the wall.
    pub kind: OpeningKind,
    /// 0 is the cellar, 1 the ground.
    pub storey: i64,
    /// From the ground or floor to the sill.
    pub sill_height: Option<Length>,
    /// What the wall is made of.
    pub wall: String,
    /// What covers it.
    pub siding: String,
    /// How far the siding stands out from what the board is fixed to.
    pub siding_depth: Option<Length>,
    /// From the opening's top to whatever is in the way.
    pub clear_above: Option<Length>,
    /// What else to know.
    pub note: String,
}

/// An opening as kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opening {
    /// The row.
    pub id: OpeningId,
    /// The job it belongs to.
    pub job: JobId,
    /// What is known.
    pub facts: OpeningFacts,
    /// Rises by one with each change.
    pub version: i64,
    /// Put away since.
    pub archived_at: Option<Stamp>,
}

impl Opening {
    /// With the last measure of each pass, for findings. `surveys` newest first.
    #[must_use]
    pub fn surveyed(&self, surveys: &[Survey]) -> Surveyed {
        let last = |pass| surveys.iter().find(|s| s.pass == pass).map(|s| s.measured);
        Surveyed {
            kind: self.facts.kind,
            siding_depth: self.facts.siding_depth,
            clear_above: self.facts.clear_above,
            first: last(Pass::First),
            second: last(Pass::Second),
        }
    }
}

/// The numbers of one measure. A place the tape could not reach is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Measured {
    /// Top, middle, bottom.
    pub widths: [Option<Length>; 3],
    /// Left, middle, right, seen from the front.
    pub heights: [Option<Length>; 3],
    /// Rising (bottom left to top right), falling (top left to bottom right).
    pub diagonals: [Option<Length>; 2],
    /// How far the wall leans over the opening's height.
    pub plumb: Option<Length>,
    /// Which way.
    pub lean: Option<Lean>,
    /// How far the top of the opening is off level over its width.
    pub level: Option<Length>,
    /// Which end is high.
    pub high: Option<High>,
}

impl Measured {
    /// Every number with its name, in the order one walks round an opening.
    #[must_use]
    pub const fn named(&self) -> [(&'static str, Option<Length>); 10] {
        let [top, middle, bottom] = self.widths;
        let [left, centre, right] = self.heights;
        let [rising, falling] = self.diagonals;
        [
            ("Width, top", top),
            ("Width, middle", middle),
            ("Width, bottom", bottom),
            ("Height, left", left),
            ("Height, middle", centre),
            ("Height, right", right),
            ("Diagonal, rising", rising),
            ("Diagonal, falling", falling),
            ("Out of plumb", self.plumb),
            ("Out of level", self.level),
        ]
    }
}

/// One measure as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewSurvey {
    /// First or second.
    pub pass: Pass,
    /// The numbers.
    pub measured: Measured,
    /// Who held the tape.
    pub by: UserId,
    /// When, in the firm's zone.
    pub on: NaiveDate,
    /// What else was seen.
    pub note: String,
}

/// One measure as kept: a fact, never changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Survey {
    /// Its row: a later one of the same pass counts instead.
    pub id: SurveyId,
    /// What was measured.
    pub opening: OpeningId,
    /// First or second.
    pub pass: Pass,
    /// The numbers.
    pub measured: Measured,
    /// Who held the tape.
    pub by: String,
    /// When, in the firm's zone.
    pub on: NaiveDate,
    /// What else was seen.
    pub note: String,
}

/// What findings are told of: the opening's facts that bear on a head, and the
/// last measure of each pass.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Surveyed {
    /// What stands in the wall.
    pub kind: OpeningKind,
    /// Depth of the siding.
    pub siding_depth: Option<Length>,
    /// Clear height above.
    pub clear_above: Option<Length>,
    /// The last first measure.
    pub first: Option<Measured>,
    /// The last second measure.
    pub second: Option<Measured>,
}

impl Surveyed {
    /// The measure that counts: the second where there is one.
    #[must_use]
    pub const fn counts(&self) -> Option<&Measured> {
        match &self.second {
            Some(second) => Some(second),
            None => self.first.as_ref(),
        }
    }
}
