//! The ways to order the work at the saw, as lists in words.

use super::dials::Dials;
use super::sheet::{Tape, Wording};
use crate::trim::sheet::{Hold, Setting, Sheet};
use crate::trim::solve::{CutPlace, Group, Order, Side, Stop, StopSide};
use crate::trim::words;

/// One cut in an order of work.
#[derive(Debug, Clone)]
pub struct CutLine {
    /// Which of the sheets it is on.
    pub sheet: usize,
    /// The piece.
    pub label: String,
    /// `left end` or `right end`.
    pub side: &'static str,
    /// How the stock lies, said where it changes.
    pub hold: Option<String>,
    /// The stop, for the cut that brings a piece to length.
    pub stop: Option<StopWords>,
}

/// A stop in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StopWords {
    /// What the tape reads.
    pub tape: Tape,
    /// Where it stands, and what is done with it.
    pub way: &'static str,
}

/// Cuts with one saw setting.
#[derive(Debug, Clone)]
pub struct GroupWords {
    /// The setting.
    pub setting: String,
    /// What is dialled, where the scale is out.
    pub dial: Vec<String>,
    /// The stops in the order of work, each with how many cuts it serves.
    pub stops: Vec<(StopWords, usize)>,
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

/// An order over some sheets in words.
#[must_use]
pub fn ordered(sheets: &[&Sheet], order: &Order, wording: &Wording, dials: &Dials) -> OrderWords {
    let mut last = None;
    let groups = order.groups.iter().map(|group| {
        let mut said = GroupWords {
            cuts: Vec::with_capacity(group.cuts.len()),
            stops: Vec::new(),
            ..setting(group, dials)
        };
        for cut in &group.cuts {
            let line = line(sheets, cut, &mut last, wording);
            if let Some(stop) = &line.stop {
                match said.stops.last_mut() {
                    Some((known, count)) if known == stop => *count += 1,
                    _ => said.stops.push((stop.clone(), 1)),
                }
            }
            said.cuts.push(line);
        }
        said
    });
    OrderWords {
        groups: groups.collect(),
        saw_moves: order.saw_moves,
        hold_changes: order.hold_changes,
        stop_changes: order.stop_changes,
    }
}

fn line(
    sheets: &[&Sheet],
    cut: &CutPlace,
    last: &mut Option<String>,
    wording: &Wording,
) -> CutLine {
    let run = sheets.get(cut.sheet).and_then(|s| s.runs.get(cut.run));
    let piece = run.and_then(|run| run.pieces.get(cut.piece));
    let lay = words::lay_short(&cut.setting);
    let changed = last.as_ref() != Some(&lay);
    *last = Some(lay.clone());
    let by_hand = piece.is_some_and(|piece| piece.overall >= wording.short);
    CutLine {
        sheet: cut.sheet,
        label: piece.map(|p| p.label.clone()).unwrap_or_default(),
        side: match cut.side {
            Side::Left => "left end",
            Side::Right => "right end",
        },
        hold: changed.then_some(lay),
        stop: cut.stop.map(|stop| stop_words(&stop, by_hand, wording)),
    }
}

/// A piece that the hand can hold bears on a stop on the held side. A short
/// one is cut off a held stick and lies free: a fixed stop would trap it.
fn stop_words(stop: &Stop, by_hand: bool, wording: &Wording) -> StopWords {
    StopWords {
        tape: Tape::of(&wording.rounding.text(stop.tape)),
        way: match (by_hand, stop.side) {
            (false, _) => "flip the stop away before the cut",
            (true, StopSide::Left) => "stop left of the blade, the held side",
            (true, StopSide::Right) => "stop right of the blade, the held side",
            (true, StopSide::Near) => "stop on your side along the block, the held side",
        },
    }
}

/// What to set for a group, on a scale that may be out; no cuts yet.
fn setting(group: &Group, dials: &Dials) -> GroupWords {
    // Any hold: the scale's error does not depend on it.
    let dialled = dials.of(&Setting {
        hold: Hold::Flat,
        swing: group.swing,
        tilt: group.tilt,
        block: None,
    });
    let mut said = words::swing_words(dialled.swing);
    if !words::shows_as_zero(dialled.tilt) {
        said = format!("{said}, {}", words::tilt_words(dialled.tilt));
    }
    if !dialled.words.is_empty() {
        said.push_str(" on the scale");
    }
    GroupWords {
        setting: said,
        dial: dialled.words,
        stops: Vec::new(),
        cuts: Vec::new(),
    }
}
