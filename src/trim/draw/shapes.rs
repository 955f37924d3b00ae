//! Small things that several drawings share: hatching, arrowheads, break
//! lines, clipping.

use super::scene::{At, at};

/// Lines at 45° through an area, `gap` units apart, clipped to it.
pub(super) fn hatch(area: &[At], gap: f64) -> Vec<(At, At)> {
    // Lines x − y = k; along each, the area's edges are crossed in pairs.
    let key = |p: &At| p.x - p.y;
    let low = area.iter().map(key).fold(f64::INFINITY, f64::min);
    let high = area.iter().map(key).fold(f64::NEG_INFINITY, f64::max);
    let mut lines = Vec::with_capacity(24);
    if !(low.is_finite() && high.is_finite()) || gap <= 0.0 || (high - low) / gap > 400.0 {
        return lines;
    }
    let mut k = (low / gap).floor() * gap + gap * 0.5;
    let mut crossings: Vec<At> = Vec::with_capacity(4);
    while k < high {
        crossings.clear();
        for (i, a) in area.iter().enumerate() {
            let Some(b) = area.get((i + 1) % area.len()) else {
                continue;
            };
            let (ka, kb) = (key(a) - k, key(b) - k);
            if (ka > 0.0) != (kb > 0.0) {
                crossings.push(a.towards(*b, ka / (ka - kb)));
            }
        }
        crossings.sort_by(|a, b| a.x.total_cmp(&b.x));
        for pair in crossings.chunks_exact(2) {
            if let [a, b] = pair {
                lines.push((*a, *b));
            }
        }
        k += gap;
    }
    lines
}

/// The part of an area with x·`side` ≤ `edge`·`side`.
pub(super) fn clipped(area: &[At], edge: f64, side: f64) -> Vec<At> {
    let inside = |p: &At| (p.x - edge) * side <= 0.0;
    let mut out = Vec::with_capacity(area.len() + 2);
    for (i, a) in area.iter().enumerate() {
        let Some(b) = area.get((i + 1) % area.len()) else {
            continue;
        };
        if inside(a) {
            out.push(*a);
        }
        if inside(a) != inside(b) {
            let t = (edge - a.x) / (b.x - a.x);
            out.push(at(edge, a.y + (b.y - a.y) * t));
        }
    }
    out
}

/// An area's outline without what lies on the upright line x = `edge`: one
/// open line, or a closed one if nothing lies there.
pub(super) fn open_outline(area: &[At], edge: f64) -> Vec<At> {
    let on = |p: &At| (p.x - edge).abs() < 1e-6;
    let count = area.len();
    let cut = (0..count).find(|i| {
        let next = area.get((i + 1) % count);
        area.get(*i).is_some_and(on) && next.is_some_and(on)
    });
    let start = cut.map_or(0, |i| i + 1);
    let mut points: Vec<At> = area
        .iter()
        .cycle()
        .skip(start)
        .take(count)
        .copied()
        .collect();
    if cut.is_none() {
        points.extend(area.first().copied());
    }
    points
}

/// An arrowhead as an open line of two strokes, its point at `tip`, flying
/// along `angle` (radians, clockwise from the right).
pub(super) fn arrow(tip: At, angle: f64, size: f64) -> Vec<At> {
    let back = |turn: f64| {
        let a = angle + std::f64::consts::PI + turn;
        tip.moved(size * a.cos(), size * a.sin())
    };
    vec![back(-0.42), tip, back(0.42)]
}

/// An upright break line at `x` from `top` to `bottom`.
pub(super) fn break_line(x: f64, top: f64, bottom: f64) -> Vec<At> {
    let middle = (top + bottom) / 2.0;
    let (half, swing) = (((bottom - top) * 0.2).min(6.0), 4.0);
    vec![
        at(x, top - 4.0),
        at(x, middle - half),
        at(x - swing, middle - half * 0.4),
        at(x + swing, middle + half * 0.4),
        at(x, middle + half),
        at(x, bottom + 4.0),
    ]
}
