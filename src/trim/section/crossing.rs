//! Whether a polygon crosses itself.

use crate::trim::sheet::SectionPoint;

/// A place at which two sides that are not neighbours cross, `None` if there
/// is none. Sides that only touch do not count. Work grows with the square
/// of the corners; callers bound them.
pub(super) fn first_crossing(corners: &[SectionPoint]) -> Option<SectionPoint> {
    let count = corners.len();
    let side = |(i, a): (usize, &SectionPoint)| {
        let b = *corners.get((i + 1) % count)?;
        Some((a.u.min(b.u), a.u.max(b.u), i, *a, b))
    };
    // From the left: a side is compared only with those that begin before it
    // ends, so that a plain outline costs little.
    let mut sides: Vec<_> = corners.iter().enumerate().filter_map(side).collect();
    sides.sort_by(|one, two| one.0.total_cmp(&two.0).then(one.2.cmp(&two.2)));
    for (nth, (_, end, i, a, b)) in sides.iter().enumerate() {
        let after = sides.iter().skip(nth + 1);
        for (_, _, j, c, d) in after.take_while(|other| other.0 <= *end) {
            let apart = i.abs_diff(*j);
            if apart <= 1 || apart + 1 == count {
                continue;
            }
            if let Some(p) = cross(*a, *b, *c, *d) {
                return Some(p);
            }
        }
    }
    None
}

/// Where two lines properly cross.
fn cross(
    a: SectionPoint,
    b: SectionPoint,
    c: SectionPoint,
    d: SectionPoint,
) -> Option<SectionPoint> {
    let (ab, cd) = (b - a, d - c);
    // Sides closer than this count as touching.
    let near = 1e-9 * ab.length() * cd.length();
    let (c_side, d_side) = (ab.cross(c - a), ab.cross(d - a));
    let (a_side, b_side) = (cd.cross(a - c), cd.cross(b - c));
    let apart = |x: f64, y: f64| (x > near && y < -near) || (x < -near && y > near);
    (apart(c_side, d_side) && apart(a_side, b_side))
        .then(|| c.towards(d, c_side / (c_side - d_side)))
}
