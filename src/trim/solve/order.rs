//! The two orders of work at the saw: along the wall, or gang by gang.

use crate::trim::sheet::{Cut, Hold, Piece, SawMoves, Sheet};

use super::saw::SAME_ANGLE;

/// Stops nearer than this, inches, count as one: 1/64.
const SAME_STOP: f64 = 1.0 / 64.0;

/// Which end of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// The leg's start.
    Left,
    /// The leg's end.
    Right,
}

/// One cut, found by its place in the sheets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutPlace {
    /// Which of the sheets.
    pub sheet: usize,
    /// Which of its runs.
    pub run: usize,
    /// Which of the run's pieces.
    pub piece: usize,
    /// Which end.
    pub side: Side,
    /// How the stock lies.
    pub hold: Hold,
    /// Length to set a stop to, inches, for the cut that brings a piece to
    /// its length (the second on it); `None` for the first.
    pub stop: Option<f64>,
}

/// Cuts that follow each other with one saw setting.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Radians, positive when the handle goes to the operator's right.
    pub swing: f64,
    /// Radians, positive when the blade's top leans left.
    pub tilt: f64,
    /// In the order of work.
    pub cuts: Vec<CutPlace>,
}

/// All cuts in an order of work.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Order {
    /// One after another.
    pub groups: Vec<Group>,
    /// Changes of swing or of tilt, the saw starting square.
    pub saw_moves: usize,
    /// Changes of hold from the cut before.
    pub hold_changes: usize,
    /// Changes of the stop from the stopped cut before; the first counts.
    pub stop_changes: usize,
}

impl Sheet {
    /// Along the wall: piece after piece, left end before right.
    #[must_use]
    pub fn walk_order(&self) -> Order {
        let mut order = Order::default();
        each_cut(0, self, |place, cut| order.walk(place, cut));
        order.finish()
    }

    /// All cuts with one saw setting together.
    #[must_use]
    pub fn gang_order(&self) -> Order {
        gang_order(&[self])
    }
}

/// All cuts of several heads with one saw setting together: square cuts
/// first, since the saw starts square, then by tilt and swing; within a
/// setting by hold, then by stop.
#[must_use]
pub fn gang_order(sheets: &[&Sheet]) -> Order {
    let mut groups: Vec<Group> = Vec::new();
    for (i, sheet) in sheets.iter().enumerate() {
        each_cut(i, sheet, |place, cut| gather(&mut groups, place, cut));
    }
    groups.sort_by(|a, b| {
        let key = |g: &Group| (g.tilt.abs(), g.tilt, g.swing.abs(), g.swing);
        key(a)
            .partial_cmp(&key(b))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    for group in &mut groups {
        group.cuts.sort_by(|a, b| {
            let stop = |c: &CutPlace| c.stop.unwrap_or(f64::NEG_INFINITY);
            a.hold.cmp(&b.hold).then(stop(a).total_cmp(&stop(b)))
        });
    }
    let order = Order {
        groups,
        ..Order::default()
    };
    order.finish()
}

fn gather(groups: &mut Vec<Group>, place: CutPlace, cut: &Cut) {
    let (swing, tilt) = (cut.setting.swing, cut.setting.tilt);
    match groups.iter_mut().find(|g| is_set(g, swing, tilt)) {
        Some(group) => group.cuts.push(place),
        None => groups.push(Group {
            swing,
            tilt,
            cuts: vec![place],
        }),
    }
}

fn is_set(group: &Group, swing: f64, tilt: f64) -> bool {
    (group.swing - swing).abs() <= SAME_ANGLE && (group.tilt - tilt).abs() <= SAME_ANGLE
}

impl Order {
    fn walk(&mut self, place: CutPlace, cut: &Cut) {
        let (swing, tilt) = (cut.setting.swing, cut.setting.tilt);
        match self.groups.last_mut() {
            Some(group) if is_set(group, swing, tilt) => group.cuts.push(place),
            _ => self.groups.push(Group {
                swing,
                tilt,
                cuts: vec![place],
            }),
        }
    }

    /// Counts the changes.
    fn finish(mut self) -> Self {
        let square = |g: &Group| is_set(g, 0.0, 0.0);
        self.saw_moves = self.groups.len() - usize::from(self.groups.first().is_some_and(square));
        let cuts = || self.groups.iter().flat_map(|g| &g.cuts);
        let holds = cuts().zip(cuts().skip(1));
        self.hold_changes = holds.filter(|(a, b)| a.hold != b.hold).count();
        let stops: Vec<f64> = cuts().filter_map(|c| c.stop).collect();
        let moved = stops
            .iter()
            .zip(stops.iter().skip(1))
            .filter(|(a, b)| (*a - *b).abs() > SAME_STOP)
            .count();
        self.stop_changes = moved + usize::from(!stops.is_empty());
        self
    }
}

fn each_cut(sheet_at: usize, sheet: &Sheet, mut each: impl FnMut(CutPlace, &Cut)) {
    for (run_at, run) in sheet.runs.iter().enumerate() {
        for (piece_at, piece) in run.pieces.iter().enumerate() {
            for (side, cut) in [(Side::Left, &piece.left), (Side::Right, &piece.right)] {
                let place = CutPlace {
                    sheet: sheet_at,
                    run: run_at,
                    piece: piece_at,
                    side,
                    hold: cut.setting.hold,
                    stop: (side == Side::Right).then_some(piece.tape),
                };
                each(place, cut);
            }
        }
    }
}

/// Changes of (swing, tilt) in both orders.
pub(super) fn saw_moves(sheet: &Sheet) -> SawMoves {
    let cuts = || {
        let pieces = sheet.runs.iter().flat_map(|run| &run.pieces);
        pieces.flat_map(|piece: &Piece| [&piece.left.setting, &piece.right.setting])
    };
    let (mut walk, mut last) = (0, (0.0_f64, 0.0_f64));
    let mut settings: Vec<(f64, f64)> = vec![last];
    for setting in cuts() {
        let this = (setting.swing, setting.tilt);
        let same = |other: (f64, f64)| {
            (this.0 - other.0).abs() <= SAME_ANGLE && (this.1 - other.1).abs() <= SAME_ANGLE
        };
        if !same(last) {
            walk += 1;
        }
        last = this;
        if !settings.iter().any(|&other| same(other)) {
            settings.push(this);
        }
    }
    SawMoves {
        walk,
        gang: settings.len() - 1,
    }
}
