//! The count problem: how many sticks of each kind, by best-first branch and
//! bound under the inequalities found. Bounds are made in whole numbers.

use super::problem::{Problem, Stop};
use super::relax::Cut;
use super::simplex::Simplex;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Open nodes held at most.
const MOST_NODES: usize = 100_000;

/// A linear condition Σ a_k·y_k ≥ b on the counts.
#[derive(Clone, Debug)]
pub struct Row {
    /// Entries by kind of stick.
    pub a: Vec<i64>,
    /// Right side.
    pub b: i64,
}

impl From<&Cut> for Row {
    fn from(c: &Cut) -> Self {
        Row {
            a: c.hold.clone(),
            b: c.need,
        }
    }
}

/// An open box of counts, ordered by bound, then age.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Node {
    bound: i128,
    age: u64,
    low: Vec<u32>,
    high: Vec<u32>,
}

/// Best-first search over count vectors for one goal.
pub struct Counts {
    weight: Vec<i64>,
    rows: Vec<Row>,
    open: BinaryHeap<Reverse<Node>>,
    /// Vectors that cannot be packed; nor can any they dominate.
    refuted: Vec<Vec<u32>>,
    /// Kinds from the roomiest down; none where a roomier stick need not hold
    /// what a smaller one does.
    order: Option<Vec<usize>>,
    current: Option<Node>,
    age: u64,
    scale: i128,
    lp: Simplex,
    first_row: usize,
    full: bool,
}

/// What the search offers next.
pub enum Next {
    /// The best vector not yet refuted; its weight is the bound.
    Try(Vec<u32>),
    /// No vector is left at all.
    None,
    /// The search outgrew its memory or was stopped.
    Full,
}

impl Counts {
    /// A search that minimises Σ weight_k·y_k over 0 ≤ y ≤ high, under `rows`.
    pub fn new(problem: &Problem, weight: Vec<i64>, high: &[u32], rows: &[Row]) -> Self {
        let k = weight.len();
        let order = problem.stretches.is_none().then(|| {
            let mut order: Vec<usize> = (0..k).collect();
            order.sort_by_key(|&i| (Reverse(problem.stocks[i].room), i));
            order
        });
        let most = weight.iter().copied().max().unwrap_or(1).max(1);
        // The dual: max b·λ + low·α − high·β with Aᵀλ + α − β = weight; the
        // last row keeps Σλ finite, so that a node without a solution shows
        // as one too dear instead of an unbounded ray.
        let mut rhs: Vec<f64> = weight.iter().map(|w| *w as f64).collect();
        rhs.push(most as f64 * 1e6);
        let mut lp = Simplex::new(rhs, &vec![0.0; k + 1]);
        for i in 0..k {
            lp.add(vec![(i as u32, -1.0)], 0.0);
        }
        let first_row = lp.columns();
        let bits = 64 - (most as u64).leading_zeros();
        let mut counts = Counts {
            weight,
            rows: Vec::new(),
            open: BinaryHeap::new(),
            refuted: Vec::new(),
            order,
            current: None,
            age: 0,
            scale: 1i128 << (96u32.saturating_sub(bits)).min(60),
            lp,
            first_row,
            full: false,
        };
        for r in rows {
            counts.add_row(r.clone());
        }
        counts.push(Node {
            bound: 0,
            age: 0,
            low: vec![0; k],
            high: high.to_vec(),
        });
        counts
    }

    /// Adds a condition.
    pub fn add_row(&mut self, row: Row) {
        let k = self.weight.len();
        let big = row_size(&row);
        let mut col: Vec<(u32, f64)> = row
            .a
            .iter()
            .enumerate()
            .filter(|(_, v)| **v != 0)
            .map(|(i, v)| (i as u32, *v as f64 / big))
            .collect();
        col.push((k as u32, 1.0));
        self.lp.add(col, -(row.b as f64) / big);
        self.rows.push(row);
        self.resume();
    }

    /// Notes that `y` cannot be packed.
    pub fn refute(&mut self, y: &[u32]) {
        self.refuted.push(y.to_vec());
        self.resume();
    }

    /// The vectors noted as impossible to pack.
    pub fn refuted(&self) -> &[Vec<u32>] {
        &self.refuted
    }

    /// No vector not yet refuted weighs less than this; none if all are.
    pub fn bound(&self) -> Option<i128> {
        let open = self.open.peek().map(|n| n.0.bound);
        match (&self.current, open) {
            (Some(c), Some(o)) => Some(c.bound.min(o)),
            (Some(c), None) => Some(c.bound),
            (None, o) => o,
        }
    }

    fn resume(&mut self) {
        if let Some(node) = self.current.take() {
            self.push(node);
        }
    }

    fn push(&mut self, mut node: Node) {
        if self.open.len() >= MOST_NODES {
            self.full = true;
        }
        self.age += 1;
        // Later nodes first among equals, so that ties are searched in depth.
        node.age = u64::MAX - self.age;
        self.open.push(Reverse(node));
    }

    /// The next vector to try to pack. It stays open until it is refuted or a
    /// row cuts it off.
    pub fn next(&mut self, stop: &Stop) -> Next {
        self.resume();
        loop {
            if self.full || stop.now() {
                return Next::Full;
            }
            let Some(Reverse(mut node)) = self.open.pop() else {
                return Next::None;
            };
            let y = self.relax(&node);
            let bound = self.exact_bound(&node);
            let most: i128 = self
                .weight
                .iter()
                .zip(&node.high)
                .map(|(w, h)| i128::from(*w) * i128::from(*h))
                .sum();
            if bound > most {
                continue;
            }
            if bound > node.bound {
                node.bound = bound;
                if self.open.peek().is_some_and(|o| o.0.bound < bound) {
                    self.push(node);
                    continue;
                }
            }
            if let Some(y) = self.settle(node, &y) {
                return Next::Try(y);
            }
        }
    }

    /// The node's linear relaxation: fractional counts.
    fn relax(&mut self, node: &Node) -> Vec<f64> {
        let k = self.weight.len();
        for i in 0..k {
            self.lp.set_cost(i, -f64::from(node.low[i]));
            self.lp.set_cost(k + 1 + i, f64::from(node.high[i]));
        }
        self.lp.reprice();
        self.lp.primal(20_000);
        (0..k)
            .map(|i| (-self.lp.prices()[i]).clamp(f64::from(node.low[i]), f64::from(node.high[i])))
            .collect()
    }

    /// The Lagrangian bound at the relaxation's multipliers, rounded to whole
    /// numbers first, so that no rounding can spoil it.
    fn exact_bound(&self, node: &Node) -> i128 {
        let s = self.scale;
        let mut reduced: Vec<i128> = self.weight.iter().map(|w| i128::from(*w) * s).collect();
        let mut sum = 0i128;
        for (j, v) in self.lp.solution() {
            if j < self.first_row || v <= 0.0 {
                continue;
            }
            let row = &self.rows[j - self.first_row];
            let times = (v / row_size(row) * s as f64) as i128;
            sum += times * i128::from(row.b);
            for (r, a) in reduced.iter_mut().zip(&row.a) {
                *r -= times * i128::from(*a);
            }
        }
        for (i, r) in reduced.iter().enumerate() {
            let n = if *r >= 0 { node.low[i] } else { node.high[i] };
            sum += r * i128::from(n);
        }
        -((-sum).div_euclid(s))
    }

    /// A whole vector is offered; otherwise the node is split.
    fn settle(&mut self, mut node: Node, y: &[f64]) -> Option<Vec<u32>> {
        let part = |v: f64| (v - v.round()).abs();
        let most = (0..y.len())
            .filter(|&i| node.low[i] < node.high[i] && part(y[i]) > 1e-6)
            .max_by(|&a, &b| part(y[a]).total_cmp(&part(y[b])));
        if let Some(i) = most {
            self.split_at(&node, i, y[i].floor() as u32);
            return None;
        }
        let mut whole: Vec<u32> = y.iter().map(|v| v.round() as u32).collect();
        for i in 0..whole.len() {
            if self.weight[i] == 0 {
                whole[i] = node.high[i];
            }
        }
        let broken = self.rows.iter().any(|r| {
            let sum: i128 =
                r.a.iter()
                    .zip(&whole)
                    .map(|(a, n)| i128::from(*a) * i128::from(*n))
                    .sum();
            sum < i128::from(r.b)
        });
        let weight: i128 = self
            .weight
            .iter()
            .zip(&whole)
            .map(|(w, n)| i128::from(*w) * i128::from(*n))
            .sum();
        if broken || weight > node.bound {
            // Rounding let it through, the relaxation stopped short of its
            // optimum, or the node has no solution at all: divide it.
            let wide = (0..whole.len())
                .filter(|&i| self.weight[i] > 0 && node.low[i] < node.high[i])
                .max_by_key(|&i| node.high[i] - node.low[i]);
            if let Some(i) = wide {
                let at = whole[i].min(node.high[i] - 1);
                self.split_at(&node, i, at);
                return None;
            }
            if broken {
                return None;
            }
            node.bound = weight;
            if self.open.peek().is_some_and(|o| o.0.bound < weight) {
                self.push(node);
                return None;
            }
        }
        if let Some(r) = self.dominator(&whole) {
            self.split_past(&node, &r);
            return None;
        }
        self.current = Some(node);
        Some(whole)
    }

    fn split_at(&mut self, node: &Node, i: usize, at: u32) {
        let mut low = node.clone();
        low.high[i] = at;
        let mut high = node.clone();
        high.low[i] = at + 1;
        self.push(low);
        self.push(high);
    }

    /// A refuted vector that has at least as much of everything: itself, or
    /// the vector if only roomier sticks make it so.
    fn dominator(&self, y: &[u32]) -> Option<Vec<u32>> {
        let mut found = None;
        for r in &self.refuted {
            if y.iter().zip(r).all(|(a, b)| a <= b) {
                return Some(r.clone());
            }
            let mut spare = 0i64;
            let dominated = self.order.as_ref().is_some_and(|order| {
                order.iter().all(|&k| {
                    spare += i64::from(r[k]) - i64::from(y[k]);
                    spare >= 0
                })
            });
            if dominated {
                found = Some(y.to_vec());
            }
        }
        found
    }

    /// Splits a node into the parts that have more than `r` of some kind.
    fn split_past(&mut self, node: &Node, r: &[u32]) {
        let mut rest = node.clone();
        for k in 0..r.len() {
            if r[k] < rest.high[k] {
                let mut child = rest.clone();
                child.low[k] = child.low[k].max(r[k] + 1);
                self.push(child);
            }
            rest.high[k] = rest.high[k].min(r[k]);
            if rest.high[k] < rest.low[k] {
                return;
            }
        }
    }
}

/// The largest entry of a row, to scale it by.
fn row_size(row: &Row) -> f64 {
    row.a.iter().map(|v| v.abs()).max().unwrap_or(1).max(1) as f64
}
