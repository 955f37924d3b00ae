//! The linear relaxation over cutting patterns, by column generation
//! (Gilmore & Gomory 1961): either the cheapest fractional order, or, for
//! sticks already counted out, the least length of pieces left uncut.
//!
//! Every pricing sweep is made with prices rounded down to whole numbers, so
//! each sweep gives an exact inequality: with prices p ≥ 0 and F_k the most
//! that one stick of kind k can hold at those prices, any order that serves
//! the demand has Σ F_k·y_k ≥ Σ p_i·d_i, y_k being the sticks of kind k.

use super::chain;
use super::knapsack::{Item, Knapsack, table_scale};
use super::problem::{Pattern, Problem, Stop};
use super::simplex::Simplex;
use std::collections::HashMap;

/// Σ hold_k·y_k ≥ need, true of every order that serves the whole demand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// Price of one piece of each size.
    pub price: Vec<i64>,
    /// The most one stick of each kind holds at those prices.
    pub hold: Vec<i64>,
    /// Price of the whole demand.
    pub need: i64,
}

impl Cut {
    /// hold·y − need: negative when the counts are ruled out.
    pub fn slack(&self, counts: &[u32]) -> i128 {
        let sum: i128 = self
            .hold
            .iter()
            .zip(counts)
            .map(|(h, n)| i128::from(*h) * i128::from(*n))
            .sum();
        sum - i128::from(self.need)
    }
}

/// The patterns met so far.
#[derive(Default)]
pub struct Pool {
    /// In order of discovery.
    pub patterns: Vec<Pattern>,
    known: HashMap<Pattern, u32>,
}

impl Pool {
    /// Adds a pattern unless known; its index and whether it is new.
    pub fn add(&mut self, p: Pattern) -> (u32, bool) {
        if let Some(&i) = self.known.get(&p) {
            return (i, false);
        }
        let i = self.patterns.len() as u32;
        self.known.insert(p.clone(), i);
        self.patterns.push(p);
        (i, true)
    }
}

/// What is asked of the relaxation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goal {
    /// The least cost.
    Cost,
    /// The least length left uncut with the sticks given.
    Uncut,
}

/// How a solve ended.
#[derive(Debug)]
pub enum End {
    /// Solved; nothing left uncut.
    Whole,
    /// Not everything can be cut from these sticks, and this proves it.
    Short(Cut),
    /// Stopped, or rounding left it undecided.
    Open,
}

/// The relaxation for one problem, kept warm between solves.
pub struct Relax<'a> {
    problem: &'a Problem,
    goal: Goal,
    lp: Simplex,
    demand: Vec<u32>,
    counts: Vec<u32>,
    /// Pattern of each column from `first` on.
    column: Vec<u32>,
    first: usize,
    sack: Knapsack,
    /// Inequalities found at the full demand.
    pub cuts: Vec<Cut>,
    /// The best bound on cost found (cents, exact), goal Cost only.
    pub bound: i128,
    loaded: usize,
    /// Pricing sweeps made.
    pub sweeps: u32,
}

/// Patterns beside the best that one sweep gives for a kind of stick.
const MORE: usize = 12;

impl<'a> Relax<'a> {
    /// A relaxation for `counts` sticks of each kind at most.
    pub fn new(problem: &'a Problem, goal: Goal, counts: &[u32]) -> Self {
        let m = problem.size.len();
        let k = problem.stocks.len();
        let mut rhs: Vec<f64> = problem.demand.iter().map(|&d| f64::from(d)).collect();
        rhs.extend(counts.iter().map(|&n| f64::from(n)));
        let mut unit = vec![0.0; m + k];
        for i in 0..m {
            unit[i] = Self::left_cost(problem, goal, i);
        }
        let mut lp = Simplex::new(rhs, &unit);
        for i in 0..m {
            lp.add(vec![(i as u32, -1.0)], 0.0);
        }
        let first = lp.columns();
        Relax {
            problem,
            goal,
            lp,
            demand: problem.demand.clone(),
            counts: counts.to_vec(),
            column: Vec::new(),
            first,
            sack: Knapsack::default(),
            cuts: Vec::new(),
            bound: 0,
            loaded: 0,
            sweeps: 0,
        }
    }

    /// Cost of leaving one piece of size `i` uncut.
    fn left_cost(problem: &Problem, goal: Goal, i: usize) -> f64 {
        match goal {
            Goal::Uncut => {
                let most = problem
                    .stocks
                    .iter()
                    .map(|s| s.room)
                    .max()
                    .unwrap_or(1)
                    .max(1);
                problem.size[i] as f64 / most as f64
            }
            Goal::Cost => {
                let dear = problem
                    .stocks
                    .iter()
                    .map(|s| s.price)
                    .max()
                    .unwrap_or(1)
                    .max(1);
                dear as f64 * 4.0
            }
        }
    }

    /// Sets what is still to be cut and the sticks left. Patterns that hold
    /// more than the demand are charged for what would be cut in vain.
    pub fn set(&mut self, demand: &[u32], counts: &[u32]) -> bool {
        self.demand.copy_from_slice(demand);
        self.counts.copy_from_slice(counts);
        let rhs: Vec<f64> = demand.iter().chain(counts).map(|&n| f64::from(n)).collect();
        self.lp.set_rhs(&rhs)
    }

    /// Recosts the columns for the present demand.
    fn recost(&mut self, pool: &Pool) {
        for (c, &p) in self.column.iter().enumerate() {
            let cost = self.column_cost(&pool.patterns[p as usize]);
            self.lp.set_cost(self.first + c, cost);
        }
        self.lp.reprice();
    }

    fn column_cost(&self, p: &Pattern) -> f64 {
        let mut cost = match self.goal {
            Goal::Cost => self.problem.stocks[p.stock as usize].price as f64,
            Goal::Uncut => 0.0,
        };
        for &(i, n) in &p.items {
            let over = n.saturating_sub(self.demand[i as usize]);
            if over > 0 {
                cost += f64::from(over) * Self::left_cost(self.problem, self.goal, i as usize);
            }
        }
        cost
    }

    fn load(&mut self, pool: &Pool, p: u32) {
        let pattern = &pool.patterns[p as usize];
        let mut col: Vec<(u32, f64)> = pattern
            .items
            .iter()
            .map(|&(i, n)| (i, f64::from(n)))
            .collect();
        col.push((self.problem.size.len() as u32 + pattern.stock, 1.0));
        let cost = self.column_cost(pattern);
        self.lp.add(col, cost);
        self.column.push(p);
    }

    /// Solves by column generation, adding the patterns found to `pool`.
    pub fn solve(&mut self, pool: &mut Pool, stop: &Stop) -> End {
        self.recost(pool);
        while self.loaded < pool.patterns.len() {
            self.load(pool, self.loaded as u32);
            self.loaded += 1;
        }
        let m = self.problem.size.len();
        let full = self.demand == self.problem.demand;
        for _round in 0..5000 {
            if !self.lp.primal(200_000) || stop.now() {
                return End::Open;
            }
            if self.goal == Goal::Uncut && self.lp.objective() < 1e-7 {
                return End::Whole;
            }
            let price = self.whole_prices();
            let (cut, found) = self.sweep(&price);
            if self.goal == Goal::Uncut && cut.slack(&self.counts) < 0 {
                return End::Short(cut);
            }
            if self.goal == Goal::Cost && full {
                self.note_bound(&cut, price.1);
            }
            let mut fresh = false;
            for mut p in found {
                self.problem.mend(&mut p, &self.lp.prices()[..m]);
                let k = p.stock as usize;
                let worth: f64 = p
                    .items
                    .iter()
                    .map(|&(i, n)| self.lp.prices()[i as usize] * f64::from(n))
                    .sum();
                let gain = worth - self.column_cost(&p) + self.lp.prices()[m + k];
                if gain > 1e-7 * self.scale() {
                    let (i, new) = pool.add(p);
                    if new {
                        self.load(pool, i);
                        self.loaded = pool.patterns.len();
                        fresh = true;
                    }
                }
            }
            if full {
                self.cuts.push(cut);
            }
            if !fresh {
                let left: f64 = self.left();
                return if left < 1e-6 { End::Whole } else { End::Open };
            }
        }
        End::Open
    }

    fn scale(&self) -> f64 {
        match self.goal {
            Goal::Cost => self
                .problem
                .stocks
                .iter()
                .map(|s| s.price)
                .max()
                .unwrap_or(1)
                .max(1) as f64,
            Goal::Uncut => 1.0,
        }
    }

    /// Pieces left uncut in the present solution.
    fn left(&self) -> f64 {
        let m = self.problem.size.len();
        self.lp
            .solution()
            .filter(|(j, _)| *j < m)
            .map(|(_, v)| v.max(0.0))
            .sum()
    }

    /// The demand rows' prices, scaled and rounded down to whole numbers, and
    /// the scale.
    fn whole_prices(&self) -> (Vec<i64>, f64) {
        let m = self.problem.size.len();
        let prices = &self.lp.prices()[..m];
        let most = prices.iter().fold(0.0f64, |a, b| a.max(*b));
        let total: f64 = prices
            .iter()
            .zip(&self.problem.demand)
            .map(|(p, d)| p.max(0.0) * f64::from(*d))
            .sum();
        if most <= 0.0 || !most.is_finite() {
            return (vec![0; m], 1.0);
        }
        let room = self
            .problem
            .stocks
            .iter()
            .map(|s| s.room)
            .max()
            .unwrap_or(1);
        let mut scale = table_scale(&self.problem.size, prices, room)
            .min((1u64 << 50) as f64 / total.max(most));
        if scale > 1.0 {
            scale = scale.floor();
        }
        let whole = prices
            .iter()
            .map(|p| (p.max(0.0) * scale + 1e-3).floor() as i64)
            .collect();
        (whole, scale)
    }

    /// One pricing sweep: the inequality and the best pattern of every kind.
    fn sweep(&mut self, price: &(Vec<i64>, f64)) -> (Cut, Vec<Pattern>) {
        let price = &price.0;
        let items: Vec<Item> = (0..price.len())
            .map(|i| Item {
                size: self.problem.size[i],
                value: price[i] as f64,
                copies: self.demand[i],
            })
            .collect();
        let rooms: Vec<i64> = self.problem.stocks.iter().map(|s| s.room).collect();
        let fillings = self.sack.fill(&items, &rooms, MORE);
        let need = price
            .iter()
            .zip(&self.demand)
            .map(|(p, d)| p * i64::from(*d))
            .sum();
        let mut hold: Vec<i64> = fillings.iter().map(|f| f.bound as i64).collect();
        let mut patterns: Vec<Pattern> = fillings
            .into_iter()
            .enumerate()
            .filter(|(k, f)| self.counts[*k] > 0 && !f.items.is_empty())
            .flat_map(|(k, f)| {
                let stock = k as u32;
                std::iter::once(f.items)
                    .chain(f.more)
                    .map(move |items| Pattern { stock, items })
            })
            .collect();
        self.sweeps += 1;
        let chains = self.problem.sequence.as_ref();
        let chains = chains.and_then(|q| chain::price(q, price, &self.demand));
        for (k, found) in chains.into_iter().flatten().enumerate() {
            hold[k] = hold[k].min(found.bound);
            if self.counts[k] > 0 {
                let stock = k as u32;
                let made = found.chains.into_iter().filter(|c| !c.is_empty());
                patterns.extend(made.map(|items| Pattern { stock, items }));
            }
        }
        (
            Cut {
                price: price.clone(),
                hold,
                need,
            },
            patterns,
        )
    }

    /// Lagrangian bound on cost from one sweep, in exact arithmetic: with
    /// prices p/scale, each stick of kind k can save at most F_k/scale − c_k.
    fn note_bound(&mut self, cut: &Cut, scale: f64) {
        let q = scale.floor().max(1.0) as i128;
        let mut sum = i128::from(cut.need);
        for ((s, h), n) in self.problem.stocks.iter().zip(&cut.hold).zip(&self.counts) {
            let spare = i128::from(s.price) * q - i128::from(*h);
            sum += spare.min(0) * i128::from(*n);
        }
        let bound = if sum <= 0 { 0 } else { (sum + q - 1) / q };
        self.bound = self.bound.max(bound);
    }

    /// Patterns in the solution with their values, largest value first.
    pub fn chosen(&self) -> Vec<(u32, f64)> {
        let mut out: Vec<(u32, f64)> = self
            .lp
            .solution()
            .filter(|(j, v)| *j >= self.first && *v > 1e-7)
            .map(|(j, v)| (self.column[j - self.first], v))
            .collect();
        out.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        out
    }

    /// Present prices of the sizes (floating).
    pub fn prices(&self) -> &[f64] {
        &self.lp.prices()[..self.problem.size.len()]
    }

    /// Present objective.
    pub fn objective(&self) -> f64 {
        self.lp.objective()
    }
}
