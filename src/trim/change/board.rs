//! Boards before and after.

use crate::trim::sheet::Board;

/// What a change does to a board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoardFate {
    /// The new outline lies inside the old one: it can be cut again.
    Recut,
    /// It is needed anew.
    Anew,
    /// The new drawing has none.
    Gone,
}

/// A board that is drawn otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardChange {
    /// Its label.
    pub label: String,
    /// What becomes of it if it is cut already.
    pub fate: BoardFate,
}

pub(super) fn changes(old: &[Board], new: &[Board], same: f64) -> Vec<BoardChange> {
    let one = |was: &Board| {
        let fate = match new.iter().find(|board| board.label == was.label) {
            None => BoardFate::Gone,
            Some(now) if alike(was, now, same) => return None,
            Some(now)
                if (was.thickness - now.thickness).abs() <= same && inside(was, now, same) =>
            {
                BoardFate::Recut
            }
            Some(_) => BoardFate::Anew,
        };
        Some(BoardChange {
            label: was.label.clone(),
            fate,
        })
    };
    let mut all: Vec<BoardChange> = old.iter().filter_map(one).collect();
    let fresh = new
        .iter()
        .filter(|now| !old.iter().any(|was| was.label == now.label));
    all.extend(fresh.map(|board| BoardChange {
        label: board.label.clone(),
        fate: BoardFate::Anew,
    }));
    all
}

fn alike(a: &Board, b: &Board, same: f64) -> bool {
    let near = |p: &(f64, f64), q: &(f64, f64)| (p.0 - q.0).hypot(p.1 - q.1) <= same;
    (a.thickness - b.thickness).abs() <= same
        && a.outline.len() == b.outline.len()
        && a.outline.iter().zip(&b.outline).all(|(p, q)| near(p, q))
}

/// Whether the new outline, its foot on the old one's, fits at the left, at
/// the right or in the middle.
fn inside(old: &Board, new: &Board, same: f64) -> bool {
    let width = |board: &Board| board.outline.iter().map(|p| p.0).fold(0.0, f64::max);
    let slack = width(old) - width(new);
    if slack < -same {
        return false;
    }
    [0.0, slack / 2.0, slack].into_iter().any(|dx| {
        let moved: Vec<(f64, f64)> = new.outline.iter().map(|p| (p.0 + dx, p.1)).collect();
        moved.iter().all(|p| depth(&old.outline, *p) >= -same)
            && old.outline.iter().all(|p| depth(&moved, *p) <= same)
    })
}

/// How deep a place lies in an outline: its distance from the nearest side,
/// negative outside.
fn depth(outline: &[(f64, f64)], p: (f64, f64)) -> f64 {
    let next = outline.iter().cycle().skip(1);
    let (mut within, mut near) = (false, f64::INFINITY);
    for (a, b) in outline.iter().zip(next) {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let long = dx * dx + dy * dy;
        let t = if long > 0.0 {
            (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / long).clamp(0.0, 1.0)
        } else {
            0.0
        };
        near = near.min((p.0 - a.0 - t * dx).hypot(p.1 - a.1 - t * dy));
        if (a.1 > p.1) != (b.1 > p.1) && p.0 < a.0 + (p.1 - a.1) / dy * dx {
            within = !within;
        }
    }
    if within { near } else { -near }
}
