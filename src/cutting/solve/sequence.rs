//! Pieces whose distance depends on which ends meet: does a set of them fit a
//! stick, and in which order?
//!
//! Pieces fall into classes by their ends. The least sum of gaps depends only
//! on how many of each class there are, and is found exactly by dynamic
//! programming over (how many of each class are laid, the end laid last).

use std::cell::{Cell, RefCell};
use std::collections::HashMap;

/// Cells of the table for one set of pieces above which it is not searched.
const MOST_CELLS: usize = 400_000;

/// What is known of the ends.
#[derive(Clone, Debug, Default)]
pub struct Sequence {
    /// Overall length of a piece of each size.
    pub length: Vec<i64>,
    /// Class of each size.
    pub class: Vec<usize>,
    /// Ends (left, right) of each class, one pair for each way round.
    pub ways: Vec<Vec<(usize, usize)>>,
    /// `gap[right][left]`, rounded up, may be below nothing.
    pub gap: Vec<Vec<i64>>,
    /// The same, rounded down.
    pub gap_down: Vec<Vec<i64>>,
    /// Shares: `share_right[r] + share_left[l] ≤ gap_down[r][l]`.
    pub share_right: Vec<i64>,
    /// The left ends' shares.
    pub share_left: Vec<i64>,
    /// Room of each kind of stick between its squared ends.
    pub room: Vec<i64>,
    known: RefCell<HashMap<Vec<u32>, i64>>,
    /// Set once a set was too large to search, or a set failed by no more than
    /// the rounding of gaps: then nothing is proven by what does not fit.
    pub doubtful: Cell<bool>,
}

/// One laid piece: (class, way round).
pub type Laid = (usize, usize);

impl Sequence {
    /// Whether the pieces (size, how many) fit one stick of kind `k`.
    pub fn fits(&self, k: usize, items: &[(u32, u32)]) -> bool {
        self.within(items, self.room[k])
    }

    /// Whether the pieces (size, how many) fit one stretch of this room.
    pub fn within(&self, items: &[(u32, u32)], room: i64) -> bool {
        let mut counts = vec![0u32; self.ways.len()];
        let mut sum = 0i64;
        let mut pieces = 0i64;
        for &(i, n) in items {
            counts[self.class[i as usize]] += n;
            sum += self.length[i as usize] * i64::from(n);
            pieces += i64::from(n);
        }
        let over = sum + self.gaps(&counts) - room;
        if over > 0 && over <= pieces {
            self.doubtful.set(true);
        }
        over <= 0
    }

    /// The least sum of gaps between pieces, `counts` of each class.
    pub fn gaps(&self, counts: &[u32]) -> i64 {
        if let Some(&g) = self.known.borrow().get(counts) {
            return g;
        }
        let g = match self.table(counts) {
            Some(table) => table
                .last()
                .and_then(|row| row.iter().min().copied())
                .unwrap_or(0),
            None => {
                self.doubtful.set(true);
                self.greedy(counts).1
            }
        };
        let mut known = self.known.borrow_mut();
        if known.len() > 200_000 {
            known.clear();
        }
        known.insert(counts.to_vec(), g);
        g
    }

    /// The order that needs the least sum of gaps.
    pub fn order(&self, counts: &[u32]) -> Vec<Laid> {
        let Some(table) = self.table(counts) else {
            return self.greedy(counts).0;
        };
        let strides = strides(counts);
        let mut at = table.len() - 1;
        let mut out = Vec::new();
        let Some(mut end) = (0..self.gap.len()).min_by_key(|&e| (table[at][e], e)) else {
            return out;
        };
        while at > 0 {
            let value = table[at][end];
            let step = self.step_back(&table, &strides, counts, at, end, value);
            let Some((class, way, before)) = step else {
                break;
            };
            out.push((class, way));
            at -= strides[class];
            end = before;
        }
        out.reverse();
        out
    }

    /// The piece laid last on the way to `table[at][end]`.
    fn step_back(
        &self,
        table: &[Vec<i64>],
        strides: &[usize],
        counts: &[u32],
        at: usize,
        end: usize,
        value: i64,
    ) -> Option<(usize, usize, usize)> {
        for (c, ways) in self.ways.iter().enumerate() {
            if digit(at, strides, counts, c) == 0 {
                continue;
            }
            let from = at - strides[c];
            for (w, &(left, right)) in ways.iter().enumerate() {
                if right != end {
                    continue;
                }
                if from == 0 {
                    return (value == 0).then_some((c, w, 0));
                }
                for before in 0..self.gap.len() {
                    let was = table[from][before];
                    if was < FAR / 2 && was + self.gap[before][left] == value {
                        return Some((c, w, before));
                    }
                }
            }
        }
        None
    }

    /// table[counts laid][last end]: least sum of gaps; none if too large.
    fn table(&self, counts: &[u32]) -> Option<Vec<Vec<i64>>> {
        let ends = self.gap.len();
        let mut cells = 1usize;
        for n in counts {
            cells = cells.checked_mul(*n as usize + 1)?;
        }
        if cells.checked_mul(ends)? > MOST_CELLS {
            return None;
        }
        let strides = strides(counts);
        let mut table = vec![vec![FAR; ends]; cells];
        for at in 0..cells {
            for (c, ways) in self.ways.iter().enumerate() {
                if digit(at, &strides, counts, c) == counts[c] {
                    continue;
                }
                for &(left, right) in ways {
                    let sum = if at == 0 {
                        0
                    } else {
                        let best = (0..ends).map(|e| table[at][e] + self.gap[e][left]).min();
                        best.unwrap_or(0)
                    };
                    let cell = &mut table[at + strides[c]][right];
                    *cell = (*cell).min(sum);
                }
            }
        }
        Some(table)
    }

    /// Nearest next: an order that can be cut, not always the best.
    fn greedy(&self, counts: &[u32]) -> (Vec<Laid>, i64) {
        let mut left = counts.to_vec();
        let (mut out, mut sum, mut last) = (Vec::new(), 0i64, None);
        while left.iter().any(|n| *n > 0) {
            let mut best: Option<(i64, Laid, usize)> = None;
            for (c, ways) in self.ways.iter().enumerate() {
                for (w, &(l, r)) in ways.iter().enumerate() {
                    let g = last.map_or(0, |e: usize| self.gap[e][l]);
                    if left[c] > 0 && best.is_none_or(|b| g < b.0) {
                        best = Some((g, (c, w), r));
                    }
                }
            }
            let Some((g, laid, end)) = best else { break };
            left[laid.0] -= 1;
            sum += g;
            out.push(laid);
            last = Some(end);
        }
        (out, sum)
    }
}

/// Farther than any stick.
const FAR: i64 = i64::MAX / 4;

/// Strides of a mixed-radix index over counts.
fn strides(counts: &[u32]) -> Vec<usize> {
    let mut out = Vec::with_capacity(counts.len());
    let mut s = 1;
    for n in counts {
        out.push(s);
        s *= *n as usize + 1;
    }
    out
}

fn digit(at: usize, strides: &[usize], counts: &[u32], c: usize) -> u32 {
    ((at / strides[c]) % (counts[c] as usize + 1)) as u32
}
