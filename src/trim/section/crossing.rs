//! Whether a polygon crosses itself.

use crate::trim::sheet::SectionPoint;

/// A place at which two sides that are not neighbours cross, `None` if there
/// is none. Sides that only touch do not count. Work grows with the square
/// of the corners; callers bound them.
pub(super) fn first_crossing(corners: &[SectionPoint]) -> Option<SectionPoint> {
    let count = corners.len();
    let side = |i: usize| Some((*corners.get(i)?, *corners.get((i + 1) % count)?));
    for i in 0..count {
        let (a, b) = side(i)?;
        let (low, high) = (a.u.min(b.u), a.u.max(b.u));
        for j in i + 2..count {
            if i == 0 && j + 1 == count {
                continue;
            }
            let (c, d) = side(j)?;
            if c.u.max(d.u) < low || c.u.min(d.u) > high {
                continue;
            }
            if let Some(p) = cross(a, b, c, d) {
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
