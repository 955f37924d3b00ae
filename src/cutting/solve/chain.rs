//! Pricing where the ends matter: the best value of a chain of pieces in each
//! room, over (length used, end laid last), whatever piece may follow any end.
//!
//! Lengths are rounded down to a grid and a piece may come more often than it
//! is asked for, so the value is an upper bound; the chains themselves are
//! handed back as patterns, cut down to the demand.
//!
//! Positions are shifted by the shares of [`Sequence`], so that every step
//! goes forward: X = end + a after a piece with right end e, X = start − b
//! before one with left end l; a piece then advances X by length + a + b, a
//! junction by gap − a − b ≥ 0.

use super::sequence::Sequence;

/// Grid steps of the longest room.
const STEPS: i64 = 12_000;

/// No chain ends here.
const NONE: i64 = i64::MIN / 4;

/// The best chains for one kind of stick.
pub struct Chains {
    /// No chain in the room is worth more.
    pub bound: i64,
    /// Good chains, as (size, how many).
    pub chains: Vec<Vec<(u32, u32)>>,
}

struct Step {
    size: u32,
    left: usize,
    right: usize,
    advance: usize,
    value: i64,
}

struct Table {
    ends: usize,
    /// after[x·ends + e]: best value with right end e laid at x.
    after: Vec<i64>,
    /// The step that laid it.
    laid: Vec<u32>,
    /// before[x·ends + l]: best value ready for left end l at x.
    before: Vec<i64>,
    /// The right end before it; `ends` at the stick's start.
    came: Vec<u32>,
}

/// Prices chains of pieces worth `value` each for every kind of stick; none if
/// a piece is too short for the grid.
pub fn price(q: &Sequence, value: &[i64], demand: &[u32]) -> Option<Vec<Chains>> {
    let ends = q.gap.len();
    let most_b = q.share_left.iter().copied().max()?;
    let most_a = q.share_right.iter().copied().max()?;
    let longest = q.room.iter().copied().max()? + most_a + most_b;
    let grid = (longest / STEPS).max(1);
    let mut steps = Vec::new();
    for (i, &v) in value.iter().enumerate() {
        if v <= 0 || demand[i] == 0 {
            continue;
        }
        for &(left, right) in &q.ways[q.class[i]] {
            let advance = (q.length[i] + q.share_right[right] + q.share_left[left]) / grid;
            if advance < 1 {
                return None;
            }
            let advance = advance as usize;
            steps.push(Step {
                size: i as u32,
                left,
                right,
                advance,
                value: v,
            });
        }
    }
    let table = Table::fill(q, &steps, (longest / grid) as usize, grid, most_b);
    let each = q.room.iter().map(|room| {
        let mut ended: Vec<(i64, usize, usize)> = (0..ends)
            .filter_map(|e| {
                let limit = (room + q.share_right[e] + most_b).div_euclid(grid);
                let limit = usize::try_from(limit).ok()?;
                let at = (0..=limit).max_by_key(|x| table.after.get(x * ends + e).copied())?;
                let v = table.after.get(at * ends + e).copied()?;
                (v > 0).then_some((v, at, e))
            })
            .collect();
        ended.sort_unstable_by(|a, b| b.cmp(a));
        Chains {
            bound: ended.first().map_or(0, |e| e.0),
            chains: ended
                .iter()
                .map(|e| table.trace(q, &steps, e.1, e.2, grid, demand))
                .collect(),
        }
    });
    Some(each.collect())
}

/// How far a junction goes beyond both ends' shares, on the grid.
fn rest(q: &Sequence, right: usize, left: usize, grid: i64) -> usize {
    ((q.gap_down[right][left] - q.share_right[right] - q.share_left[left]) / grid).max(0) as usize
}

impl Table {
    fn fill(q: &Sequence, steps: &[Step], most: usize, grid: i64, most_b: i64) -> Self {
        let ends = q.gap.len();
        let cells = (most + 1) * ends;
        let mut t = Table {
            ends,
            after: vec![NONE; cells],
            laid: vec![0; cells],
            before: vec![NONE; cells],
            came: vec![0; cells],
        };
        for l in 0..ends {
            let at = ((most_b - q.share_left[l]) / grid) as usize;
            t.ready(at, l, 0, ends as u32);
        }
        let rest: Vec<usize> = (0..ends * ends)
            .map(|i| rest(q, i / ends, i % ends, grid))
            .collect();
        for x in 0..=most {
            for e in 0..ends {
                let v = t.after[x * ends + e];
                if v > NONE {
                    for l in 0..ends {
                        t.ready(x + rest[e * ends + l], l, v, e as u32);
                    }
                }
            }
            for (s, step) in steps.iter().enumerate() {
                let v = t.before[x * ends + step.left];
                let to = (x + step.advance) * ends + step.right;
                if v > NONE && x + step.advance <= most && v + step.value > t.after[to] {
                    t.after[to] = v + step.value;
                    t.laid[to] = s as u32;
                }
            }
        }
        t
    }

    fn ready(&mut self, x: usize, left: usize, value: i64, from: u32) {
        if let Some(cell) = self.before.get_mut(x * self.ends + left)
            && value > *cell
        {
            *cell = value;
            self.came[x * self.ends + left] = from;
        }
    }

    fn trace(
        &self,
        q: &Sequence,
        steps: &[Step],
        mut x: usize,
        mut end: usize,
        grid: i64,
        demand: &[u32],
    ) -> Vec<(u32, u32)> {
        let mut count = std::collections::BTreeMap::new();
        // Every step goes back by at least one.
        loop {
            let step = &steps[self.laid[x * self.ends + end] as usize];
            let n: &mut u32 = count.entry(step.size).or_default();
            *n = (*n + 1).min(demand[step.size as usize]);
            x -= step.advance;
            let from = self.came[x * self.ends + step.left] as usize;
            if from == self.ends {
                return count.into_iter().collect();
            }
            x -= rest(q, from, step.left, grid);
            end = from;
        }
    }
}
