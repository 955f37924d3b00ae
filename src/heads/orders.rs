//! The two ways to order the work, as lists in words.

use super::sheet::{Tape, Wording};
use crate::trim::sheet::Sheet;
use crate::trim::solve::{Order, Side};
use crate::trim::words;

/// One cut in an order of work.
#[derive(Debug, Clone)]
pub struct CutLine {
    /// The piece.
    pub label: String,
    /// `left end` or `right end`.
    pub side: &'static str,
    /// How the stock lies, said where it changes.
    pub hold: Option<&'static str>,
    /// Where the stop is set, for the cut that brings a piece to length.
    pub stop: Option<Tape>,
}

/// Cuts with one saw setting.
#[derive(Debug, Clone)]
pub struct GroupWords {
    /// The setting.
    pub setting: String,
    /// Its cuts.
    pub cuts: Vec<CutLine>,
}

/// An order of work.
#[derive(Debug, Clone)]
pub struct OrderWords {
    /// Setting by setting.
    pub groups: Vec<GroupWords>,
    /// Changes of swing or tilt.
    pub saw_moves: usize,
    /// Changes of hold.
    pub hold_changes: usize,
    /// Changes of the stop.
    pub stop_changes: usize,
}

/// An order of one sheet in words.
#[must_use]
pub fn ordered(sheet: &Sheet, order: &Order, wording: &Wording) -> OrderWords {
    let mut last = None;
    let groups = order.groups.iter().map(|group| GroupWords {
        setting: setting(group.swing, group.tilt),
        cuts: group
            .cuts
            .iter()
            .map(|cut| {
                let piece = sheet
                    .runs
                    .get(cut.run)
                    .and_then(|run| run.pieces.get(cut.piece));
                let changed = last != Some(cut.hold);
                last = Some(cut.hold);
                CutLine {
                    label: piece.map(|p| p.label.clone()).unwrap_or_default(),
                    side: if cut.side == Side::Left {
                        "left end"
                    } else {
                        "right end"
                    },
                    hold: changed.then(|| words::hold_short(cut.hold)),
                    stop: cut
                        .stop
                        .map(|inches| Tape::of(&wording.rounding.text(inches))),
                }
            })
            .collect(),
    });
    OrderWords {
        groups: groups.collect(),
        saw_moves: order.saw_moves,
        hold_changes: order.hold_changes,
        stop_changes: order.stop_changes,
    }
}

fn setting(swing: f64, tilt: f64) -> String {
    let swing = words::swing_words(swing);
    if words::shows_as_zero(tilt) {
        swing
    } else {
        format!("{swing}, {}", words::tilt_words(tilt))
    }
}
