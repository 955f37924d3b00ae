//! Ripping: a section cut lengthwise along a straight line, as the trade
//! rips a cap to width, and what is lost.

use crate::trim::sheet::SectionPoint;

use super::curve::Curve;
use super::outline::Outline;

/// Where the saw runs: what has `per_u`·u + `per_v`·v up to `keep` stays.
/// The blade eats `kerf` beyond it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// For each inch of u.
    pub per_u: f64,
    /// For each inch of v.
    pub per_v: f64,
    /// Up to which value the section is kept.
    pub keep: f64,
    /// What the blade eats, inches.
    pub kerf: f64,
}

/// What a rip leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct Ripped {
    /// What is kept, largest first; more than one if the line cuts it apart.
    pub kept: Vec<Outline>,
    /// What falls off beyond the kerf.
    pub offcuts: Vec<Outline>,
    /// Area kept, square inches: the largest part.
    pub kept_area: f64,
    /// Area lost, square inches: kerf, offcuts and smaller parts.
    pub lost_area: f64,
    /// Share of the section's area that is lost, 0 to 1.
    pub lost_share: f64,
}

/// Rips a section along a line. Curves stay curves: they are only cut.
/// `None` if nothing is kept or the direction has no length.
#[must_use]
pub fn rip(outline: &Outline, cut: &Cut) -> Option<Ripped> {
    let scale = cut.per_u.hypot(cut.per_v);
    if !(scale.is_finite() && scale > 0.0 && cut.keep.is_finite() && cut.kerf.is_finite()) {
        return None;
    }
    let (u, v) = (cut.per_u / scale, cut.per_v / scale);
    let keep = cut.keep / scale;
    let mut kept = below(outline, u, v, keep);
    let offcuts = below(outline, -u, -v, -(keep + cut.kerf.max(0.0)));
    kept.sort_by(|a, b| b.area().total_cmp(&a.area()));
    let (whole, kept_area) = (outline.area(), kept.first()?.area());
    let lost_area = (whole - kept_area).max(0.0);
    Some(Ripped {
        kept,
        offcuts,
        kept_area,
        lost_area,
        lost_share: lost_area / whole,
    })
}

/// A stretch of the outline on the kept side, from one place on the line to
/// another.
struct Stretch {
    curves: Vec<Curve>,
    from: SectionPoint,
    to: SectionPoint,
}

/// The parts of `outline` with u·`per_u` + v·`per_v` up to `most`, the
/// direction of length 1.
fn below(outline: &Outline, per_u: f64, per_v: f64, most: f64) -> Vec<Outline> {
    let inside = |p: SectionPoint| p.along(per_u, per_v) <= most;
    let pieces: Vec<Curve> = outline
        .curves()
        .iter()
        .flat_map(|curve| cut_at(curve, per_u, per_v, most))
        .collect();
    // A piece lies on one side; its middle tells which.
    let kept: Vec<bool> = pieces.iter().map(|c| inside(c.at(0.5))).collect();
    if kept.iter().all(|k| *k) {
        return vec![outline.clone()];
    }
    let Some(start) = kept.iter().position(|k| !*k) else {
        return Vec::new();
    };
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut open = false;
    for (curve, keep) in pieces
        .iter()
        .zip(&kept)
        .cycle()
        .skip(start)
        .take(pieces.len())
    {
        if !keep {
            open = false;
            continue;
        }
        match stretches.last_mut().filter(|_| open) {
            Some(stretch) => {
                stretch.curves.push(*curve);
                stretch.to = curve.to();
            }
            None => stretches.push(Stretch {
                curves: vec![*curve],
                from: curve.from(),
                to: curve.to(),
            }),
        }
        open = true;
    }
    close(stretches, |p| p.along(-per_v, per_u))
}

/// Joins stretches along the line into closed outlines: sorted by their
/// place on the line, ends lie inside the section between the first and the
/// second, the third and the fourth, and so on.
fn close(stretches: Vec<Stretch>, place: impl Fn(SectionPoint) -> f64) -> Vec<Outline> {
    let mut ends: Vec<(f64, usize, bool)> = Vec::with_capacity(2 * stretches.len());
    for (i, stretch) in stretches.iter().enumerate() {
        ends.push((place(stretch.from), i, false));
        ends.push((place(stretch.to), i, true));
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    // After the end of one stretch comes the start of its neighbour.
    let mut next = vec![None; stretches.len()];
    for pair in ends.chunks_exact(2) {
        let &[(_, a, a_ends), (_, b, b_ends)] = pair else {
            continue;
        };
        let (ending, starting) = if a_ends { (a, b) } else { (b, a) };
        if a_ends != b_ends
            && let Some(slot) = next.get_mut(ending)
        {
            *slot = Some(starting);
        }
    }
    let mut used = vec![false; stretches.len()];
    let mut found = Vec::new();
    for i in 0..stretches.len() {
        let mut curves: Vec<Curve> = Vec::new();
        let mut here = i;
        while let (Some(stretch), Some(flag)) = (stretches.get(here), used.get_mut(here)) {
            if *flag {
                break;
            }
            *flag = true;
            if let Some(last) = curves.last() {
                curves.push(line(last.to(), stretch.from));
            }
            curves.extend_from_slice(&stretch.curves);
            match next.get(here) {
                Some(Some(to)) => here = *to,
                _ => break,
            }
        }
        if let (Some(first), Some(last)) = (curves.first(), curves.last()) {
            let (from, to) = (last.to(), first.from());
            curves.push(line(from, to));
            let outline = Outline::known(curves.into_iter().filter(|c| !short(c)).collect());
            if outline.area() > 1e-12 {
                found.push(outline);
            }
        }
    }
    found
}

const fn line(from: SectionPoint, to: SectionPoint) -> Curve {
    Curve::Line { from, to }
}

fn short(curve: &Curve) -> bool {
    matches!(curve, Curve::Line { from, to } if from.distance(*to) < 1e-12)
}

/// Cuts a curve where it crosses the line, so that each part lies on one
/// side. On a stretch between two turnings the value only rises or only
/// falls, so halving finds its one crossing.
fn cut_at(curve: &Curve, per_u: f64, per_v: f64, most: f64) -> Vec<Curve> {
    let over = |t: f64| curve.at(t).along(per_u, per_v) - most;
    let mut stops = vec![0.0];
    stops.extend(curve.turning(per_u, per_v));
    stops.push(1.0);
    let mut cuts = vec![0.0];
    for pair in stops.windows(2) {
        let &[low, high] = pair else { continue };
        if (over(low) <= 0.0) == (over(high) <= 0.0) {
            continue;
        }
        let (mut a, mut b) = (low, high);
        for _ in 0..80 {
            let middle = 0.5 * (a + b);
            if (over(middle) <= 0.0) == (over(low) <= 0.0) {
                a = middle;
            } else {
                b = middle;
            }
        }
        let t = 0.5 * (a + b);
        if t > 1e-12 && t < 1.0 - 1e-12 {
            cuts.push(t);
        }
    }
    cuts.push(1.0);
    cuts.windows(2)
        .filter_map(|pair| match *pair {
            [a, b] if b > a => Some(curve.part(a, b)),
            _ => None,
        })
        .collect()
}
