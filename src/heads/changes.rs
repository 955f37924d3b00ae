//! A change of a sheet after cutting began: what it does to the pieces that
//! are cut, in words, before and after it is saved.

use super::model::Tick;
use super::shop::Shop;
use crate::choices;
use crate::db::Stamp;
use crate::measure::{Length, Unit};
use crate::trim::change::{Allow, BoardFate, Change, Fate, PieceChange, Why, change};
use crate::trim::sheet::Sheet;

choices! {
    /// What becomes of a cut piece.
    pub FateWord {
        /// It serves as it is.
        Kept = "kept", "stays as it is";
        /// It can be recut.
        Recut = "recut", "can be recut";
        /// Worth keeping for another head.
        Rack = "rack", "to the rack";
        /// Too short to keep.
        Scrap = "scrap", "scrap";
    }
}

choices! {
    /// What was decided of a touched piece.
    pub Decision {
        /// It is cut again and ticked on the new sheet when it is.
        Recut = "recut", "Recut it";
        /// It is used as it is.
        Keep = "keep", "Use it as it is";
        /// It lies on the rack.
        Rack = "rack", "To the rack";
        /// It is thrown away.
        Scrap = "scrap", "Scrap";
    }
}

impl Decision {
    /// What may be decided of a piece of this fate; `serves`: the new sheet
    /// has a piece for it.
    #[must_use]
    pub fn allowed(fate: FateWord, serves: bool) -> Vec<Self> {
        match fate {
            FateWord::Kept => Vec::new(),
            FateWord::Recut if serves => vec![Self::Recut, Self::Keep, Self::Rack, Self::Scrap],
            FateWord::Recut | FateWord::Rack | FateWord::Scrap => vec![Self::Rack, Self::Scrap],
        }
    }
}

/// What a change does to one cut piece, ready to be stored and shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewChange {
    /// Its label on the old sheet.
    pub label: String,
    /// Its run.
    pub run: String,
    /// The piece of the new sheet that it serves as.
    pub now: Option<String>,
    /// What becomes of it.
    pub fate: FateWord,
    /// Which ends are cut again, or why it does not serve; empty if it does.
    pub why: String,
    /// Left of it with both ends squared.
    pub usable: Option<Length>,
}

/// A change of a piece as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// Its row.
    pub id: i64,
    /// When the sheet was changed.
    pub at: Stamp,
    /// Version of the sheet that it was cut by.
    pub from: i64,
    /// Version of the sheet after the change.
    pub to: i64,
    /// What the change did.
    pub change: NewChange,
    /// What was decided last.
    pub decision: Option<Decision>,
    /// With which words.
    pub note: String,
    /// When.
    pub decided_at: Option<Stamp>,
    /// By whom.
    pub decided_by: Option<String>,
}

impl Kept {
    /// Whether somebody must still say what becomes of it.
    #[must_use]
    pub fn waits(&self) -> bool {
        self.change.fate != FateWord::Kept && self.decision.is_none()
    }
}

/// What a change would do, for the page.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Touched {
    /// The cut pieces.
    pub pieces: Vec<NewChange>,
    /// Pieces to be cut after it.
    pub to_cut: Vec<String>,
    /// Boards drawn otherwise, in words.
    pub boards: Vec<String>,
}

impl Touched {
    /// How many cut pieces do not stay as they are.
    #[must_use]
    pub fn count(&self) -> usize {
        let touched = |piece: &&NewChange| piece.fate != FateWord::Kept;
        self.pieces.iter().filter(touched).count()
    }

    /// How many cut pieces stay as they are.
    #[must_use]
    pub fn kept(&self) -> usize {
        self.pieces.len() - self.count()
    }
}

/// What going from one sheet to the other does to the pieces ticked on the old
/// one; `None` if nothing is cut yet.
#[must_use]
pub fn touched(old: &Sheet, new: &Sheet, ticks: &[Tick], shop: &Shop) -> Option<Touched> {
    if ticks.is_empty() {
        return None;
    }
    let cut: Vec<String> = ticks.iter().map(|tick| tick.label.clone()).collect();
    let change = change(old, new, &cut, &Allow::default());
    Some(Touched {
        boards: boards(&change),
        pieces: change
            .pieces
            .iter()
            .map(|piece| worded(piece, shop))
            .collect(),
        to_cut: change.to_cut,
    })
}

fn boards(change: &Change) -> Vec<String> {
    let one = |board: &crate::trim::change::BoardChange| match board.fate {
        BoardFate::Recut => format!("{}: can be cut again from what is there", board.label),
        BoardFate::Anew => format!("{}: needed anew", board.label),
        BoardFate::Gone => format!("{}: no longer needed", board.label),
    };
    change.boards.iter().map(one).collect()
}

fn worded(piece: &PieceChange, shop: &Shop) -> NewChange {
    let say = |inches| shop.wording.rounding.words(inches);
    let why = |why: Why| match why {
        Why::Longer(by) => format!("the new piece is {} longer than it", say(by)),
        Why::Angle(by) => format!(
            "long enough, but {} of wood is cut away where the new cut needs it",
            say(by)
        ),
        Why::Section => "the moulding has another section now".to_owned(),
        Why::Gone => "the new sheet has no place for it".to_owned(),
    };
    let length = |inches| Length::from_f64(inches, Unit::Inch).ok();
    let (fate, why, usable) = match piece.fate {
        Fate::Kept => (FateWord::Kept, String::new(), None),
        Fate::Recut { left, right } => {
            let ends = match (left, right) {
                (true, true) => "both ends",
                (true, false) => "its left end",
                (false, _) => "its right end",
            };
            (FateWord::Recut, format!("cut {ends} again"), None)
        }
        Fate::Rack { usable, why: w } => (FateWord::Rack, why(w), length(usable)),
        Fate::Scrap { usable, why: w } => (FateWord::Scrap, why(w), length(usable)),
    };
    NewChange {
        label: piece.label.clone(),
        run: piece.run.clone(),
        now: piece.now.clone(),
        fate,
        why,
        usable,
    }
}
