//! The take-off: every piece of a solved head as the stick must give it, what
//! it is of, and which stock that takes.
//!
//! Lengths are overall lengths rounded up to 1/64 in, so that what is ordered
//! is never short; ends are the solved cuts. Boards are the box round their
//! outline, grain along its longer side.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::order::EndCut;
use crate::measure::Length;
use crate::trim::sheet::{SectionPoint, Sheet};

/// Nanometres in 1/64 in: what lengths are rounded up to.
const STEP: i64 = 396_875;
/// Nanometres in an inch.
const INCH: f64 = 25_400_000.0;
/// Sizes within 1/64 in of each other are the same.
const ALIKE: f64 = 1.0 / 64.0;

/// One piece of a head, as the stick must give it.
#[derive(Clone, Debug, PartialEq)]
pub struct Needed {
    /// Its label on the head's sheet.
    pub label: String,
    /// The visible run it belongs to; a board or drop by its own name.
    pub run: String,
    /// What the stick must give, > 0, a whole number of 64ths.
    pub length: Length,
    /// Its left end.
    pub left: EndCut,
    /// Its right end.
    pub right: EndCut,
    /// What it is cut from.
    pub shape: Shape,
    /// It is on the head's cut sheet, to be ticked there.
    pub on_sheet: bool,
}

/// What a piece is cut from, sizes in inches.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A moulding: the corners (u, v) of its section.
    Moulding(Vec<[f64; 2]>),
    /// A rectangle: thickness, width, and the corners of the section where it
    /// is mitred (empty for a flat board).
    Board(f64, f64, Vec<[f64; 2]>),
}

/// Sizes of a shape: thickness (projection) and width (height), inches.
#[must_use]
pub fn size(shape: &Shape) -> (f64, f64) {
    match shape {
        Shape::Board(thickness, width, _) => (*thickness, *width),
        Shape::Moulding(section) => {
            let reach = |k: usize| {
                let all = section.iter().map(|c| c[k]);
                let low = all.clone().fold(f64::INFINITY, f64::min);
                all.fold(f64::NEG_INFINITY, f64::max) - low
            };
            (reach(0), reach(1))
        }
    }
}

/// Every piece of a solved head.
#[must_use]
pub fn take_off(sheet: &Sheet) -> Vec<Needed> {
    let mut out = Vec::new();
    for run in &sheet.runs {
        let (shape, rolled) = laid(shape_of(corners(&run.section)));
        for piece in &run.pieces {
            let end = |cut: &crate::trim::sheet::Cut| {
                let (per_u, per_v) = if rolled {
                    (cut.per_v, -cut.per_u)
                } else {
                    (cut.per_u, cut.per_v)
                };
                EndCut { per_u, per_v }
            };
            out.push(Needed {
                label: piece.label.clone(),
                run: run.name.clone(),
                length: up(piece.overall),
                left: end(&piece.left),
                right: end(&piece.right),
                shape: shape.clone(),
                on_sheet: true,
            });
        }
    }
    for bend in &sheet.bends {
        let (shape, _) = laid(shape_of(corners(&bend.section)));
        let longest = bend.developed.max(bend.inner).max(bend.outer);
        let label = format!("{}-bent", bend.run);
        out.push(flat(label, &bend.run, longest, shape));
    }
    for board in &sheet.boards {
        let reach =
            |pick: fn(&(f64, f64)) -> f64| board.outline.iter().map(pick).fold(0.0, f64::max);
        let (along, up) = (reach(|p| p.0), reach(|p| p.1));
        let shape = Shape::Board(board.thickness, along.min(up), Vec::new());
        let kind = board
            .label
            .trim_end_matches(|c: char| c.is_ascii_digit() || c == '-');
        out.push(flat(board.label.clone(), kind, along.max(up), shape));
    }
    out.retain(|piece| piece.length > Length::ZERO);
    out
}

/// A piece with square ends that is on no cut sheet.
fn flat(label: String, run: &str, length: f64, shape: Shape) -> Needed {
    Needed {
        label,
        run: run.to_owned(),
        length: up(length),
        left: EndCut::default(),
        right: EndCut::default(),
        shape,
        on_sheet: false,
    }
}

fn corners(section: &[SectionPoint]) -> Vec<[f64; 2]> {
    section.iter().map(|p| [p.u, p.v]).collect()
}

/// A rectangle along the axes is a board, the thinner way its thickness;
/// anything else a moulding. Corners on a straight line are dropped.
fn shape_of(section: Vec<[f64; 2]>) -> Shape {
    let n = section.len();
    let corners: Vec<[f64; 2]> = (0..n)
        .filter(|&i| {
            let (a, b, c) = (section[(i + n - 1) % n], section[i], section[(i + 1) % n]);
            let turn = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]);
            turn.abs() > 1e-9
        })
        .map(|i| section[i])
        .collect();
    let along = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).abs() < 1e-9 || (a[1] - b[1]).abs() < 1e-9;
    let square = corners.len() == 4 && (0..4).all(|i| along(corners[i], corners[(i + 1) % 4]));
    let shape = Shape::Moulding(corners);
    if !square {
        return shape;
    }
    let (a, b) = size(&shape);
    let Shape::Moulding(corners) = shape else {
        return shape;
    };
    Shape::Board(a.min(b), a.max(b), corners)
}

/// A board with its width along u, so that boards alike are alike however
/// their heads hold them: a quarter turn about the stick, (u, v) to (v, −u);
/// true if it was turned.
fn laid(shape: Shape) -> (Shape, bool) {
    let Shape::Board(thickness, width, corners) = shape else {
        return (shape, false);
    };
    let reach = |k: usize| {
        let all = corners.iter().map(|c| c[k]);
        let low = all.clone().fold(f64::INFINITY, f64::min);
        all.fold(f64::NEG_INFINITY, f64::max) - low
    };
    if reach(0) >= reach(1) {
        return (Shape::Board(thickness, width, corners), false);
    }
    let corners = corners.iter().map(|c| [c[1], -c[0]]).collect();
    (Shape::Board(thickness, width, corners), true)
}

/// Up to the next 64th; what is a hair over one by rounding counts as it.
fn up(inches: f64) -> Length {
    let nm = inches * INCH;
    if !nm.is_finite() || nm <= 0.0 || nm > 1e15 {
        return Length::ZERO;
    }
    let steps = ((nm - 50.0) / STEP as f64).ceil().max(1.0);
    Length::from_nanometres(steps as i64 * STEP)
}

/// Pieces of several heads that come from the same stock.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Tells it from every other, the same for the same shape.
    pub key: String,
    /// What it is, in words: the runs and the size.
    pub name: String,
    /// What it is cut from.
    pub shape: Shape,
    /// Its pieces: (head, piece), by their places in what was given.
    pub pieces: Vec<(usize, usize)>,
    /// Sum of the lengths.
    pub length: Length,
    /// Face area in square feet, for a board.
    pub area: Option<f64>,
}

/// Pieces of one shape together, mouldings first, then boards by thickness and
/// width.
#[must_use]
pub fn grouped(heads: &[Vec<Needed>]) -> Vec<Group> {
    let mut out: BTreeMap<String, Group> = BTreeMap::new();
    let mut runs: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (h, pieces) in heads.iter().enumerate() {
        for (p, piece) in pieces.iter().enumerate() {
            let key = key(&piece.shape);
            let names = runs.entry(key.clone()).or_default();
            if !names.contains(&piece.run) {
                names.push(piece.run.clone());
            }
            let group = out.entry(key.clone()).or_insert_with(|| Group {
                key,
                name: String::new(),
                shape: piece.shape.clone(),
                pieces: Vec::new(),
                length: Length::ZERO,
                area: None,
            });
            // Flat pieces have no corners to tell; mitred ones of the group do.
            if section(&group.shape).is_empty() {
                group.shape = piece.shape.clone();
            }
            group.pieces.push((h, p));
            group.length = group
                .length
                .checked_add(piece.length)
                .unwrap_or(Length::MAX);
        }
    }
    let mut all: Vec<Group> = out.into_values().collect();
    for group in &mut all {
        let (thickness, width) = size(&group.shape);
        let names = runs.remove(&group.key).unwrap_or_default();
        let sizes = format!("{} × {}", inches_text(thickness), inches_text(width));
        group.name = format!("{} {sizes}", names.join(", "));
        if matches!(group.shape, Shape::Board(..)) {
            group.area = Some(width * group.length.inches() / 144.0);
        }
    }
    all
}

/// A size in inches to the nearest 64th.
fn inches_text(inches: f64) -> String {
    let steps = (inches * 64.0).round() as i64;
    Length::from_nanometres(steps * STEP).to_string()
}

/// A shape's sizes, or its corners, as a key.
fn key(shape: &Shape) -> String {
    let steps = |v: f64| (v * 64.0).round() as i64;
    match shape {
        Shape::Board(thickness, width, _) => {
            format!("board {:06} {:06}", steps(*thickness), steps(*width))
        }
        Shape::Moulding(section) => {
            let (u, v) = size(shape);
            // A sum of the corners tells profiles of one size apart.
            let sum = section.iter().enumerate().fold(0i64, |sum, (i, c)| {
                sum.wrapping_mul(31)
                    .wrapping_add(steps(c[0] * 16.0) * 7 + steps(c[1] * 16.0) + i as i64)
            });
            format!("a-moulding {} {} {:x}", steps(u), steps(v), sum as u64)
        }
    }
}

/// What a board or moulding of the shelf is, for the take-off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stuff {
    /// A moulding, not a board.
    pub moulding: bool,
    /// Dressed thickness; a moulding's projection.
    pub thickness: Length,
    /// Dressed width; a moulding's height.
    pub width: Length,
}

/// How a group is got out of a board or moulding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Yield {
    /// Each stick is ripped into so many strips of the width.
    Strips(u32),
    /// Each board is glued up from so many.
    GluedUp(u32),
}

/// How a shape is got out of stuff `width` wide; none if it cannot be.
/// Common practice, no source: a kerf is lost between strips, a board wider
/// than its stock is glued up edge to edge.
#[must_use]
pub fn yields(shape: &Shape, stuff: Stuff, width: Length, kerf: Length) -> Option<Yield> {
    let (thick, wide) = size(shape);
    let same = |a: f64, b: f64| (a - b).abs() <= ALIKE + 1e-9;
    let (t, w) = (stuff.thickness.inches(), width.inches());
    if stuff.moulding {
        let fits = (same(t, thick) && same(w, wide)) || (same(t, wide) && same(w, thick));
        return fits.then_some(Yield::Strips(1));
    }
    let Shape::Board(_, _, corners) = shape else {
        return None;
    };
    if !same(t, thick) {
        return None;
    }
    if w + ALIKE >= wide {
        let saw = kerf.inches();
        let strips = ((w + saw + ALIKE) / (wide + saw)).floor().clamp(1.0, 50.0);
        return Some(Yield::Strips(strips as u32));
    }
    let parts = (wide / w - 1e-9).ceil();
    (corners.is_empty() && parts <= 8.0).then_some(Yield::GluedUp(parts as u32))
}

/// The choice among stuff that suits a shape best: no gluing, then the least
/// width left over; none if nothing suits.
#[must_use]
pub fn best_stuff(shape: &Shape, choices: &[Stuff], kerf: Length) -> Option<usize> {
    let (_, wide) = size(shape);
    let rank = |s: &Stuff| {
        let how = yields(shape, *s, s.width, kerf)?;
        Some(match how {
            Yield::Strips(n) => (0, ((s.width.inches() - f64::from(n) * wide) * 64.0) as i64),
            Yield::GluedUp(n) => (i64::from(n), (-s.width.inches() * 64.0) as i64),
        })
    };
    let ranked = choices
        .iter()
        .enumerate()
        .filter_map(|(i, s)| Some((rank(s)?, i)));
    ranked.min().map(|(_, i)| i)
}

/// Spare pieces that a waste rule of so many per cent adds: copies of the
/// longest piece, square at both ends, until the share of the whole length is
/// reached. Returns how many and how long.
#[must_use]
pub fn spares(lengths: &[Length], per_cent: i64) -> (u32, Length) {
    let longest = lengths.iter().copied().max().unwrap_or(Length::ZERO);
    let whole: i64 = lengths.iter().map(|l| l.nanometres()).sum();
    if per_cent <= 0 || longest <= Length::ZERO {
        return (0, longest);
    }
    let extra = whole.saturating_mul(per_cent) / 100;
    let n = (extra + longest.nanometres() - 1) / longest.nanometres();
    (u32::try_from(n.max(1)).unwrap_or(u32::MAX), longest)
}

/// One piece as a line of the contract's order.
#[must_use]
pub fn line(label: &str, piece: &Needed, run: Option<&str>) -> Value {
    let end = |e: EndCut| json!({"per_u": e.per_u, "per_v": e.per_v});
    let mut line = json!({"label": label, "length": piece.length.to_string(), "qty": 1});
    let square = EndCut::default();
    if let Some(map) = line.as_object_mut() {
        if piece.left != square || piece.right != square {
            map.insert("left".into(), end(piece.left));
            map.insert("right".into(), end(piece.right));
        }
        if let Some(run) = run {
            map.insert("run".into(), json!(run));
        }
    }
    line
}

/// The section of a shape for the contract's order, in inches; empty where
/// ends are square.
#[must_use]
pub fn section(shape: &Shape) -> &[[f64; 2]] {
    match shape {
        Shape::Moulding(corners) | Shape::Board(_, _, corners) => corners,
    }
}
