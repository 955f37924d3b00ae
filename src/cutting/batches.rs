//! Mill runs: two runs of one profile can differ to the eye, so all pieces of
//! one visible run must come from sticks of one batch.
//!
//! The order is first solved as if all sticks were alike: that bounds the cost
//! from below, and often mixes nothing. Otherwise visible runs are given to
//! batches and each batch is solved by itself: every way to do so while there
//! are few, else the best way that moving one run at a time finds. A cost is
//! called proven only where every way was tried and proven, or where it equals
//! the bound. Pieces alike that belong to no run stay together in the search,
//! so with them only the bound proves.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::order::{Finding, Order, OrderPlan, Status, Stick};
use super::plan::{self, Progress, summed};
use super::solve::Stop;

/// Ways to give runs to batches that are all tried.
const MOST_WAYS: u64 = 600;
/// Solves in the search by moves.
const MOST_SOLVES: usize = 400;

/// Plans an order and keeps mill runs apart.
pub fn plan(
    order: &Order,
    nesting: bool,
    stop: &Stop,
    tell: &mut dyn FnMut(Progress),
) -> OrderPlan {
    let whole = super::one(order, nesting, stop, tell);
    let batches: BTreeSet<&Option<String>> = order.stock.iter().map(|s| &s.batch).collect();
    if !whole.status.has_plan() || batches.len() < 2 || !mixes(order, &whole) {
        return whole;
    }
    let mut search = Search {
        order,
        nesting,
        stop,
        batches: batches.into_iter().collect(),
        groups: groups(order),
        known: HashMap::new(),
        solves: 0,
    };
    let (best, every) = search.run();
    search.answer(&whole, best, every)
}

/// Whether the sticks of one visible run are of several batches.
fn mixes(order: &Order, plan: &OrderPlan) -> bool {
    let mut of: BTreeMap<&str, &Option<String>> = BTreeMap::new();
    plan.sticks.iter().any(|stick| {
        let batch = &order.stock[stick.stock].batch;
        stick.cuts.iter().any(|cut| {
            let run = order.pieces[cut.piece].run.as_deref();
            run.is_some_and(|run| *of.entry(run).or_insert(batch) != batch)
        })
    })
}

/// Lines of pieces that stay together: those of one run; a line of no run by
/// itself.
fn groups(order: &Order) -> Vec<Vec<usize>> {
    let mut runs: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    let mut alone: Vec<usize> = Vec::new();
    for (i, p) in order.pieces.iter().enumerate() {
        match &p.run {
            Some(run) => runs.entry(run).or_default().push(i),
            None => alone.push(i),
        }
    }
    alone.sort_by_key(|&i| (&order.pieces[i].label, order.pieces[i].length));
    runs.into_values()
        .chain(alone.into_iter().map(|i| vec![i]))
        .collect()
}

/// Cost, length taken, sticks.
type Worth = (i64, i64, usize);

/// One batch with the groups given to it.
struct Part {
    plan: OrderPlan,
    /// Lines of the whole order: stock, pieces.
    stock: Vec<usize>,
    pieces: Vec<usize>,
}

/// A batch for each group.
type Way = Vec<usize>;

struct Search<'a> {
    order: &'a Order,
    nesting: bool,
    stop: &'a Stop<'a>,
    batches: Vec<&'a Option<String>>,
    groups: Vec<Vec<usize>>,
    known: HashMap<(usize, Vec<usize>), Part>,
    solves: usize,
}

impl Search<'_> {
    /// The best way found, and whether every way was tried to a proof.
    fn run(&mut self) -> (Option<(Worth, Way)>, bool) {
        let ways = u32::try_from(self.groups.len())
            .ok()
            .and_then(|n| (self.batches.len() as u64).checked_pow(n));
        match ways {
            Some(n) if n <= MOST_WAYS => {
                let (best, every) = self.all(n);
                (best, every && !self.splits())
            }
            _ => (self.by_moves(), false),
        }
    }

    /// Whether there are ways that are not tried: pieces alike of no run may
    /// come from different batches, and here they stay together.
    fn splits(&self) -> bool {
        let alike = |p: &super::order::PieceLine| p.run.is_none() && p.qty > 1;
        self.order.pieces.iter().any(alike)
    }

    fn all(&mut self, ways: u64) -> (Option<(Worth, Way)>, bool) {
        let (mut best, mut every) = (None, true);
        for number in 0..ways {
            let mut rest = number;
            let base = self.batches.len() as u64;
            let way: Way = self
                .groups
                .iter()
                .map(|_| {
                    let at = rest % base;
                    rest /= base;
                    at as usize
                })
                .collect();
            every &= self.consider(&way, &mut best);
            if self.stop.now() {
                return (best, false);
            }
        }
        (best, every)
    }

    fn by_moves(&mut self) -> Option<(Worth, Way)> {
        let mut best = None;
        for batch in 0..self.batches.len() {
            self.consider(&vec![batch; self.groups.len()], &mut best);
        }
        loop {
            let (was, from) = best.clone()?;
            for group in 0..self.groups.len() {
                for batch in 0..self.batches.len() {
                    if self.stop.now() || self.solves > MOST_SOLVES {
                        return best;
                    }
                    let mut way = best.as_ref().map_or(&from, |b| &b.1).clone();
                    if way[group] != batch {
                        way[group] = batch;
                        self.consider(&way, &mut best);
                    }
                }
            }
            if best.as_ref().is_some_and(|b| b.0 == was) {
                return best;
            }
        }
    }

    /// Notes a way if it is better; whether what it costs is proven.
    fn consider(&mut self, way: &Way, best: &mut Option<(Worth, Way)>) -> bool {
        let (worth, proven) = self.worth(way);
        if let Some(worth) = worth
            && best.as_ref().is_none_or(|b| worth < b.0)
        {
            *best = Some((worth, way.clone()));
        }
        proven
    }

    fn worth(&mut self, way: &Way) -> (Option<Worth>, bool) {
        let (mut sum, mut proven): (Worth, bool) = ((0, 0, 0), true);
        for batch in 0..self.batches.len() {
            let given: Vec<usize> = (0..way.len()).filter(|g| way[*g] == batch).collect();
            if given.is_empty() {
                continue;
            }
            let order = self.order;
            let part = self.part(batch, given);
            match part.plan.status {
                Status::Infeasible => return (None, true),
                Status::Unknown => return (None, false),
                Status::Optimal | Status::Feasible => {
                    proven &= part.plan.proven[0];
                    sum.0 += part.plan.cost_cents;
                    let stock = part.plan.sticks.iter().map(|s| part.stock[s.stock]);
                    sum.1 += stock.map(|k| plan::taken(order, k)).sum::<i64>();
                    sum.2 += part.plan.sticks.len();
                }
            }
        }
        (Some(sum), proven)
    }

    /// One batch solved with these groups, or known already.
    fn part(&mut self, batch: usize, given: Vec<usize>) -> &Part {
        let key = (batch, given);
        if !self.known.contains_key(&key) {
            self.solves += 1;
            let part = self.solved(key.0, &key.1);
            self.known.insert(key.clone(), part);
        }
        &self.known[&key]
    }

    fn solved(&self, batch: usize, given: &[usize]) -> Part {
        let order = self.order;
        let stock: Vec<usize> = (0..order.stock.len())
            .filter(|&k| order.stock[k].batch == *self.batches[batch])
            .collect();
        let pieces: Vec<usize> = given
            .iter()
            .flat_map(|&g| self.groups[g].iter().copied())
            .collect();
        let part = Order {
            stock: stock.iter().map(|&k| order.stock[k].clone()).collect(),
            pieces: pieces.iter().map(|&i| order.pieces[i].clone()).collect(),
            ..order.clone()
        };
        let plan = super::one(&part, self.nesting, self.stop, &mut |_| ());
        Part {
            plan,
            stock,
            pieces,
        }
    }

    fn answer(&mut self, whole: &OrderPlan, best: Option<(Worth, Way)>, every: bool) -> OrderPlan {
        let mut findings: Vec<Finding> = whole.findings.clone();
        let Some((worth, way)) = best else {
            let (status, text) = if every {
                (
                    Status::Infeasible,
                    "The sticks cannot hold the pieces unless a visible run mixes two mill runs.",
                )
            } else {
                (
                    Status::Unknown,
                    "No order was found in which no visible run mixes two mill runs. That there is none is not proven.",
                )
            };
            findings.push(plan::error("mill-runs", None, text));
            return plan::nothing(status, findings);
        };
        let more = worth.0 - whole.cost_cents;
        if more > 0 {
            findings.push(Finding {
                severity: "note",
                code: "mill-runs",
                piece: None,
                text: format!(
                    "Keeping the mill runs of each visible run apart costs {}.{:02} more than mixing them.",
                    more / 100,
                    more % 100
                ),
            });
        }
        let sticks = self.sticks(&way);
        let bound = if every { worth.0 } else { whole.bound_cents };
        let cheapest = every || worth.0 == whole.bound_cents;
        let nested = self.nesting && super::nest::has_mitres(self.order);
        let bound = (i128::from(bound), nested);
        summed(
            self.order,
            sticks,
            [cheapest, false, false],
            bound,
            findings,
        )
    }

    /// The sticks of every part, by the whole order's lines.
    fn sticks(&mut self, way: &Way) -> Vec<Stick> {
        let mut out = Vec::new();
        for batch in 0..self.batches.len() {
            let given: Vec<usize> = (0..way.len()).filter(|g| way[*g] == batch).collect();
            if given.is_empty() {
                continue;
            }
            let part = self.part(batch, given);
            for stick in &part.plan.sticks {
                let mut stick = stick.clone();
                stick.stock = part.stock[stick.stock];
                for cut in &mut stick.cuts {
                    cut.piece = part.pieces[cut.piece];
                }
                out.push(stick);
            }
        }
        out
    }
}
