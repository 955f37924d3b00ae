//! Tiny orders by trying everything, with the geometry of flat boards worked
//! out anew: pieces are polygons on the face of a board 2 in wide.

/// A kind of stick.
#[derive(Clone, Debug)]
pub struct Kind {
    pub length: f64,
    pub price: i64,
    pub limit: Option<u32>,
}

/// A piece: overall length and the slopes of its ends across the face.
#[derive(Clone, Copy, Debug)]
pub struct Piece {
    pub length: f64,
    pub left: f64,
    pub right: f64,
}

const WIDTH: f64 = 2.0;

/// Least (cost, length taken, sticks), none if there is no plan.
pub fn best(
    kinds: &[Kind],
    pieces: &[Piece],
    kerf: f64,
    trim: f64,
    poses: &str,
) -> Option<(i64, f64, usize)> {
    let mut found: Option<(i64, f64, usize)> = None;
    let mut sticks: Vec<(usize, Vec<Piece>)> = Vec::new();
    assign(kinds, pieces, &mut sticks, &mut |sticks| {
        let fits = sticks.iter().all(|(k, on)| {
            let mut order = on.clone();
            needs(&mut order, 0, kerf, poses) <= kinds[*k].length - 2.0 * trim + 1e-7
        });
        if fits {
            let cost = sticks.iter().map(|(k, _)| kinds[*k].price).sum();
            let taken = sticks.iter().map(|(k, _)| kinds[*k].length).sum();
            let this = (cost, taken, sticks.len());
            if found.is_none_or(|f| this < f) {
                found = Some(this);
            }
        }
    });
    found
}

/// A stick's kind and what is put on it.
type Load = (usize, Vec<Piece>);

/// Every way to put the pieces on sticks.
fn assign(kinds: &[Kind], rest: &[Piece], sticks: &mut Vec<Load>, see: &mut dyn FnMut(&[Load])) {
    let Some((piece, rest)) = rest.split_first() else {
        see(sticks);
        return;
    };
    for i in 0..sticks.len() {
        sticks[i].1.push(*piece);
        assign(kinds, rest, sticks, see);
        sticks[i].1.pop();
    }
    for (k, kind) in kinds.iter().enumerate() {
        let used = sticks.iter().filter(|s| s.0 == k).count();
        if kind.limit.is_none_or(|l| used < l as usize) {
            sticks.push((k, vec![*piece]));
            assign(kinds, rest, sticks, see);
            sticks.pop();
        }
    }
}

/// The ways a piece may lie, as pairs of slopes. End for end on the face: a
/// half turn keeps the slope of a line and exchanges the ends. Other face up
/// about the stick's length: slopes change sign.
fn lies(p: Piece, poses: &str) -> Vec<Piece> {
    let turned = Piece {
        left: p.right,
        right: p.left,
        ..p
    };
    let flip = |p: Piece| Piece {
        left: -p.left,
        right: -p.right,
        ..p
    };
    match poses {
        "fixed" => vec![p],
        "turn" => vec![p, turned],
        _ => vec![p, turned, flip(p), flip(turned)],
    }
}

/// Least length for the pieces in any order from `at` on, any way round.
fn needs(order: &mut Vec<Piece>, at: usize, kerf: f64, poses: &str) -> f64 {
    if at == order.len() {
        return laid(order, kerf);
    }
    let mut least = f64::INFINITY;
    for i in at..order.len() {
        order.swap(at, i);
        let kept = order[at];
        for way in lies(kept, poses) {
            order[at] = way;
            least = least.min(needs(order, at + 1, kerf, poses));
        }
        order[at] = kept;
        order.swap(at, i);
    }
    least
}

/// Length from the first piece's leftmost point to the last one's rightmost,
/// each piece pushed left until its cut touches the kerf of the one before.
fn laid(order: &[Piece], kerf: f64) -> f64 {
    let mut end = 0.0f64;
    let mut before: Option<(f64, f64)> = None;
    for p in order {
        // Its left edge line from its leftmost point, at both edges.
        let left_low = (-p.left * WIDTH).max(0.0);
        let at = |x: f64, slope: f64, low: f64, v: f64| x + low + slope * v;
        let x = match before {
            None => 0.0,
            Some((line, slope)) => {
                let along = (1.0 + slope * slope)
                    .sqrt()
                    .max((1.0 + p.left * p.left).sqrt());
                let push = |v: f64| line + slope * v + kerf * along - at(0.0, p.left, left_low, v);
                push(0.0).max(push(WIDTH))
            }
        };
        let right_most = (p.right * WIDTH).max(0.0);
        let line = x + p.length - right_most;
        end = end.max(x + p.length);
        before = Some((line, p.right));
    }
    end
}
