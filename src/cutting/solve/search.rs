//! The three goals, one after the other, over count vectors.

use super::counts::{Counts, Next, Row};
use super::dive::{Manner, Plan, dive};
use super::fill::{first_plan, stick_by_stick};
use super::knapsack::Knapsack;
use super::pack::{Packer, Packing};
use super::problem::{Chance, Problem, Stop, Worth};
use super::relax::{Cut, End, Goal, Relax};

/// The best plan so far, told while the search runs.
pub type Tell<'a> = dyn FnMut(&Worth, i128) + 'a;

/// How much work may be spent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effort {
    /// Until proven or stopped.
    Unbounded,
    /// One pass with little effort on each vector.
    Short,
}

/// What can be said at the end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// A plan was found.
    Plan,
    /// Proven: the limits leave too few sticks.
    Impossible,
    /// Neither a plan nor a proof in the time.
    Nothing,
}

/// The result, with what proves it.
#[derive(Clone, Debug)]
pub struct Answer {
    /// How it ended.
    pub outcome: Outcome,
    /// One pattern a stick; empty unless a plan was found.
    pub plan: Plan,
    /// What the plan comes to.
    pub worth: Worth,
    /// No order costs less than this, in cents.
    pub bound: i128,
    /// Which of cost, length taken and sticks are proven least.
    pub proven: [bool; 3],
    /// Inequalities behind the bound: prices and what each stick holds.
    pub cuts: Vec<Cut>,
    /// Count vectors ruled out by exhaustive search.
    pub refuted: Vec<Vec<u32>>,
    /// Figures for measurement.
    pub tally: [u32; 6],
}

struct Search<'a> {
    problem: &'a Problem,
    packer: Packer<'a>,
    cuts: Vec<Cut>,
    refuted: Vec<Vec<u32>>,
    best: Option<(Worth, Plan)>,
    bound: i128,
    high: Vec<u32>,
}

/// How one goal's search ended.
enum Phase {
    Proven,
    /// Some vectors were left unsettled.
    Open,
    Impossible,
}

/// Finds the cheapest order, then the least length, then the fewest sticks.
/// Stops when `stop` says so, with the best so far.
pub fn solve(problem: &Problem, effort: Effort, stop: &Stop, tell: &mut Tell) -> Answer {
    let pieces = problem.pieces().min(u64::from(u32::MAX)) as u32;
    let high: Vec<u32> = problem.stocks.iter().map(|s| s.limit.min(pieces)).collect();
    let mut search = Search {
        problem,
        packer: Packer::new(problem),
        cuts: vec![volume_cut(problem)],
        refuted: Vec::new(),
        best: None,
        bound: 0,
        high,
    };
    if let Some(plan) = first_plan(problem) {
        search.offer(plan);
    }
    let sizes: Vec<f64> = problem.size.iter().map(|s| *s as f64).collect();
    search.fill(&sizes, stop);
    search.easy_bound();
    // With very many sizes the relaxation would not fit in memory or time.
    if problem.size.len() + problem.stocks.len() > MOST_ROWS {
        let reached = search.reached(0);
        return search.answer([reached, false, false], false);
    }
    if problem.stocks.len() > 1 || !search.reached(0) {
        search.relax(stop);
    }
    search.run(effort, stop, tell)
}

/// Rows of the relaxation at most.
const MOST_ROWS: usize = 1200;

/// Σ size ≤ Σ room: with sizes as prices, a stick holds at most its best fill.
fn volume_cut(problem: &Problem) -> Cut {
    let need = i64::try_from(problem.volume()).unwrap_or(i64::MAX);
    Cut {
        price: problem.size.clone(),
        hold: problem.stocks.iter().map(|s| s.room.max(0)).collect(),
        need,
    }
}

/// Drops repeated cuts and keeps the list short, the latest first to stay.
fn tidy(cuts: &mut Vec<Cut>) {
    let mut seen = std::collections::HashSet::new();
    cuts.retain(|c| c.need > 0 && seen.insert(c.hold.clone()));
    if cuts.len() > 160 {
        cuts.drain(1..cuts.len() - 159);
    }
}

impl Search<'_> {
    /// Fills stick by stick by the `worth` of the sizes.
    fn fill(&mut self, worth: &[f64], stop: &Stop) {
        let mut sack = Knapsack::default();
        if let Some(plan) = stick_by_stick(self.problem, worth, &mut sack, stop) {
            for p in &plan {
                self.packer.pool.add(p.clone());
            }
            self.offer(plan);
        }
    }

    /// The bound that the inequalities known give at once.
    fn easy_bound(&mut self) {
        let (weight, rows) = self.frame(0);
        let mut counts = Counts::new(self.problem, weight, &self.high, &rows);
        let never = || false;
        counts.next(&Stop::new(&never));
        self.bound = self.bound.max(counts.bound().unwrap_or(0));
    }

    /// Whether the best plan's cost is already the bound.
    fn reached(&self, goal: usize) -> bool {
        goal == 0 && self.target(0).is_some_and(|t| t <= self.bound)
    }

    /// The cost relaxation: a bound, inequalities, and plans from its prices.
    fn relax(&mut self, stop: &Stop) {
        let mut relax = Relax::new(self.problem, Goal::Cost, &self.high);
        let pool = &mut self.packer.pool;
        let end = relax.solve(pool, stop);
        self.bound = self.bound.max(relax.bound);
        let mut found = None;
        if let End::Whole = end {
            let manner = Manner {
                nodes: 60,
                width: 1,
                random: false,
            };
            let mut chance = Chance::new(3);
            found = dive(
                self.problem,
                &mut relax,
                pool,
                &self.high,
                &manner,
                &mut chance,
                stop,
            );
            let worth: Vec<f64> = relax.prices().iter().map(|p| p.max(0.0) * 1024.0).collect();
            self.fill(&worth, stop);
        }
        if let Some(plan) = found {
            self.offer(plan);
        }
        self.cuts.append(&mut relax.cuts);
        tidy(&mut self.cuts);
    }

    fn offer(&mut self, plan: Plan) {
        // The last gate: no stick is ever handed out that cannot be cut.
        if plan
            .iter()
            .any(|p| !self.problem.fits(p.stock as usize, &p.items))
        {
            return;
        }
        let mut counts = vec![0u32; self.problem.stocks.len()];
        for p in &plan {
            counts[p.stock as usize] += 1;
        }
        let worth = self.problem.worth(&counts);
        if self.best.as_ref().is_none_or(|(w, _)| worth < *w) {
            self.best = Some((worth, plan));
        }
    }

    fn run(mut self, most: Effort, stop: &Stop, tell: &mut Tell) -> Answer {
        let mut proven = [false; 3];
        let mut impossible = false;
        let mut effort = 1;
        'goals: for goal in 0..3 {
            loop {
                if goal == 0 && self.target(0).is_some_and(|t| t <= self.bound) {
                    proven[0] = true;
                    break;
                }
                match self.phase(goal, effort, stop, tell) {
                    Phase::Proven => {
                        proven[goal] = true;
                        break;
                    }
                    Phase::Impossible => {
                        impossible = true;
                        break 'goals;
                    }
                    Phase::Open if stop.now() || effort > 1 << 20 || most == Effort::Short => {
                        break 'goals;
                    }
                    Phase::Open => effort *= 4,
                }
            }
        }
        // With one kind of stick that costs something the goals are one.
        if proven[0] && self.problem.stocks.len() == 1 && self.problem.stocks[0].price > 0 {
            proven = [true; 3];
        }
        self.answer(proven, impossible)
    }

    fn answer(self, proven: [bool; 3], impossible: bool) -> Answer {
        let outcome = match (&self.best, impossible) {
            (Some(_), _) => Outcome::Plan,
            (None, true) => Outcome::Impossible,
            (None, false) => Outcome::Nothing,
        };
        let (worth, plan) = self.best.unwrap_or((
            Worth {
                cost: 0,
                taken: 0,
                sticks: 0,
            },
            Vec::new(),
        ));
        let bound = if proven[0] { worth.cost } else { self.bound };
        Answer {
            outcome,
            plan,
            worth,
            bound,
            proven,
            cuts: self.cuts,
            refuted: self.refuted,
            tally: self.packer.tally,
        }
    }

    /// Weights of one goal, and the rows that hold the goals before it.
    fn frame(&self, goal: usize) -> (Vec<i64>, Vec<Row>) {
        let s = &self.problem.stocks;
        let price: Vec<i64> = s.iter().map(|s| s.price).collect();
        let taken: Vec<i64> = s.iter().map(|s| s.taken).collect();
        let weight = match goal {
            0 => price.clone(),
            1 => taken.clone(),
            _ => vec![1; s.len()],
        };
        let mut rows: Vec<Row> = self.cuts.iter().map(Row::from).collect();
        if let Some((w, _)) = &self.best {
            if goal > 0 {
                rows.push(at_most(&price, w.cost));
            }
            if goal > 1 {
                rows.push(at_most(&taken, w.taken));
            }
        }
        (weight, rows)
    }

    fn target(&self, goal: usize) -> Option<i128> {
        self.best
            .as_ref()
            .map(|(w, _)| [w.cost, w.taken, w.sticks][goal])
    }

    fn phase(&mut self, goal: usize, effort: u32, stop: &Stop, tell: &mut Tell) -> Phase {
        let (weight, rows) = self.frame(goal);
        let mut counts = Counts::new(self.problem, weight, &self.high, &rows);
        for r in &self.refuted {
            counts.refute(r);
        }
        let mut open = false;
        loop {
            let next = counts.next(stop);
            if goal == 0
                && !open
                && let Some(b) = counts.bound()
            {
                self.bound = self.bound.max(b);
            }
            let target = self.target(goal);
            if let Some(t) = target {
                let reached = counts.bound().is_none_or(|b| b >= t);
                if reached && !matches!(next, Next::Full) {
                    return if open { Phase::Open } else { Phase::Proven };
                }
            }
            let y = match next {
                Next::Try(y) => y,
                Next::Full => return Phase::Open,
                Next::None if open => return Phase::Open,
                Next::None => return Phase::Impossible,
            };
            match self.packer.pack(&y, &self.cuts, effort, stop) {
                Packing::Packed(plan) => {
                    self.offer(plan);
                    if let Some((w, _)) = &self.best {
                        tell(w, self.bound);
                    }
                    // The goals before may have been bettered by chance: the
                    // vector itself is done with either way.
                    if self.target(goal) == target {
                        counts.refute(&y);
                        open = true;
                    }
                }
                Packing::Short(cut) => {
                    counts.add_row(Row::from(&cut));
                    self.cuts.push(cut);
                }
                Packing::Never => {
                    counts.refute(&y);
                    self.refuted.push(y);
                }
                Packing::Unknown => {
                    counts.refute(&y);
                    open = true;
                }
            }
        }
    }
}

fn at_most(a: &[i64], most: i128) -> Row {
    Row {
        a: a.iter().map(|v| -v).collect(),
        b: i64::try_from(-most).unwrap_or(i64::MIN),
    }
}
