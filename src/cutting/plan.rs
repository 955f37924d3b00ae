//! [`Order`] → [`OrderPlan`]: whole numbers in, the solver, and every piece
//! by name out again.

use std::collections::BTreeMap;

use super::mitre;
use super::order::{Cut, Finding, Order, OrderPlan, PieceLine, Status, Stick};
use super::solve::stretches::Stretches;
use super::solve::{self, Answer, Effort, Outcome, Pattern, Problem, Stock, Stop};
use crate::measure::Length;

/// How far the search has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Cost of the best order so far, in cents.
    pub cost_cents: i64,
    /// No order costs less than this.
    pub bound_cents: i64,
}

/// An order with square ends as the solver sees it, and the way back.
pub struct Square {
    /// The problem in whole numbers.
    pub problem: Problem,
    /// For each size, the order's lines with that length (index, how many).
    lines: Vec<Vec<(usize, u32)>>,
    /// For each kind of stick, the order's lines (index, how many at most).
    stocks: Vec<Vec<(usize, u32)>>,
}

/// Plans an order whose ends all count as square.
pub fn square(
    order: &Order,
    effort: Effort,
    stop: &Stop,
    tell: &mut dyn FnMut(Progress),
) -> OrderPlan {
    let mut findings = warnings(order);
    let too_long = too_long(order);
    if !too_long.is_empty() {
        findings.extend(too_long);
        return nothing(Status::Infeasible, findings);
    }
    let view = Square::new(order);
    let answer = solve::solve(&view.problem, effort, stop, &mut |w, b| {
        tell(Progress {
            cost_cents: cents(w.cost),
            bound_cents: cents(b.min(w.cost)),
        });
    });
    match answer.outcome {
        Outcome::Plan => view.plan(order, &answer, findings),
        Outcome::Impossible => {
            findings.push(error("not-enough-stock", None, NOT_ENOUGH));
            nothing(Status::Infeasible, findings)
        }
        Outcome::Nothing => {
            findings.push(error("no-order-found", None, NOT_FOUND));
            nothing(Status::Unknown, findings)
        }
    }
}

pub(super) const NOT_ENOUGH: &str =
    "The sticks within their limits cannot hold all the pieces, whatever the plan.";
pub(super) const NOT_FOUND: &str = "No order was found in the time allowed. It is not proven that \
    there is none: allow more time, or more sticks.";

pub(super) fn cents(c: i128) -> i64 {
    i64::try_from(c).unwrap_or(i64::MAX)
}

pub(super) fn error(code: &'static str, piece: Option<&str>, text: &str) -> Finding {
    Finding {
        severity: "error",
        code,
        piece: piece.map(str::to_owned),
        text: text.to_owned(),
    }
}

/// An answer without a plan.
pub(super) fn nothing(status: Status, findings: Vec<Finding>) -> OrderPlan {
    OrderPlan {
        status,
        proven: [false; 3],
        cost_cents: 0,
        bound_cents: 0,
        sticks: Vec::new(),
        waste: Length::ZERO,
        kept: Length::ZERO,
        nesting: None,
        findings,
    }
}

/// Pieces shorter than the saw cut, named once each.
pub(super) fn warnings(order: &Order) -> Vec<Finding> {
    let mut out: Vec<Finding> = order
        .pieces
        .iter()
        .filter(|p| p.length < order.kerf)
        .map(|p| Finding {
            severity: "warning",
            code: "kerf-longer-than-piece",
            piece: Some(p.label.clone()),
            text: format!(
                "{} is shorter ({}) than the saw cut ({}).",
                p.label, p.length, order.kerf
            ),
        })
        .collect();
    out.sort_by(|a, b| a.piece.cmp(&b.piece));
    out
}

/// A clear stretch of a stick, in nanometres from its left end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Clear {
    /// Its length, > 0.
    pub room: i64,
    /// Which strip.
    pub strip: u32,
    /// Where it begins.
    pub from: i64,
}

/// The clear stretches of a stick between its squared ends, shortest first.
/// A bad stretch is cut out at its own edges, which squares both neighbours:
/// no end trim is lost there. It takes at least one kerf, from where it
/// begins.
pub(super) fn clear(order: &Order, stock: usize) -> Vec<Clear> {
    let s = &order.stock[stock];
    let trim = s.end_trim.unwrap_or(order.end_trim).nanometres();
    let end = s.length.nanometres() - trim;
    let mut out = Vec::new();
    let mut at = trim;
    for (from, to) in &s.defects {
        let (from, to) = (from.nanometres(), to.nanometres());
        if from.min(end) > at {
            out.push((at, from.min(end) - at));
            at = to.max(from + order.kerf.nanometres());
        } else {
            at = at.max(to);
        }
    }
    if end > at {
        out.push((at, end - at));
    }
    let mut out: Vec<Clear> = (0..s.strips.max(1))
        .flat_map(|strip| {
            out.iter()
                .map(move |&(from, room)| Clear { room, strip, from })
        })
        .collect();
    out.sort();
    out
}

/// Room of the longest clear stretch, in nanometres; at most 0 if there is
/// none.
pub(super) fn usable(order: &Order, stock: usize) -> i64 {
    clear(order, stock).last().map_or(0, |c| c.room)
}

/// Length that a stick of this line counts as taken: each strip by itself.
pub(super) fn taken(order: &Order, stock: usize) -> i64 {
    let s = &order.stock[stock];
    s.length
        .nanometres()
        .saturating_mul(i64::from(s.strips.max(1)))
}

pub(super) fn too_long(order: &Order) -> Vec<Finding> {
    let most = (0..order.stock.len())
        .filter(|&k| order.stock[k].limit != Some(0))
        .map(|k| usable(order, k))
        .max();
    let mut out: Vec<Finding> = order
        .pieces
        .iter()
        .filter(|p| most.is_none_or(|m| p.length.nanometres() > m))
        .map(|p| longer_than_all(&p.label, p.length, most))
        .collect();
    out.sort_by(|a, b| a.piece.cmp(&b.piece));
    out
}

pub(super) fn longer_than_all(label: &str, length: Length, most: Option<i64>) -> Finding {
    let text = match most {
        Some(m) if m > 0 => format!(
            "{label} ({length}) is longer than every stick: the longest leaves {} between its \
             squared ends.",
            Length::from_nanometres(m)
        ),
        Some(_) => format!("{label} ({length}) fits no stick: the end trim leaves nothing."),
        None => format!("{label} ({length}) fits no stick: there is no stock."),
    };
    error("piece-too-long", Some(label), &text)
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

impl Square {
    /// The whole-number problem: kerf added to every piece and every room,
    /// lengths divided by what divides every piece (rooms rounded down, which
    /// loses nothing: sums of pieces are multiples of it).
    #[must_use]
    pub fn new(order: &Order) -> Self {
        let kerf = order.kerf.nanometres();
        let mut by_size: BTreeMap<i64, Vec<(usize, u32)>> = BTreeMap::new();
        for (i, p) in order.pieces.iter().enumerate() {
            by_size
                .entry(p.length.nanometres() + kerf)
                .or_default()
                .push((i, p.qty));
        }
        let step = by_size.keys().fold(0, |g, s| gcd(*s, g)).max(1);
        let shortest = by_size.keys().next().copied().unwrap_or(0);
        let pieces: u64 = order.pieces.iter().map(|p| u64::from(p.qty)).sum();
        let pieces = pieces.min(u64::from(u32::MAX)) as u32;
        let taken_step = order
            .stock
            .iter()
            .fold(0, |g, s| gcd(s.length.nanometres(), g))
            .max(1);
        let mut kinds: BTreeMap<Alike, Vec<(usize, u32)>> = BTreeMap::new();
        for (k, s) in order.stock.iter().enumerate() {
            let rooms: Vec<i64> = clear(order, k)
                .iter()
                .map(|c| (c.room + kerf) / step)
                .collect();
            let room = usable(order, k) + kerf;
            let limit = s.limit.unwrap_or(pieces).min(pieces);
            if room > kerf && room >= shortest && limit > 0 {
                let key = (rooms, taken(order, k) / taken_step, s.price_cents);
                kinds.entry(key).or_default().push((k, limit));
            }
        }
        let mut view = Square {
            problem: Problem::default(),
            lines: Vec::new(),
            stocks: Vec::new(),
        };
        for (size, mut lines) in by_size.into_iter().rev() {
            view.problem.size.push(size / step);
            view.problem
                .demand
                .push(lines.iter().map(|(_, n)| *n).sum());
            lines.sort_by(|a, b| order.pieces[a.0].label.cmp(&order.pieces[b.0].label));
            view.lines.push(lines);
        }
        let several = kinds.keys().any(|(rooms, ..)| rooms.len() > 1);
        let stretches = Stretches::new(kinds.keys().map(|(rooms, ..)| rooms.clone()).collect());
        view.problem.stretches = several.then_some(stretches);
        for ((rooms, taken, price), mut lines) in kinds {
            let limit = lines.iter().map(|(_, n)| u64::from(*n)).sum::<u64>();
            let limit = limit.min(u64::from(pieces)) as u32;
            view.problem.stocks.push(Stock {
                room: rooms.iter().sum(),
                taken,
                price,
                limit,
            });
            lines.sort_by(|a, b| order.stock[a.0].id.cmp(&order.stock[b.0].id));
            view.stocks.push(lines);
        }
        view
    }

    /// The solver's answer with pieces and sticks by name.
    fn plan(&self, order: &Order, answer: &Answer, findings: Vec<Finding>) -> OrderPlan {
        let mut patterns: Vec<&Pattern> = answer.plan.iter().collect();
        patterns.sort();
        let mut lines = self.lines.clone();
        let mut stocks = self.stocks.clone();
        let sticks: Vec<Stick> = patterns
            .iter()
            .filter_map(|p| {
                let stock = take(&mut stocks[p.stock as usize])?;
                let mut shares = Vec::new();
                for items in self.problem.split(p.stock as usize, &p.items)? {
                    let mut pieces = Vec::new();
                    for &(i, n) in &items {
                        for _ in 0..n {
                            pieces.push(take(&mut lines[i as usize])?);
                        }
                    }
                    shares.push(pieces);
                }
                Some(lay(order, stock, &shares))
            })
            .collect();
        finish(order, sticks, answer.proven, answer.bound, findings)
    }
}

/// The next line with any left.
pub(super) fn take(lines: &mut [(usize, u32)]) -> Option<usize> {
    let line = lines.iter_mut().find(|(_, n)| *n > 0)?;
    line.1 -= 1;
    Some(line.0)
}

/// Lays square pieces along the clear stretches of a stick, shortest stretch
/// first, each from its left.
fn lay(order: &Order, stock: usize, shares: &[Vec<usize>]) -> Stick {
    let kerf = order.kerf.nanometres();
    let mut cuts = Vec::new();
    for (stretch, pieces) in clear(order, stock).iter().zip(shares) {
        let mut at = stretch.from;
        for &piece in pieces {
            let to = at + order.pieces[piece].length.nanometres();
            cuts.push(Cut {
                piece,
                from: Length::from_nanometres(at),
                to: Length::from_nanometres(to),
                turned: false,
                flipped: false,
                strip: stretch.strip,
            });
            at = to + kerf;
        }
    }
    laid(order, stock, cuts, |_| kerf)
}

/// A stick from its cuts: in order, with what is left over; `kerf` is what the
/// saw takes beyond a cut that is the last of its strip.
pub(super) fn laid(
    order: &Order,
    stock: usize,
    mut cuts: Vec<Cut>,
    kerf: impl Fn(&Cut) -> i64,
) -> Stick {
    let s = &order.stock[stock];
    cuts.sort_by_key(|c| (c.strip, c.from));
    let bad = s.defects.last().map_or(0, |d| d.1.nanometres());
    let left_overs = (0..s.strips.max(1)).map(|strip| {
        let last = cuts.iter().rfind(|c| c.strip == strip);
        let at = last.map_or(0, |c| c.to.nanometres() + kerf(c)).max(bad);
        Length::from_nanometres((s.length.nanometres() - at).max(0))
    });
    Stick {
        stock,
        left_overs: left_overs.collect(),
        cuts,
    }
}

/// Stock lines alike: room of each stretch, length taken, price.
pub(super) type Alike = (Vec<i64>, i64, i64);

/// Sums up a plan.
pub(super) fn finish(
    order: &Order,
    sticks: Vec<Stick>,
    proven: [bool; 3],
    bound: i128,
    findings: Vec<Finding>,
) -> OrderPlan {
    summed(order, sticks, proven, (bound, false), findings)
}

/// The same, with nested pieces measured by their mean length.
pub(super) fn summed(
    order: &Order,
    sticks: Vec<Stick>,
    proven: [bool; 3],
    (bound, nested): (i128, bool),
    findings: Vec<Finding>,
) -> OrderPlan {
    let cost: i128 = sticks
        .iter()
        .map(|s| i128::from(order.stock[s.stock].price_cents))
        .sum();
    let taken: i64 = sticks.iter().map(|s| taken(order, s.stock)).sum();
    let measure = |p: &PieceLine| {
        let less = if nested {
            mitre::less_than_overall(p, &order.section)
        } else {
            0
        };
        (p.length.nanometres() - less) * i64::from(p.qty)
    };
    let pieces: i64 = order.pieces.iter().map(measure).sum();
    let keep = order.keep_at_least;
    let kept: i64 = sticks
        .iter()
        .flat_map(|s| &s.left_overs)
        .filter(|l| keep.is_some_and(|k| **l >= k && **l > Length::ZERO))
        .map(|l| l.nanometres())
        .sum();
    OrderPlan {
        status: if proven[0] {
            Status::Optimal
        } else {
            Status::Feasible
        },
        proven,
        cost_cents: cents(cost),
        bound_cents: cents(bound.min(cost)),
        sticks,
        waste: Length::from_nanometres(taken - pieces),
        kept: Length::from_nanometres(kept),
        nesting: None,
        findings,
    }
}
