//! Length, area and centre of curves, and their flattening to corners.

use std::f64::consts::FRAC_PI_4;

use crate::trim::sheet::SectionPoint;

use super::curve::{Curve, pieces, share};
use super::plane::{Shift, place};

/// Positive nodes and weights of the 16-point Gauss–Legendre rule on −1…1,
/// exact for polynomials up to degree 31.
const GAUSS: [(f64, f64); 8] = [
    (0.095_012_509_837_637_44, 0.189_450_610_455_068_64),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_64),
    (0.458_016_777_657_227_37, 0.169_156_519_395_002_5),
    (0.617_876_244_402_643_8, 0.149_595_988_816_576_7),
    (0.755_404_408_355_003, 0.124_628_971_255_533_9),
    (0.865_631_202_387_831_8, 0.095_158_511_682_492_6),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_46),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_176),
];

/// What a closed outline sums up to, by Green's theorem.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sums {
    /// Signed area, positive anticlockwise.
    pub area: f64,
    /// Area times the centre's u.
    pub u: f64,
    /// Area times the centre's v.
    pub v: f64,
    /// Length of the curves.
    pub length: f64,
}

impl Sums {
    /// Adds one curve, places taken from `origin` so that a section far from
    /// (0, 0) loses no figures.
    pub(super) fn add(&mut self, curve: &Curve, origin: SectionPoint) {
        for smooth in smooth_parts(curve) {
            for (t, weight) in nodes() {
                let p = smooth.at(t) - origin;
                let d = smooth.slope(t);
                self.node(p, d, weight);
            }
        }
    }

    fn node(&mut self, p: Shift, d: Shift, weight: f64) {
        self.area += weight * 0.5 * p.cross(d);
        self.u += weight * 0.5 * p.u * p.u * d.v;
        self.v -= weight * 0.5 * p.v * p.v * d.u;
        self.length += weight * d.length();
    }
}

/// The rule's places on 0…1 and their weights.
fn nodes() -> impl Iterator<Item = (f64, f64)> {
    GAUSS
        .iter()
        .flat_map(|(x, w)| [(0.5 - 0.5 * x, 0.5 * w), (0.5 + 0.5 * x, 0.5 * w)])
}

/// Parts on which the rule reaches rounding error: arcs of an eighth turn,
/// conics of weight near 1 (halving pulls any weight there), eighths of a
/// cubic.
fn smooth_parts(curve: &Curve) -> Vec<Curve> {
    let even = |count: u32| {
        (0..count)
            .map(|i| curve.part(share(i, count), share(i + 1, count)))
            .collect()
    };
    match *curve {
        Curve::Line { .. } => vec![*curve],
        Curve::Arc { .. } => even(pieces(curve.sweep().abs() / FRAC_PI_4, 8)),
        Curve::Cubic { .. } => even(8),
        Curve::Conic { .. } => {
            let mut found = Vec::with_capacity(4);
            halve(curve, 12, &mut found, &|c| match *c {
                Curve::Conic { weight, .. } => (0.9..=1.1).contains(&weight),
                _ => true,
            });
            found
        }
    }
}

/// Halves a conic until each part is `good` or `depth` is used up.
fn halve(curve: &Curve, depth: u32, out: &mut Vec<Curve>, good: &dyn Fn(&Curve) -> bool) {
    if depth == 0 || good(curve) {
        out.push(*curve);
        return;
    }
    let (a, b) = curve.split(0.5);
    halve(&a, depth - 1, out, good);
    halve(&b, depth - 1, out, good);
}

/// The most straight pieces that one curve is flattened to.
pub(super) const MOST_PIECES: u32 = 1024;

/// Corners of straight lines that stay within `tolerance` inches of the
/// curve, its start left out, its end included. At most [`MOST_PIECES`].
pub(super) fn flatten(curve: &Curve, tolerance: f64, out: &mut Vec<SectionPoint>) {
    let tolerance = tolerance.max(1e-9);
    let mut even = |count: u32| {
        out.extend((1..=count).map(|i| curve.at(share(i, count))));
    };
    match *curve {
        Curve::Line { to, .. } => out.push(to),
        Curve::Arc { .. } => {
            let radius = curve.circle().map_or(0.0, |(_, r)| r);
            // 1 − cos x is lost to rounding for a far centre; 2·sin²(x/2) is
            // not: the sagitta r·2·sin²(x/4) of a part swept by x.
            let part = 4.0
                * (tolerance / (2.0 * radius.max(1e-300)))
                    .sqrt()
                    .min(1.0)
                    .asin();
            even(pieces(curve.sweep().abs() / part, MOST_PIECES));
        }
        Curve::Cubic {
            from,
            first,
            second,
            to,
        } => {
            let bend =
                |a: SectionPoint, b: SectionPoint, c: SectionPoint| ((a - b) + (c - b)).length();
            let most = 6.0 * bend(from, first, second).max(bend(first, second, to));
            even(pieces((most / (8.0 * tolerance)).sqrt(), MOST_PIECES));
        }
        Curve::Conic { .. } => {
            let mut found = Vec::new();
            // The farthest place from the chord is the shoulder, at ½.
            halve(curve, 10, &mut found, &|c| {
                c.at(0.5).distance(c.from().towards(c.to(), 0.5)) <= tolerance
            });
            out.extend(found.iter().map(Curve::to));
        }
    }
}

/// A place as the mean of some; (0, 0) for none.
#[expect(clippy::cast_precision_loss, reason = "a count of places")]
pub(super) fn mean(places: impl Iterator<Item = SectionPoint>) -> SectionPoint {
    let (mut u, mut v, mut n) = (0.0, 0.0, 0_usize);
    for p in places {
        u += p.u;
        v += p.v;
        n += 1;
    }
    let n = n.max(1) as f64;
    place(u / n, v / n)
}
