//! Volume and surface of every piece of a solved head, exact for its
//! polygonal section: what paint, primer and weight are reckoned from.

use crate::trim::sheet::{Board, Piece, SectionPoint, Sheet, SolvedRun};

/// Volume and surface of one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    /// Its label.
    pub label: String,
    /// Cubic inches.
    pub volume: f64,
    /// All round with both ends, square inches.
    pub surface: f64,
    /// Of that, the cut ends: end grain to be sealed, square inches.
    pub ends: f64,
}

/// Every piece and board of a head.
#[must_use]
pub fn quantities(sheet: &Sheet) -> Vec<Quantity> {
    let pieces = sheet
        .runs
        .iter()
        .flat_map(|run| run.pieces.iter().map(|piece| of_piece(run, piece)));
    pieces.chain(sheet.boards.iter().map(of_board)).collect()
}

/// The sides of a closed polygon.
fn sides<T: Copy>(corners: &[T]) -> impl Iterator<Item = (T, T)> {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(a, b)| (*a, *b))
}

/// A piece between two plane cuts: its length at (u, v) is linear there, so
/// the volume is area × length at the area's centre, and a side's surface
/// its width × the length at its middle.
fn of_piece(run: &SolvedRun, piece: &Piece) -> Quantity {
    let (left, right) = (&piece.left, &piece.right);
    let length = |u: f64, v: f64| {
        piece.reference + (right.per_u - left.per_u) * u + (right.per_v - left.per_v) * v
    };
    let (mut area, mut volume, mut around) = (0.0, 0.0, 0.0);
    for (a, b) in sides(&run.section) {
        let cross = a.u * b.v - a.v * b.u;
        area += 0.5 * cross;
        // The triangle from (0, 0): its centre is a third of its corners' sum.
        volume += 0.5 * cross * length((a.u + b.u) / 3.0, (a.v + b.v) / 3.0);
        let SectionPoint { u, v } = a.towards(b, 0.5);
        around += a.distance(b) * length(u, v).max(0.0);
    }
    let area = area.abs();
    let face = |per_u: f64, per_v: f64| area * (1.0 + per_u * per_u + per_v * per_v).sqrt();
    let ends = face(left.per_u, left.per_v) + face(right.per_u, right.per_v);
    Quantity {
        label: piece.label.clone(),
        volume: volume.abs(),
        surface: around + ends,
        ends,
    }
}

fn of_board(board: &Board) -> Quantity {
    let (mut area, mut edge) = (0.0, 0.0);
    for ((ax, ay), (bx, by)) in sides(&board.outline) {
        area += 0.5 * (ax * by - ay * bx);
        edge += (bx - ax).hypot(by - ay);
    }
    let edges = edge * board.thickness;
    Quantity {
        label: board.label.clone(),
        volume: area.abs() * board.thickness,
        surface: 2.0 * area.abs() + edges,
        ends: edges,
    }
}

/// Sums over several pieces: volume, surface, ends.
#[must_use]
pub fn total(quantities: &[Quantity]) -> (f64, f64, f64) {
    quantities.iter().fold((0.0, 0.0, 0.0), |(v, s, e), q| {
        (v + q.volume, s + q.surface, e + q.ends)
    })
}
