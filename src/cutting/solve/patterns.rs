//! All patterns that a packing into given counts could use.
//!
//! For every inequality Σ hold_k·y_k ≥ need, a packing into y loses exactly
//! hold·y − need over its sticks, a stick with pattern a losing
//! hold_k − price·a ≥ 0; so no pattern may lose more than the whole. A pattern
//! is listed only if no further piece fits it: any packing can be changed into
//! one that *covers* the demand with such patterns, each losing no more.

use super::problem::{Pattern, Problem, Stop};
use super::relax::Cut;

/// Cells of a table of best completions.
const TABLE_CELLS: usize = 6_000_000;
/// Inequalities used at most.
const MOST_CUTS: usize = 24;

struct Budget {
    price: Vec<i64>,
    /// Value a pattern of each kind must reach.
    least: Vec<i64>,
    /// Best value of sizes i.. in each room, if tabled.
    table: Vec<i64>,
    /// Largest price per size from i on.
    ratio: Vec<f64>,
}

struct Walk<'a> {
    problem: &'a Problem,
    budgets: Vec<Budget>,
    wide: usize,
    kind: usize,
    value: Vec<i64>,
    count: Vec<u32>,
    out: Vec<Pattern>,
    most: usize,
    steps: u64,
}

/// The patterns, or none if there are more than `most` or the walk is long.
pub fn enumerate(
    problem: &Problem,
    counts: &[u32],
    cuts: &[Cut],
    most: usize,
    stop: &Stop,
) -> Option<Vec<Pattern>> {
    let budgets = budgets(problem, counts, cuts)?;
    let wide = problem
        .stocks
        .iter()
        .map(|s| s.room)
        .max()
        .unwrap_or(0)
        .max(0) as usize
        + 1;
    let n = budgets.len();
    let mut walk = Walk {
        problem,
        budgets,
        wide,
        kind: 0,
        value: vec![0; n],
        count: vec![0; problem.size.len()],
        out: Vec::new(),
        most,
        steps: 0,
    };
    for k in 0..problem.stocks.len() {
        if counts[k] == 0 {
            continue;
        }
        walk.kind = k;
        if !walk.go(0, problem.stocks[k].room) || stop.now() {
            return None;
        }
    }
    Some(walk.out)
}

/// The tightest inequalities at these counts, with the volume's among them.
fn budgets(problem: &Problem, counts: &[u32], cuts: &[Cut]) -> Option<Vec<Budget>> {
    let mut list: Vec<(f64, &Cut)> = cuts
        .iter()
        .filter(|c| c.need > 0)
        .map(|c| (c.slack(counts) as f64 / c.need as f64, c))
        .collect();
    list.sort_by(|a, b| a.0.total_cmp(&b.0));
    let m = problem.size.len();
    let wide = problem
        .stocks
        .iter()
        .map(|s| s.room)
        .max()
        .unwrap_or(0)
        .max(0) as usize
        + 1;
    let mut tables = if wide.saturating_mul(m) <= TABLE_CELLS / 2 {
        2
    } else {
        0
    };
    let mut out: Vec<Budget> = Vec::new();
    for (_, cut) in list.into_iter().take(MOST_CUTS) {
        let slack = i64::try_from(cut.slack(counts)).ok()?;
        let least = cut.hold.iter().map(|h| h - slack).collect();
        let mut ratio = vec![0.0f64; m + 1];
        for i in (0..m).rev() {
            let r = cut.price[i] as f64 / problem.size[i] as f64 * (1.0 + 1e-12);
            ratio[i] = ratio[i + 1].max(r);
        }
        let table = if tables > 0 {
            tables -= 1;
            completions(problem, &cut.price, wide)
        } else {
            Vec::new()
        };
        out.push(Budget {
            price: cut.price.clone(),
            least,
            table,
            ratio,
        });
    }
    Some(out)
}

/// table[i·wide + c]: the best value of sizes i.. within room c.
fn completions(problem: &Problem, price: &[i64], wide: usize) -> Vec<i64> {
    let m = problem.size.len();
    let mut table = vec![0i64; (m + 1) * wide];
    for i in (0..m).rev() {
        let (head, tail) = table.split_at_mut((i + 1) * wide);
        let row = &mut head[i * wide..];
        row.copy_from_slice(&tail[..wide]);
        let mut left = problem.demand[i].min((wide as i64 / problem.size[i].max(1)) as u32);
        let mut n = 1u32;
        while left > 0 {
            let take = n.min(left);
            let size = problem.size[i] as usize * take as usize;
            let value = price[i] * i64::from(take);
            for c in (size..wide).rev() {
                row[c] = row[c].max(row[c - size] + value);
            }
            left -= take;
            n *= 2;
        }
    }
    table
}

impl Walk<'_> {
    /// Whether sizes from `i` on could still bring every budget to its least.
    fn hopeful(&self, i: usize, left: i64) -> bool {
        self.budgets.iter().zip(&self.value).all(|(b, v)| {
            let least = b.least[self.kind];
            if b.table.is_empty() {
                *v as f64 + left as f64 * b.ratio[i] + 1.0 >= least as f64
            } else {
                v + b.table[i * self.wide + left as usize] >= least
            }
        })
    }

    /// Depth-first over the counts of each size, most first. False when there
    /// is too much to list. The depth is at most the number of sizes that fit
    /// one stick: sizes that do not fit are skipped in a loop.
    fn go(&mut self, from: usize, left: i64) -> bool {
        self.steps += 1;
        if self.steps > 400 * self.most as u64 {
            return false;
        }
        let m = self.problem.size.len();
        let mut i = from;
        loop {
            while i < m && self.problem.size[i] > left {
                i += 1;
            }
            if !self.hopeful(i.min(m), left) {
                return true;
            }
            if i == m {
                return self.leaf(left);
            }
            let most = i64::from(self.problem.demand[i]).min(left / self.problem.size[i]);
            for n in (1..=most).rev() {
                self.put(i, n);
                let ok = !self.fits() || self.go(i + 1, left - n * self.problem.size[i]);
                self.put(i, -n);
                if !ok {
                    return false;
                }
            }
            i += 1;
        }
    }

    fn put(&mut self, i: usize, n: i64) {
        self.count[i] = (i64::from(self.count[i]) + n) as u32;
        for (v, b) in self.value.iter_mut().zip(&self.budgets) {
            *v += n * b.price[i];
        }
    }

    /// Whether what is counted so far truly fits. Fewer pieces of what fits
    /// always fit, so what does not fit need not be followed.
    fn fits(&self) -> bool {
        self.problem.plain() || self.problem.fits(self.kind, &self.items())
    }

    fn items(&self) -> Vec<(u32, u32)> {
        let counts = self.count.iter().enumerate().filter(|(_, n)| **n > 0);
        counts.map(|(i, n)| (i as u32, *n)).collect()
    }

    fn leaf(&mut self, left: i64) -> bool {
        let p = self.problem;
        let fuller: Vec<usize> = (0..p.size.len())
            .filter(|&i| p.size[i] <= left && self.count[i] < p.demand[i])
            .collect();
        for i in fuller {
            self.count[i] += 1;
            let more = self.fits();
            self.count[i] -= 1;
            if more {
                return true;
            }
        }
        if self.out.len() >= self.most {
            return false;
        }
        let items = self.items();
        self.out.push(Pattern {
            stock: self.kind as u32,
            items,
        });
        true
    }
}
