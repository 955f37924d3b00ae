//! Pieces as solids seen from the front: the faces that look towards the
//! viewer, from the back to the front.

use crate::trim::section::ARRIS_TURN;
use crate::trim::sheet::{Board, Piece, SectionPoint, Sheet, SolvedRun};
use crate::trim::space::{Point, Vector};

use super::scene::{At, Ink, Reach, Scene, Shape, View, at};

/// A long face of a piece; round a curve, all of it up to the next arris.
#[derive(Debug, Clone)]
struct Face {
    /// The edges' left ends, then their right ends backwards.
    corners: Vec<Point>,
    depth: f64,
    tone: Ink,
}

/// A head seen from the front, its faces found once.
#[derive(Debug, Clone)]
pub(super) struct Front {
    /// From the back to the front.
    faces: Vec<Face>,
    bounds: Option<(f64, f64, f64, f64)>,
}

impl Front {
    pub(super) fn of(sheet: &Sheet) -> Self {
        let mut faces: Vec<Face> = sheet.runs.iter().flat_map(run_faces).collect();
        faces.sort_by(|a, b| a.depth.total_cmp(&b.depth));
        let bounds = bounds(sheet, &faces);
        Self { faces, bounds }
    }

    /// The least box round the head, inches, y up: x and y of the lower left
    /// corner, width, height.
    pub(super) const fn bounds(&self) -> Option<(f64, f64, f64, f64)> {
        self.bounds
    }

    /// Draws boards, then mouldings and blocks from the back to the front.
    pub(super) fn draw(&self, scene: &mut Scene, sheet: &Sheet, view: &View) {
        for (board, ink) in boards(sheet) {
            let outline = outline(board).map(|(x, y)| view.at(x, y)).collect();
            scene.part("board", ink, Shape::Area(outline));
        }
        for face in &self.faces {
            let corners = face.corners.iter().map(|p| view.at(p.x, p.y)).collect();
            scene.part("face", face.tone, Shape::Area(corners));
        }
    }

    /// How far the head reaches past the line from `a` to `b` on its left,
    /// inches, among places beside that line.
    pub(super) fn reach_past(&self, a: At, b: At) -> f64 {
        let length = a.distance(b);
        if length <= 0.0 {
            return 0.0;
        }
        let (dx, dy) = ((b.x - a.x) / length, (b.y - a.y) / length);
        let mut most = 0.0_f64;
        for p in self.faces.iter().flat_map(|face| &face.corners) {
            let (x, y) = (p.x - a.x, p.y - a.y);
            let along = x * dx + y * dy;
            if (-0.01 * length..=1.01 * length).contains(&along) {
                most = most.max(y * dx - x * dy);
            }
        }
        most
    }
}

/// Draws boards, then mouldings and blocks from the back to the front.
pub(super) fn draw_front(scene: &mut Scene, sheet: &Sheet, view: &View) {
    Front::of(sheet).draw(scene, sheet, view);
}

/// Boards from the back to the front; blocks that stand out past the head's
/// face are toned as wood.
fn boards(sheet: &Sheet) -> Vec<(&Board, Ink)> {
    let mut boards: Vec<&Board> = sheet.boards.iter().collect();
    boards.sort_by(|a, b| a.origin.z.total_cmp(&b.origin.z));
    let ink = |b: &Board| {
        if b.origin.z > 1e-6 || faces_up(b) {
            Ink::Light
        } else {
            Ink::Board
        }
    };
    boards.into_iter().map(|b| (b, ink(b))).collect()
}

/// Whether a board lies rather than stands: its edge is what one sees.
fn faces_up(board: &Board) -> bool {
    board.normal().z.abs() < 0.71 && board.normal().y.abs() > 0.7
}

/// What one sees of a board from the front: its face, or of one that lies
/// its front edge from end to end.
fn seen(board: &Board) -> std::vec::IntoIter<Point> {
    if !faces_up(board) {
        let corners = board.outline.iter().map(|p| board.place(*p));
        return corners.collect::<Vec<_>>().into_iter();
    }
    let xs = board.outline.iter().map(|p| p.0);
    let (low, high) = xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
        (l.min(x), h.max(x))
    });
    let down = board.normal() * -board.thickness;
    let (left, right) = (board.place((low, 0.0)), board.place((high, 0.0)));
    vec![left + down, right + down, right, left].into_iter()
}

/// A board's corners as they are seen from the front, x and y.
pub(super) fn outline(board: &Board) -> impl Iterator<Item = (f64, f64)> {
    seen(board).map(|p| (p.x, p.y))
}

/// As [`Front::bounds`].
pub(super) fn front_box(sheet: &Sheet) -> Option<(f64, f64, f64, f64)> {
    Front::of(sheet).bounds()
}

fn bounds(sheet: &Sheet, faces: &[Face]) -> Option<(f64, f64, f64, f64)> {
    let mut reach = Reach::default();
    for board in &sheet.boards {
        outline(board).for_each(|(x, y)| reach.take(at(x, y)));
    }
    for p in faces.iter().flat_map(|face| &face.corners) {
        reach.take(at(p.x, p.y));
    }
    let (corner, width, height) = reach.found()?;
    (width > 0.0 || height > 0.0).then_some((corner.x, corner.y, width, height))
}

fn run_faces(run: &SolvedRun) -> Vec<Face> {
    let turn = area(&run.section);
    let mut faces = Vec::new();
    for piece in &run.pieces {
        // Edges of one face so far, where the last one looks, and the sum
        // of where all look.
        let mut open: Option<(Vec<SectionPoint>, Vector, Vector)> = None;
        for (i, a) in run.section.iter().enumerate() {
            let Some(b) = run.section.get((i + 1) % run.section.len()) else {
                continue;
            };
            // Outward of an anticlockwise outline is right of its edge.
            let (du, dv) = ((b.u - a.u) * turn, (b.v - a.v) * turn);
            let wide = piece.leg.n * dv - piece.leg.b * du;
            let Some(normal) = wide.unit() else {
                continue;
            };
            match &mut open {
                Some((edges, last, sum))
                    if run.curves.is_some()
                        && normal.z > 1e-6
                        && normal.dot(*last) > ARRIS_TURN.cos() =>
                {
                    edges.push(*b);
                    *last = normal;
                    *sum = *sum + wide;
                }
                _ => {
                    faces.extend(open.take().map(|(edges, _, sum)| face(piece, &edges, sum)));
                    open = (normal.z > 1e-6).then(|| (vec![*a, *b], normal, wide));
                }
            }
        }
        faces.extend(open.map(|(edges, _, sum)| face(piece, &edges, sum)));
    }
    faces
}

/// The tone of a face that looks along `sum`, of any length.
fn tone(sum: Vector) -> Ink {
    let normal = sum.unit().unwrap_or(Vector::Z);
    if normal.y < -0.2 {
        Ink::Shade
    } else if normal.y > 0.2 {
        Ink::Light
    } else {
        Ink::Wood
    }
}

fn face(piece: &Piece, edges: &[SectionPoint], sum: Vector) -> Face {
    let left = edges.iter().map(|p| end_point(piece, *p, false));
    let right = edges.iter().rev().map(|p| end_point(piece, *p, true));
    let corners: Vec<Point> = left.chain(right).collect();
    let share = 1.0 / f64::from(u32::try_from(corners.len()).unwrap_or(1).max(1));
    Face {
        depth: corners.iter().map(|p| p.z).sum::<f64>() * share,
        corners,
        tone: tone(sum),
    }
}

/// Where the edge at `p` of the section ends, at the piece's left or right.
pub(super) fn end_point(piece: &Piece, p: SectionPoint, right: bool) -> Point {
    let leg = &piece.leg;
    let (from, cut) = if right {
        (leg.end, &piece.right)
    } else {
        (leg.start, &piece.left)
    };
    from + leg.n * p.u + leg.b * p.v + leg.d * (cut.per_u * p.u + cut.per_v * p.v)
}

/// +1 for an anticlockwise outline in (u, v), −1 for a clockwise one.
fn area(section: &[SectionPoint]) -> f64 {
    let next = section.iter().cycle().skip(1);
    let twice: f64 = section
        .iter()
        .zip(next)
        .map(|(a, b)| a.u * b.v - b.u * a.v)
        .sum();
    if twice < 0.0 { -1.0 } else { 1.0 }
}
