//! A piece as it is held at the saw: its section turned into the saw's
//! frame, and where each cut meets it. Saw frame: X right along the fence,
//! Y towards the fence, Z up, operator at −Y; inches.

use crate::trim::sheet::{Cut, Leg, Piece, SectionPoint, SolvedRun};
use crate::trim::solve::SawFrame;

use super::cut::End;

/// A place on the held section: y towards the fence, 0 at the fence; z up,
/// 0 on the bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    pub y: f64,
    pub z: f64,
}

/// A cut plane in the saw's frame: at (y, z) it stands at
/// x = `at` + `by_y`·y + `by_z`·z.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plane {
    pub at: f64,
    pub by_y: f64,
    pub by_z: f64,
}

impl Plane {
    pub(super) fn x(&self, spot: Spot) -> f64 {
        self.at + self.by_y * spot.y + self.by_z * spot.z
    }

    /// Where the plane meets the bed, `y` from the fence.
    pub(super) fn on_bed(&self, y: f64) -> f64 {
        self.x(Spot { y, z: 0.0 })
    }

    /// How far along X the plane moves for one unit square to itself.
    pub(super) fn stretch(&self) -> f64 {
        (1.0 + self.by_y * self.by_y + self.by_z * self.by_z).sqrt()
    }
}

/// A piece at the saw, ready for one cut.
#[derive(Debug, Clone)]
pub(super) struct Held {
    /// The section, in its given order.
    pub section: Vec<Spot>,
    /// The cut to be made; x = 0 where it meets the arris the tape hooks on.
    pub cut: Plane,
    /// The piece's other end.
    pub far: Plane,
    /// The arris that the tape hooks on.
    pub hook: Spot,
    /// +1 where the kept part lies right of the blade, −1 where left.
    pub kept: f64,
    /// From the fence to the stock's front.
    pub depth: f64,
    /// From the bed to the stock's top.
    pub height: f64,
    /// The end being cut as it is seen from above, from the fence to the
    /// front.
    pub near: Vec<(f64, f64)>,
    /// The lengthwise arrises that show from above, outline edges left out:
    /// each a spot of the section.
    pub arrises: Vec<Spot>,
}

/// Holds `piece` for the cut at `end`. `None` if the numbers are no piece:
/// an empty section, or something not finite.
pub(super) fn held(run: &SolvedRun, piece: &Piece, end: End) -> Option<Held> {
    let (cut, other) = match end {
        End::Left => (&piece.left, &piece.right),
        End::Right => (&piece.right, &piece.left),
    };
    let frame = SawFrame::new(cut.setting.hold, run.spring.unwrap_or(0.0));
    let raw: Vec<Spot> = run.section.iter().map(|p| spot(&frame, *p)).collect();
    let (back, front) = reach(raw.iter().map(|s| s.y))?;
    let (top, bottom) = reach(raw.iter().map(|s| s.z))?;
    let settle = |s: Spot| Spot {
        y: s.y - back,
        z: s.z - bottom,
    };
    let section: Vec<Spot> = raw.into_iter().map(settle).collect();
    let hook = settle(spot(&frame, cut.hook));
    let kept = match end {
        End::Left => frame.d.x,
        End::Right => -frame.d.x,
    };
    let base = Spot { y: back, z: bottom };
    let mut this = plane(&frame, cut, &piece.leg, (0.0, base))?;
    let shift = this.x(hook);
    this.at -= shift;
    let start = kept * piece.reference - shift;
    let far = plane(&frame, other, &piece.leg, (start, base))?;
    let mut held = Held {
        section,
        cut: this,
        far,
        hook,
        kept,
        depth: back - front,
        height: top - bottom,
        near: Vec::new(),
        arrises: Vec::new(),
    };
    held.near = held.seen_end(&held.cut, -held.kept);
    held.arrises = held.find_arrises();
    Some(held)
}

/// Highest and lowest; `None` if there is none or one is not finite.
fn reach(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let start = (f64::NEG_INFINITY, f64::INFINITY);
    let (high, low) = values.fold(start, |(h, l), v| (h.max(v), l.min(v)));
    (high.is_finite() && low.is_finite()).then_some((high, low))
}

fn spot(frame: &SawFrame, p: SectionPoint) -> Spot {
    Spot {
        y: p.u * frame.n.y + p.v * frame.b.y,
        z: p.u * frame.n.z + p.v * frame.b.z,
    }
}

/// The cut's plane, through the reference edge at `x`; spots are measured
/// from `base`.
fn plane(frame: &SawFrame, cut: &Cut, leg: &Leg, (x, base): (f64, Spot)) -> Option<Plane> {
    let q = frame.turn(leg, cut.plane);
    let plane = Plane {
        at: x,
        by_y: -q.y / q.x,
        by_z: -q.z / q.x,
    };
    let at = plane.x(base);
    (at.is_finite() && plane.stretch() < 1e4).then_some(Plane { at, ..plane })
}

impl Held {
    /// The stock's end seen from above, from the fence to the front: for
    /// every depth the x that reaches farthest towards `side` (+1 right,
    /// −1 left) in the plane.
    pub(super) fn seen_end(&self, plane: &Plane, side: f64) -> Vec<(f64, f64)> {
        let upper = plane.by_z * side > 0.0;
        let mut points: Vec<(f64, f64)> = Vec::with_capacity(8);
        for (a, b) in chain(&self.section, upper) {
            for spot in [a, b] {
                let point = (plane.x(spot), spot.y);
                if points.last() != Some(&point) {
                    points.push(point);
                }
            }
        }
        points
    }

    /// The end's upper edge seen from above, from the fence to the front.
    pub(super) fn top_edge(&self, plane: &Plane) -> Vec<(f64, f64)> {
        let mut points = Vec::with_capacity(8);
        for (a, b) in chain(&self.section, true) {
            points.push((plane.x(a), a.y));
            points.push((plane.x(b), b.y));
        }
        points
    }

    fn find_arrises(&self) -> Vec<Spot> {
        let near = 1e-6 * (self.depth + self.height);
        let count = self.section.len();
        let upper = chain(&self.section, true);
        let seen = |s: &Spot| {
            upper.iter().any(|(a, b)| {
                [a, b]
                    .iter()
                    .any(|e| (e.y - s.y).abs() < near && (e.z - s.z).abs() < near)
            })
        };
        (0..count)
            .filter_map(|i| {
                let before = *self.section.get((i + count - 1) % count)?;
                let here = *self.section.get(i)?;
                let after = *self.section.get((i + 1) % count)?;
                let inside = here.y < -near && here.y > near - self.depth;
                (inside && sharp(before, here, after) && seen(&here)).then_some(here)
            })
            .collect()
    }
}

/// Whether the outline turns here by more than about 15°.
fn sharp(before: Spot, here: Spot, after: Spot) -> bool {
    let (ay, az) = (here.y - before.y, here.z - before.z);
    let (by, bz) = (after.y - here.y, after.z - here.z);
    let (cross, dot) = (ay * bz - az * by, ay * by + az * bz);
    cross.abs().atan2(dot) > 0.26
}

/// The section's upper (or lower) boundary, from the fence to the front, as
/// stretches from one corner's depth to the next.
fn chain(section: &[Spot], upper: bool) -> Vec<(Spot, Spot)> {
    let mut depths: Vec<f64> = section.iter().map(|s| s.y).collect();
    depths.sort_by(|a, b| b.total_cmp(a));
    depths.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let mut found = Vec::with_capacity(depths.len());
    for pair in depths.windows(2) {
        let &[from, to] = pair else { continue };
        let middle = (from + to) / 2.0;
        let mut best: Option<(f64, Spot, Spot)> = None;
        for (i, a) in section.iter().enumerate() {
            let Some(b) = section.get((i + 1) % section.len()) else {
                continue;
            };
            let (low, high) = (a.y.min(b.y), a.y.max(b.y));
            if !(low < middle && middle < high) {
                continue;
            }
            let z = |y: f64| a.z + (b.z - a.z) * (y - a.y) / (b.y - a.y);
            let level = if upper { z(middle) } else { -z(middle) };
            if best.is_none_or(|(found, ..)| level > found) {
                let start = Spot {
                    y: from,
                    z: z(from),
                };
                best = Some((level, start, Spot { y: to, z: z(to) }));
            }
        }
        found.extend(best.map(|(_, a, b)| (a, b)));
    }
    found
}
