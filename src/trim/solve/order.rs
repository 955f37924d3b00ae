//! The orders of work at the saw: along the wall, along the wall with the
//! fewest saw moves, and gang by gang.

use crate::trim::sheet::{
    Block, Cut, Hold, Piece, SawMoves, SectionPoint, Setting, Sheet, SolvedRun,
};

use super::saw::{SAME_ANGLE, SawFrame};
use super::trails::trails;

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

/// Where a stop stands, for the operator.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StopSide {
    /// Left of the blade.
    Left,
    /// Right of the blade.
    Right,
    /// Along a block, on the operator's side of the blade.
    Near,
}

/// A stop for the cut that brings a piece to its length. It bears on the
/// piece's other end, which is cut already: so it stands on the side of the
/// part that is kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// What the tape reads from mark to mark, inches.
    pub tape: f64,
    /// From the mark of the cut to the tip that bears on the stop, inches: a
    /// mitred end may reach past its own mark.
    pub tip: f64,
    /// Where it stands.
    pub side: StopSide,
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
    /// How the stock lies and the saw is set.
    pub setting: Setting,
    /// For the second cut on a piece; `None` for the first.
    pub stop: Option<Stop>,
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
        each_cut(0, self, |place| order.walk(place));
        order.finish(&[self])
    }

    /// Along the wall with the fewest saw moves: each run is worked from its
    /// left or from its right end, and the runs one after another in whatever
    /// order saves most. Within a run the stock moves one way and mating cuts
    /// follow each other, as in the walk.
    ///
    /// Exact. Within a run the moves are given; between two runs one is saved
    /// when the second begins with the setting that the first ended with. So
    /// the runs are the edges of a graph whose vertices are settings, each
    /// joining the settings of its two end cuts, and the order that saves
    /// most goes over all edges in as few unbroken trails as can be, the
    /// first from square where that is free (Euler, 1736: a connected graph
    /// with 2k odd vertices takes k trails, and one if it has none).
    #[must_use]
    pub fn shortest_walk(&self) -> Order {
        let mut settings: Vec<(f64, f64)> = vec![(0.0, 0.0)];
        let mut number = |setting: &Setting| {
            let this = (setting.swing, setting.tilt);
            let found = settings.iter().position(|known| same(*known, this));
            found.unwrap_or_else(|| {
                settings.push(this);
                settings.len() - 1
            })
        };
        let runs: Vec<(usize, &SolvedRun)> = self.runs.iter().enumerate().collect();
        let ends = runs.iter().filter_map(|(at, run)| {
            let (first, last) = (run.pieces.first()?, run.pieces.last()?);
            let ends = (number(&first.left.setting), number(&last.right.setting));
            Some((*at, ends))
        });
        let (at, edges): (Vec<usize>, Vec<(usize, usize)>) = ends.unzip();
        let mut order = Order::default();
        for (edge, back) in trails(&edges, 0) {
            let Some(run_at) = at.get(edge) else { continue };
            let Some(run) = self.runs.get(*run_at) else {
                continue;
            };
            let mut cuts = Vec::with_capacity(2 * run.pieces.len());
            run_cuts((0, *run_at), run, |place| cuts.push(place));
            if back {
                cuts.reverse();
            }
            cuts.into_iter().for_each(|place| order.walk(place));
        }
        order.finish(&[self])
    }

    /// All cuts with one saw setting together.
    #[must_use]
    pub fn gang_order(&self) -> Order {
        gang_order(&[self])
    }
}

/// All cuts of several heads with one saw setting together.
///
/// Each setting is made once, the square cuts first since the saw starts
/// square: no order has fewer saw moves, as every setting but square must be
/// made at least once. Settings follow by tilt and swing; within one, cuts
/// follow by hold, beginning with the hold in hand, then by stock, then by
/// stop.
#[must_use]
pub fn gang_order(sheets: &[&Sheet]) -> Order {
    let mut groups: Vec<Group> = Vec::new();
    for (i, sheet) in sheets.iter().enumerate() {
        each_cut(i, sheet, |place| gather(&mut groups, place));
    }
    groups.sort_by(|a, b| {
        let key = |g: &Group| (g.tilt.abs(), g.tilt, g.swing.abs(), g.swing);
        key(a)
            .partial_cmp(&key(b))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let stocks = Stocks::of(sheets);
    let (mut cut, mut in_hand) = (Vec::new(), None);
    for group in &mut groups {
        sort_group(group, &mut cut, in_hand, (sheets, &stocks));
        in_hand = group.cuts.last().map(lay);
    }
    let order = Order {
        groups,
        ..Order::default()
    };
    order.finish(sheets)
}

/// How the stock lies: against a block or not, and the hold.
type Lay = (Option<Block>, Hold);

const fn lay(place: &CutPlace) -> Lay {
    (place.setting.block, place.setting.hold)
}

/// Orders the cuts of one setting; `cut` holds the pieces with one end cut.
fn sort_group(
    group: &mut Group,
    cut: &mut Vec<(usize, usize, usize)>,
    in_hand: Option<Lay>,
    (sheets, stocks): (&[&Sheet], &Stocks),
) {
    let piece = |c: &CutPlace| (c.sheet, c.run, c.piece);
    let whole = group.cuts.clone();
    let second = |c: &CutPlace| {
        let both = whole.iter().filter(|o| piece(o) == piece(c)).count() == 2;
        cut.contains(&piece(c)) || (both && c.side == Side::Right)
    };
    let keyed = group.cuts.iter().map(|c| {
        let stop = second(c).then(|| stop(sheets, c)).flatten();
        let tip = stop.map_or(f64::NEG_INFINITY, |s| s.tip);
        let later = Some(lay(c)) != in_hand;
        ((later, lay(c), stocks.number(c)), tip, *c)
    });
    let mut keyed: Vec<_> = keyed.collect();
    keyed.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    group.cuts = keyed.into_iter().map(|(.., c)| c).collect();
    cut.extend(whole.iter().map(piece));
}

/// Which pieces are of one moulding: by their sections.
struct Stocks(Vec<Vec<usize>>);

impl Stocks {
    fn of(sheets: &[&Sheet]) -> Self {
        let mut known: Vec<&[SectionPoint]> = Vec::new();
        let mut numbers = Vec::with_capacity(sheets.len());
        for sheet in sheets {
            let mut of_sheet = Vec::with_capacity(sheet.runs.len());
            for run in &sheet.runs {
                let section = run.section.as_slice();
                let found = known.iter().position(|k| *k == section);
                of_sheet.push(found.unwrap_or(known.len()));
                if found.is_none() {
                    known.push(section);
                }
            }
            numbers.push(of_sheet);
        }
        Self(numbers)
    }

    fn number(&self, place: &CutPlace) -> usize {
        let sheet = self.0.get(place.sheet);
        sheet.and_then(|s| s.get(place.run)).copied().unwrap_or(0)
    }
}

/// Saw moves of settings made one after another, the saw starting square.
pub fn saw_moves_of(settings: impl IntoIterator<Item = (f64, f64)>) -> usize {
    let (mut moves, mut last) = (0, (0.0, 0.0));
    for this in settings {
        moves += usize::from(!same(last, this));
        last = this;
    }
    moves
}

fn gather(groups: &mut Vec<Group>, place: CutPlace) {
    let this = (place.setting.swing, place.setting.tilt);
    match groups.iter_mut().find(|g| same((g.swing, g.tilt), this)) {
        Some(group) => group.cuts.push(place),
        None => groups.push(Group {
            swing: this.0,
            tilt: this.1,
            cuts: vec![place],
        }),
    }
}

fn same(a: (f64, f64), b: (f64, f64)) -> bool {
    (a.0 - b.0).abs() <= SAME_ANGLE && (a.1 - b.1).abs() <= SAME_ANGLE
}

impl Order {
    fn walk(&mut self, place: CutPlace) {
        let this = (place.setting.swing, place.setting.tilt);
        match self.groups.last_mut() {
            Some(group) if same((group.swing, group.tilt), this) => group.cuts.push(place),
            _ => self.groups.push(Group {
                swing: this.0,
                tilt: this.1,
                cuts: vec![place],
            }),
        }
    }

    /// Gives the second cut on each piece its stop, and counts the changes.
    fn finish(mut self, sheets: &[&Sheet]) -> Self {
        self.saw_moves = saw_moves_of(self.groups.iter().map(|g| (g.swing, g.tilt)));
        let mut cut = std::collections::HashSet::new();
        for place in self.groups.iter_mut().flat_map(|g| &mut g.cuts) {
            if !cut.insert((place.sheet, place.run, place.piece)) {
                place.stop = stop(sheets, place);
            }
        }
        let stocks = Stocks::of(sheets);
        let cuts = || self.groups.iter().flat_map(|g| &g.cuts);
        let holds = cuts().zip(cuts().skip(1));
        self.hold_changes = holds.filter(|(a, b)| lay(a) != lay(b)).count();
        let stopped: Vec<(&CutPlace, Stop)> = cuts().filter_map(|c| Some((c, c.stop?))).collect();
        let moved = stopped.iter().zip(stopped.iter().skip(1));
        let moved = moved.filter(|(a, b)| !one_stop(a, b, &stocks)).count();
        self.stop_changes = moved + usize::from(!stopped.is_empty());
        self
    }
}

/// Whether a stop that served one cut serves another as it stands: the same
/// distance on the same side, and a blade that meets the stock alike.
fn one_stop((one, at): &(&CutPlace, Stop), (two, to): &(&CutPlace, Stop), stocks: &Stocks) -> bool {
    let set = |place: &CutPlace| (place.setting.swing, place.setting.tilt);
    let square = same(set(one), (0.0, 0.0));
    let alike = lay(one) == lay(two) && stocks.number(one) == stocks.number(two);
    at.side == to.side
        && (at.tip - to.tip).abs() <= SAME_STOP
        && same(set(one), set(two))
        && (square || alike)
}

/// The stop for a cut, its piece's other end being cut.
fn stop(sheets: &[&Sheet], place: &CutPlace) -> Option<Stop> {
    let run = sheets.get(place.sheet)?.runs.get(place.run)?;
    let piece = run.pieces.get(place.piece)?;
    let frame = SawFrame::new(place.setting.hold, run.spring.unwrap_or(0.0));
    let (far, along, kept) = match place.side {
        Side::Left => (&piece.right, 1.0, frame.d.x),
        Side::Right => (&piece.left, -1.0, -frame.d.x),
    };
    // How far the other end reaches past its own mark.
    let (least, most) = run.reach(far.per_u, far.per_v);
    let tip = if along > 0.0 { most } else { -least };
    let hook = along * far.hook.along(far.per_u, far.per_v);
    let side = match place.setting.block {
        Some(_) => StopSide::Near,
        None if kept > 0.0 => StopSide::Right,
        None => StopSide::Left,
    };
    Some(Stop {
        tape: piece.tape,
        tip: piece.tape + (tip - hook).max(0.0),
        side,
    })
}

fn each_cut(sheet_at: usize, sheet: &Sheet, mut each: impl FnMut(CutPlace)) {
    for (run_at, run) in sheet.runs.iter().enumerate() {
        run_cuts((sheet_at, run_at), run, &mut each);
    }
}

fn run_cuts((sheet, at): (usize, usize), run: &SolvedRun, mut each: impl FnMut(CutPlace)) {
    for (piece_at, piece) in run.pieces.iter().enumerate() {
        for (side, cut) in [(Side::Left, &piece.left), (Side::Right, &piece.right)] {
            each(CutPlace {
                sheet,
                run: at,
                piece: piece_at,
                side,
                setting: cut.setting,
                stop: None,
            });
        }
    }
}

/// Changes of (swing, tilt) in both orders.
pub(super) fn saw_moves(sheet: &Sheet) -> SawMoves {
    let cuts = || {
        let pieces = sheet.runs.iter().flat_map(|run| &run.pieces);
        pieces.flat_map(|piece: &Piece| [&piece.left, &piece.right])
    };
    let set = |cut: &Cut| (cut.setting.swing, cut.setting.tilt);
    let mut settings: Vec<(f64, f64)> = vec![(0.0, 0.0)];
    for this in cuts().map(set) {
        if !settings.iter().any(|&other| same(this, other)) {
            settings.push(this);
        }
    }
    SawMoves {
        walk: saw_moves_of(cuts().map(set)),
        gang: settings.len() - 1,
    }
}
