//! What a change of a head does to pieces that are cut already.
//!
//! A cut piece is a stick between two cut planes. It still serves if the new
//! piece is the same within the mark of a pencil; it can be recut if the new
//! piece lies wholly inside it; else it is wood for the rack, or scrap. Own
//! derivation: both pieces' ends are linear over the section, so that it is
//! enough to look at the section's corners.

mod board;
mod fit;

use super::sheet::{Piece, SectionPoint, Sheet, SolvedRun};

pub use board::{BoardChange, BoardFate};

use fit::{Body, Fit};

/// What counts as the same and what is worth keeping, inches. Common
/// practice, no source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allow {
    /// An end no further off than this at any arris is the same end.
    pub same: f64,
    /// Least length, ends squared, that goes to the rack.
    pub keep: f64,
}

impl Default for Allow {
    /// A 64th, and 18 in.
    fn default() -> Self {
        Self {
            same: 1.0 / 64.0,
            keep: 18.0,
        }
    }
}

/// Why a cut piece does not serve any more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Why {
    /// The new piece needs this much more than is there, inches.
    Longer(f64),
    /// An end is cut away where the new end needs wood, the length would do;
    /// by this much, inches.
    Angle(f64),
    /// The moulding has another section now.
    Section,
    /// The new sheet has no such piece.
    Gone,
}

/// What becomes of a cut piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fate {
    /// It serves as it is.
    Kept,
    /// It serves once these ends are cut again.
    Recut {
        /// The end at the left of the wall.
        left: bool,
        /// The end at the right.
        right: bool,
    },
    /// Too good to throw away: its length with both ends squared, inches.
    Rack {
        /// Inches.
        usable: f64,
        /// Why it does not serve.
        why: Why,
    },
    /// Nothing worth keeping is left of it.
    Scrap {
        /// Inches, both ends squared; may be 0.
        usable: f64,
        /// Why it does not serve.
        why: Why,
    },
}

/// One cut piece and what becomes of it.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceChange {
    /// Its label on the old sheet.
    pub label: String,
    /// Its run on the old sheet.
    pub run: String,
    /// The label of the new piece that it serves as.
    pub now: Option<String>,
    /// What becomes of it.
    pub fate: Fate,
}

/// What a change does to a head that is being cut.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Change {
    /// The cut pieces, in the order of the old sheet.
    pub pieces: Vec<PieceChange>,
    /// Labels of the new sheet that no cut piece serves as it is.
    pub to_cut: Vec<String>,
    /// Boards that are drawn otherwise.
    pub boards: Vec<BoardChange>,
}

impl Change {
    /// Whether every cut piece keeps its place and label.
    #[must_use]
    pub fn leaves_all(&self) -> bool {
        self.pieces.iter().all(PieceChange::is_left)
    }
}

impl PieceChange {
    /// Whether the piece keeps its place and label.
    #[must_use]
    pub fn is_left(&self) -> bool {
        self.fate == Fate::Kept && self.now.as_deref() == Some(self.label.as_str())
    }
}

/// A piece with its run.
#[derive(Clone, Copy)]
struct Of<'a> {
    run: &'a SolvedRun,
    piece: &'a Piece,
}

impl Of<'_> {
    fn body(&self) -> Body {
        Body::of(self.piece, &self.run.section)
    }
}

fn all(sheet: &Sheet) -> Vec<Of<'_>> {
    let runs = sheet.runs.iter();
    runs.flat_map(|run| run.pieces.iter().map(move |piece| Of { run, piece }))
        .collect()
}

/// Compares two sheets of one head. `cut` are the labels of the old sheet's
/// pieces that are cut; labels that it does not have are left out.
///
/// Pieces that serve as they are come first, by their own label and then by
/// any other of the same moulding; what is left over is recut, by its own
/// label and then where the least wood is wasted, and less than is worth
/// keeping.
#[must_use]
pub fn change(old: &Sheet, new: &Sheet, cut: &[String], allow: &Allow) -> Change {
    let old_all: Vec<Of<'_>> = all(old)
        .into_iter()
        .filter(|of| cut.contains(&of.piece.label))
        .collect();
    let mut matching = Matching {
        old: &old_all,
        new: all(new),
        allow,
        served: Vec::new(),
        fates: vec![None; old_all.len()],
    };
    matching.take(|fit| *fit == Fit::Same, true);
    matching.take(|fit| *fit == Fit::Same, false);
    matching.take(|fit| matches!(fit, Fit::Inside { .. }), true);
    // A long piece is not made a short one of another place: what would be
    // wasted is worth more on the rack.
    matching.take(
        |fit| matches!(fit, Fit::Inside { waste, .. } if *waste < allow.keep),
        false,
    );
    let served: Vec<usize> = matching
        .fates
        .iter()
        .flatten()
        .filter(|(fate, _)| *fate == Fate::Kept)
        .map(|(_, place)| *place)
        .collect();
    let to_cut = matching.new.iter().enumerate();
    Change {
        to_cut: to_cut
            .filter(|(place, _)| !served.contains(place))
            .map(|(_, of)| of.piece.label.clone())
            .collect(),
        pieces: (0..old_all.len())
            .filter_map(|n| matching.said(n))
            .collect(),
        boards: board::changes(&old.boards, &new.boards, allow.same),
    }
}

struct Matching<'a> {
    old: &'a [Of<'a>],
    new: Vec<Of<'a>>,
    allow: &'a Allow,
    /// Places in `new` that are spoken for.
    served: Vec<usize>,
    /// What becomes of each of `old`, and as which of `new`.
    fates: Vec<Option<(Fate, usize)>>,
}

impl Matching<'_> {
    /// Finds new pieces for the old ones that have none yet.
    fn take(&mut self, wanted: impl Fn(&Fit) -> bool, by_label: bool) {
        for (nth, old) in self.old.iter().enumerate() {
            if self.fates.get(nth).is_some_and(Option::is_some) {
                continue;
            }
            let fits = self.new.iter().enumerate().filter_map(|(place, new)| {
                let free = !self.served.contains(&place);
                let named = !by_label || new.piece.label == old.piece.label;
                if !(free && named && same_moulding(old.run, new.run)) {
                    return None;
                }
                let fit = old.body().fit(&new.body(), self.allow.same);
                wanted(&fit).then_some((place, fit))
            });
            let best = fits.min_by(|a, b| a.1.waste().total_cmp(&b.1.waste()));
            if let Some((place, fit)) = best {
                let fate = match fit {
                    Fit::Inside { left, right, .. } => Fate::Recut { left, right },
                    Fit::Same | Fit::Short(_) | Fit::Angle(_) => Fate::Kept,
                };
                self.served.push(place);
                if let Some(slot) = self.fates.get_mut(nth) {
                    *slot = Some((fate, place));
                }
            }
        }
    }

    fn said(&self, nth: usize) -> Option<PieceChange> {
        let old = self.old.get(nth)?;
        let (fate, now) = match self.fates.get(nth)? {
            Some((fate, place)) => {
                let now = self.new.get(*place).map(|of| of.piece.label.clone());
                (*fate, now)
            }
            None => (self.lost(old), None),
        };
        Some(PieceChange {
            label: old.piece.label.clone(),
            run: old.run.name.clone(),
            now,
            fate,
        })
    }

    /// A piece that serves no more.
    fn lost(&self, old: &Of<'_>) -> Fate {
        let same_label = |new: &&Of<'_>| new.piece.label == old.piece.label;
        let why = match self.new.iter().find(same_label) {
            None => Why::Gone,
            Some(new) if !same_moulding(old.run, new.run) => Why::Section,
            Some(new) => match old.body().fit(&new.body(), self.allow.same) {
                Fit::Short(by) => Why::Longer(by),
                Fit::Angle(by) => Why::Angle(by),
                // Another piece serves there.
                Fit::Same | Fit::Inside { .. } => Why::Gone,
            },
        };
        let usable = old.body().square();
        if usable >= self.allow.keep {
            Fate::Rack { usable, why }
        } else {
            Fate::Scrap { usable, why }
        }
    }
}

/// One stick could give both.
fn same_moulding(a: &SolvedRun, b: &SolvedRun) -> bool {
    let near =
        |p: &SectionPoint, q: &SectionPoint| (p.u - q.u).abs() < 1e-6 && (p.v - q.v).abs() < 1e-6;
    a.section.len() == b.section.len()
        && a.section.iter().zip(&b.section).all(|(p, q)| near(p, q))
        && match (a.spring, b.spring) {
            (Some(a), Some(b)) => (a - b).abs() < 1e-6,
            (None, None) => true,
            _ => false,
        }
}
