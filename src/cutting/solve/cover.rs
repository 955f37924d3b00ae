//! Exact covering of the demand by listed patterns: depth-first branch and
//! bound, each node's relaxation solved over the list, each dead end proven by
//! whole-number prices.

use super::dive::{Plan, done, serve};
use super::problem::{Pattern, Problem, Stop};
use super::simplex::Simplex;

/// How the search ended.
pub enum Covered {
    /// A plan.
    Plan(Plan),
    /// There is none.
    Never,
    /// The nodes ran out.
    Unknown,
}

struct Frame {
    pattern: usize,
    demand: Vec<u32>,
    counts: Vec<u32>,
    plan: usize,
    banned: bool,
}

struct Search<'a> {
    problem: &'a Problem,
    list: &'a [Pattern],
    lp: Simplex,
    first: usize,
    /// Column of each listed pattern, 0 if not loaded.
    column: Vec<usize>,
    pattern: Vec<usize>,
    banned: Vec<bool>,
    unit: Vec<f64>,
}

/// What a node's relaxation says.
enum Node {
    Dead,
    Branch(usize),
    Whole(Vec<(usize, u32)>),
}

/// Covers the demand with patterns of `list`, within `counts`.
pub fn search(
    problem: &Problem,
    counts: &[u32],
    list: &[Pattern],
    nodes: u64,
    stop: &Stop,
) -> Covered {
    let mut s = Search::new(problem, counts, list);
    let mut stack: Vec<Frame> = Vec::new();
    let mut plan: Plan = Vec::new();
    let (mut demand, mut left) = (problem.demand.clone(), counts.to_vec());
    for _ in 0..nodes {
        if stop.now() {
            return Covered::Unknown;
        }
        match s.node(&demand, &left) {
            Node::Whole(chosen) => {
                for (p, n) in chosen {
                    for _ in 0..n {
                        let cut = serve(&list[p], &mut demand);
                        if !cut.items.is_empty() {
                            plan.push(cut);
                        }
                    }
                }
                if done(&demand) {
                    return Covered::Plan(plan);
                }
                return Covered::Unknown;
            }
            Node::Branch(p) => {
                stack.push(Frame {
                    pattern: p,
                    demand: demand.clone(),
                    counts: left.clone(),
                    plan: plan.len(),
                    banned: false,
                });
                left[list[p].stock as usize] -= 1;
                plan.push(serve(&list[p], &mut demand));
                if done(&demand) {
                    return Covered::Plan(plan);
                }
            }
            Node::Dead => loop {
                let Some(top) = stack.last_mut() else {
                    return Covered::Never;
                };
                if top.banned {
                    s.ban(top.pattern, false);
                    stack.pop();
                    continue;
                }
                top.banned = true;
                s.ban(top.pattern, true);
                demand = top.demand.clone();
                left = top.counts.clone();
                plan.truncate(top.plan);
                break;
            },
        }
    }
    Covered::Unknown
}

impl<'a> Search<'a> {
    fn new(problem: &'a Problem, counts: &[u32], list: &'a [Pattern]) -> Self {
        let m = problem.size.len();
        let most = problem
            .stocks
            .iter()
            .map(|s| s.room)
            .max()
            .unwrap_or(1)
            .max(1) as f64;
        let mut rhs: Vec<f64> = problem.demand.iter().map(|&d| f64::from(d)).collect();
        rhs.extend(counts.iter().map(|&n| f64::from(n)));
        let mut unit: Vec<f64> = problem.size.iter().map(|s| *s as f64 / most).collect();
        unit.resize(m + counts.len(), 0.0);
        let mut lp = Simplex::new(rhs, &unit);
        for i in 0..m {
            lp.add(vec![(i as u32, -1.0)], 0.0);
        }
        Search {
            problem,
            list,
            first: lp.columns(),
            lp,
            column: vec![0; list.len()],
            pattern: Vec::new(),
            banned: vec![false; list.len()],
            unit,
        }
    }

    fn ban(&mut self, p: usize, banned: bool) {
        self.banned[p] = banned;
        if self.column[p] > 0 {
            self.lp.ban(self.column[p], banned);
        }
    }

    fn node(&mut self, demand: &[u32], counts: &[u32]) -> Node {
        let m = demand.len();
        let rhs: Vec<f64> = demand.iter().chain(counts).map(|&n| f64::from(n)).collect();
        for c in 0..self.pattern.len() {
            self.lp.set_cost(self.first + c, 0.0);
        }
        self.lp.reprice();
        if !self.lp.set_rhs(&rhs) {
            self.restart(&rhs);
        }
        // A banned pattern may still stand in the basis: charge it out.
        for c in 0..self.pattern.len() {
            let cost = if self.banned[self.pattern[c]] {
                50.0
            } else {
                0.0
            };
            self.lp.set_cost(self.first + c, cost);
        }
        self.lp.reprice();
        loop {
            self.lp.primal(50_000);
            if self.lp.objective() < 1e-7 {
                break;
            }
            let prices: Vec<f64> = self.lp.prices()[..m].to_vec();
            let scale = (1u64 << 30) as f64 / prices.iter().fold(1e-9f64, |a, b| a.max(*b));
            let price: Vec<i64> = prices
                .iter()
                .map(|p| (p.max(0.0) * scale + 1e-3).floor() as i64)
                .collect();
            let (dead, fresh) = self.price(&price, demand, counts, scale);
            if dead {
                return Node::Dead;
            }
            if !fresh {
                break;
            }
        }
        self.verdict(demand, counts)
    }

    /// Prices the whole list: (proven dead, columns added).
    fn price(&mut self, price: &[i64], demand: &[u32], counts: &[u32], scale: f64) -> (bool, bool) {
        let m = demand.len();
        let kinds = counts.len();
        let mut hold = vec![0i64; kinds];
        let mut gains: Vec<(i64, usize)> = Vec::new();
        let rent: Vec<i64> = self.lp.prices()[m..]
            .iter()
            .map(|p| (-p * scale) as i64)
            .collect();
        for (p, pattern) in self.list.iter().enumerate() {
            let k = pattern.stock as usize;
            if self.banned[p] || counts[k] == 0 {
                continue;
            }
            let value: i64 = pattern
                .items
                .iter()
                .map(|&(i, n)| price[i as usize] * i64::from(n.min(demand[i as usize])))
                .sum();
            hold[k] = hold[k].max(value);
            if self.column[p] == 0 && value - rent[k] > 16 {
                gains.push((value - rent[k], p));
            }
        }
        let need: i128 = price
            .iter()
            .zip(demand)
            .map(|(p, d)| i128::from(*p) * i128::from(*d))
            .sum();
        let have: i128 = hold
            .iter()
            .zip(counts)
            .map(|(h, n)| i128::from(*h) * i128::from(*n))
            .sum();
        if have < need {
            return (true, false);
        }
        gains.sort_unstable_by(|a, b| b.cmp(a));
        gains.truncate(30);
        for &(_, p) in &gains {
            let mut col: Vec<(u32, f64)> = self.list[p]
                .items
                .iter()
                .map(|&(i, n)| (i, f64::from(n)))
                .collect();
            col.push((m as u32 + self.list[p].stock, 1.0));
            self.column[p] = self.lp.add(col, 0.0);
            self.pattern.push(p);
        }
        (false, !gains.is_empty())
    }

    fn restart(&mut self, rhs: &[f64]) {
        let m = self.problem.size.len();
        let mut lp = Simplex::new(rhs.to_vec(), &self.unit);
        for i in 0..m {
            lp.add(vec![(i as u32, -1.0)], 0.0);
        }
        for &p in &self.pattern {
            let mut col: Vec<(u32, f64)> = self.list[p]
                .items
                .iter()
                .map(|&(i, n)| (i, f64::from(n)))
                .collect();
            col.push((m as u32 + self.list[p].stock, 1.0));
            let j = lp.add(col, 0.0);
            lp.ban(j, self.banned[p]);
        }
        self.lp = lp;
    }

    fn verdict(&self, demand: &[u32], counts: &[u32]) -> Node {
        let mut chosen: Vec<(usize, f64)> = self
            .lp
            .solution()
            .filter(|(j, v)| *j >= self.first && *v > 1e-7)
            .map(|(j, v)| (self.pattern[j - self.first], v))
            .filter(|(p, _)| !self.banned[*p])
            .collect();
        chosen.sort_by_key(|chosen| chosen.0);
        let whole = chosen.iter().all(|(_, v)| (v - v.round()).abs() < 1e-6);
        if whole {
            let plan: Vec<(usize, u32)> =
                chosen.iter().map(|(p, v)| (*p, v.round() as u32)).collect();
            let mut rest = demand.to_vec();
            let mut used = vec![0u32; counts.len()];
            for &(p, n) in &plan {
                used[self.list[p].stock as usize] += n;
                for _ in 0..n {
                    serve(&self.list[p], &mut rest);
                }
            }
            if done(&rest) && used.iter().zip(counts).all(|(a, b)| a <= b) {
                return Node::Whole(plan);
            }
        }
        let useful = |p: usize| {
            counts[self.list[p].stock as usize] > 0
                && self.list[p]
                    .items
                    .iter()
                    .any(|(i, _)| demand[*i as usize] > 0)
        };
        let part = |v: f64| if v >= 1.0 { 1.0 } else { v };
        let best = chosen
            .iter()
            .filter(|(p, _)| useful(*p))
            .max_by(|a, b| part(a.1).total_cmp(&part(b.1)).then(b.0.cmp(&a.0)));
        if let Some(&(p, _)) = best {
            return Node::Branch(p);
        }
        // No basic pattern helps: take any that does, or the node is dead.
        match (0..self.list.len()).find(|&p| !self.banned[p] && useful(p)) {
            Some(p) => Node::Branch(p),
            None => Node::Dead,
        }
    }
}
