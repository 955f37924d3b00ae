//! Orders with mitred ends, nested.
//!
//! The sum of overall lengths and of the gaps between them must fit the stick.
//! Gaps depend on which ends meet. Numbers a (for right ends) and b (for left
//! ends) with a + b ≤ gap for every pair share each gap out between its two
//! ends, so that an order with sizes "overall + a + b" is a relaxation: it
//! bounds the cost from below. Every pattern used is laid out exactly by
//! [`Sequence`]; what does not fit is not used, and nothing is called proven
//! that a rounded gap could have ruled out.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::mitre::{self, End, Way};
use super::order::{Cut, Nesting, Order, OrderPlan, Status, Stick};
use super::plan::{self, Alike, Clear, Progress, take};
use super::solve::sequence::Sequence;
use super::solve::simplex::Simplex;
use super::solve::stretches::Stretches;
use super::solve::{self, Effort, Outcome, Pattern, Problem, Stock, Stop};
use crate::measure::Length;

/// Pieces alike: size with its share of losses, size, class of ends, lines with
/// how many of each.
type Rung = (i64, i64, usize, Vec<(usize, u32)>);

/// Grid steps in the longest stick, for the relaxation.
const STEPS: i64 = 40_000;

/// Questions to the clock in the search for the flat plan.
const SHORT: u32 = 3_000;

/// Whether any end of the order is not square.
pub fn has_mitres(order: &Order) -> bool {
    let slanted = |e: End| e.per_u.abs() > 1e-9 || e.per_v.abs() > 1e-9;
    !order.section.is_empty()
        && order
            .pieces
            .iter()
            .any(|p| slanted(p.left.into()) || slanted(p.right.into()))
}

/// An order with mitred ends as the solver sees it, and the way back.
struct Nest {
    problem: Problem,
    sequence: Sequence,
    ends: Vec<End>,
    ways: Vec<Way>,
    lines: Vec<Vec<(usize, u32)>>,
    stocks: Vec<Vec<(usize, u32)>>,
}

/// Plans an order and nests its mitred ends.
pub fn nested(order: &Order, stop: &Stop, tell: &mut dyn FnMut(Progress)) -> OrderPlan {
    let (ways, uneven) = mitre::ways(order.poses, &order.section);
    let mut findings = plan::warnings(order);
    if uneven {
        findings.push(super::order::Finding {
            severity: "warning",
            code: "section-not-even",
            piece: None,
            text:
                "The section is not alike both ways, so pieces are not turned in every way asked."
                    .to_owned(),
        });
    }
    let too_long = plan::too_long(order);
    if !too_long.is_empty() {
        findings.extend(too_long);
        return plan::nothing(Status::Infeasible, findings);
    }
    let flat = flat(order, stop);
    let nest = Nest::new(order, ways);
    let answer = solve::solve(&nest.problem, Effort::Unbounded, stop, &mut |w, b| {
        let bound_cents = plan::cents(b.min(w.cost));
        tell(Progress {
            cost_cents: plan::cents(w.cost),
            bound_cents,
        });
    });
    match answer.outcome {
        Outcome::Plan => {
            let sticks = nest.sticks(order, &answer.plan);
            let bound = (answer.bound, true);
            let mut out = plan::summed(order, sticks, answer.proven, bound, findings);
            out.nesting = flat.and_then(|flat| saved(order, &flat, &out));
            out
        }
        Outcome::Impossible => {
            findings.push(plan::error("not-enough-stock", None, plan::NOT_ENOUGH));
            plan::nothing(Status::Infeasible, findings)
        }
        Outcome::Nothing => {
            findings.push(plan::error("no-order-found", None, plan::NOT_FOUND));
            plan::nothing(Status::Unknown, findings)
        }
    }
}

/// The plan with square ends by the overall lengths, if a short search proves
/// one cheapest.
fn flat(order: &Order, stop: &Stop) -> Option<OrderPlan> {
    let asked = std::cell::Cell::new(0u32);
    let short = || {
        asked.set(asked.get() + 1);
        asked.get() > SHORT || stop.now()
    };
    let plan = plan::square(order, Effort::Short, &Stop::new(&short), &mut |_| ());
    plan.proven[0].then_some(plan)
}

/// What nesting saves against the flat plan.
fn saved(order: &Order, flat: &OrderPlan, out: &OrderPlan) -> Option<Nesting> {
    let taken =
        |p: &OrderPlan| -> i64 { p.sticks.iter().map(|s| plan::taken(order, s.stock)).sum() };
    Some(Nesting {
        saved_cents: flat.cost_cents - out.cost_cents,
        saved: Length::from_nanometres(taken(flat) - taken(out)),
    })
}

impl Nest {
    fn new(order: &Order, ways: Vec<Way>) -> Self {
        let mut sequence = Sequence::default();
        let mut ends: Vec<End> = Vec::new();
        let groups = groups(order, &ways, &mut ends, &mut sequence);
        let kerf = order.kerf.nanometres();
        let gaps: Vec<Vec<(i64, i64)>> = ends
            .iter()
            .map(|r| {
                ends.iter()
                    .map(|l| mitre::gap(*r, *l, &order.section, kerf))
                    .collect()
            })
            .collect();
        sequence.gap = gaps
            .iter()
            .map(|row| row.iter().map(|g| g.1).collect())
            .collect();
        let down: Vec<Vec<i64>> = gaps
            .iter()
            .map(|row| row.iter().map(|g| g.0).collect())
            .collect();
        let (a, b) = shares(&sequence, &groups, &down);
        sequence.gap_down = down;
        sequence.share_right.clone_from(&a);
        sequence.share_left.clone_from(&b);
        let share = |class: usize| {
            sequence.ways[class]
                .iter()
                .map(|&(l, r)| a[r] + b[l])
                .min()
                .unwrap_or(0)
        };
        // The first left end and the last right end have no neighbour.
        let used = |pick: fn(&(usize, usize)) -> usize, share: &[i64]| {
            sequence
                .ways
                .iter()
                .flatten()
                .map(|w| share[pick(w)])
                .max()
                .unwrap_or(0)
        };
        let extra = used(|w| w.0, &b) + used(|w| w.1, &a);
        let mut rows: Vec<Rung> = groups
            .into_iter()
            .map(|((length, class), lines)| (length + share(class), length, class, lines))
            .collect();
        rows.sort_by_key(|row| Reverse((row.0, row.1, row.2)));
        Self::assemble(order, rows, extra, sequence, ends, ways)
    }

    fn assemble(
        order: &Order,
        rows: Vec<Rung>,
        extra: i64,
        mut sequence: Sequence,
        ends: Vec<End>,
        ways: Vec<Way>,
    ) -> Self {
        let rooms =
            |k: usize| -> Vec<i64> { plan::clear(order, k).iter().map(|c| c.room).collect() };
        let longest = (0..order.stock.len())
            .map(|k| rooms(k).iter().map(|r| r + extra).sum::<i64>())
            .max()
            .unwrap_or(1);
        let step = (longest / STEPS).max(1);
        let mut problem = Problem::default();
        let mut lines = Vec::new();
        for (size, length, class, group) in rows {
            // A size below one step would have to count as nothing: counted as
            // one it proves nothing.
            if size < step {
                sequence.doubtful.set(true);
            }
            problem.size.push((size / step).max(1));
            problem.demand.push(group.iter().map(|(_, n)| *n).sum());
            sequence.length.push(length);
            sequence.class.push(class);
            lines.push(group);
        }
        let pieces = problem.pieces().min(u64::from(u32::MAX)) as u32;
        let mut kinds: BTreeMap<Alike, Vec<(usize, u32)>> = BTreeMap::new();
        for (k, s) in order.stock.iter().enumerate() {
            let limit = s.limit.unwrap_or(pieces).min(pieces);
            let rooms = rooms(k);
            if limit > 0 && !rooms.is_empty() {
                let key = (rooms, plan::taken(order, k), s.price_cents);
                kinds.entry(key).or_default().push((k, limit));
            }
        }
        let mut stocks = Vec::new();
        let several = kinds.keys().any(|(rooms, ..)| rooms.len() > 1);
        let stretches = Stretches::new(kinds.keys().map(|(rooms, ..)| rooms.clone()).collect());
        problem.stretches = several.then_some(stretches);
        // Stretches laid end to end, whatever ends meet between them: no chain
        // of pieces in the stick is longer.
        let widest = sequence.gap.iter().flatten().copied().max().unwrap_or(0);
        for ((rooms, taken, price), mut group) in kinds {
            let limit = group.iter().map(|(_, n)| u64::from(*n)).sum::<u64>();
            let limit = limit.min(u64::from(pieces)) as u32;
            let room = rooms.iter().map(|r| r + extra).sum::<i64>();
            problem.stocks.push(Stock {
                room: room.div_euclid(step),
                taken,
                price,
                limit,
            });
            let between = (rooms.len() as i64 - 1) * widest.max(0);
            sequence.room.push(rooms.iter().sum::<i64>() + between);
            group.sort_by(|x, y| order.stock[x.0].id.cmp(&order.stock[y.0].id));
            stocks.push(group);
        }
        problem.sequence = Some(sequence.clone());
        Nest {
            problem,
            sequence,
            ends,
            ways,
            lines,
            stocks,
        }
    }

    fn sticks(&self, order: &Order, plan: &[Pattern]) -> Vec<Stick> {
        let mut patterns: Vec<&Pattern> = plan.iter().collect();
        patterns.sort();
        let mut lines = self.lines.clone();
        let mut stocks = self.stocks.clone();
        patterns
            .iter()
            .filter_map(|p| {
                let stock = take(&mut stocks[p.stock as usize])?;
                let shares = self.problem.split(p.stock as usize, &p.items)?;
                let mut cuts = Vec::new();
                for (stretch, items) in plan::clear(order, stock).iter().zip(&shares) {
                    self.lay(order, stretch, items, &mut lines, &mut cuts)?;
                }
                let kerf = order.kerf.nanometres();
                Some(plan::laid(order, stock, cuts, |c| {
                    let p = &order.pieces[c.piece];
                    let way = (c.turned, c.flipped);
                    let (_, right) = mitre::taken(p.left.into(), p.right.into(), way);
                    mitre::last_kerf(right, kerf)
                }))
            })
            .collect()
    }

    /// One stretch's pieces in the order and the ways that need least length.
    fn lay(
        &self,
        order: &Order,
        stretch: &Clear,
        items: &[(u32, u32)],
        lines: &mut [Vec<(usize, u32)>],
        cuts: &mut Vec<Cut>,
    ) -> Option<()> {
        let q = &self.sequence;
        let mut waiting: Vec<Vec<usize>> = vec![Vec::new(); q.ways.len()];
        for &(i, n) in items {
            for _ in 0..n {
                waiting[q.class[i as usize]].push(take(&mut lines[i as usize])?);
            }
        }
        let counts: Vec<u32> = waiting.iter().map(|w| w.len() as u32).collect();
        waiting.iter_mut().for_each(|w| w.reverse());
        let mut at = stretch.from;
        let mut last: Option<usize> = None;
        for (class, way) in q.order(&counts) {
            let piece = waiting[class].pop()?;
            let (left, right) = q.ways[class][way];
            if let Some(e) = last {
                at += q.gap[e][left];
            }
            let to = at + order.pieces[piece].length.nanometres();
            let (turned, flipped) = self.way(order, piece, left, right);
            let (from, to_length) = (Length::from_nanometres(at), Length::from_nanometres(to));
            cuts.push(Cut {
                piece,
                from,
                to: to_length,
                turned,
                flipped,
                strip: stretch.strip,
            });
            at = to;
            last = Some(right);
        }
        Some(())
    }

    /// The first way round that gives these ends.
    fn way(&self, order: &Order, piece: usize, left: usize, right: usize) -> Way {
        let p = &order.pieces[piece];
        let fits = |w: &&Way| {
            let (l, r) = mitre::taken(p.left.into(), p.right.into(), **w);
            l.like(self.ends[left]) && r.like(self.ends[right])
        };
        self.ways
            .iter()
            .find(fits)
            .copied()
            .unwrap_or((false, false))
    }
}

/// Pieces alike in length and ends together, in an order of their own; fills
/// in the ends and the classes.
fn groups(
    order: &Order,
    ways: &[Way],
    ends: &mut Vec<End>,
    sequence: &mut Sequence,
) -> BTreeMap<(i64, usize), Vec<(usize, u32)>> {
    let mut sorted: Vec<usize> = (0..order.pieces.len()).collect();
    let slopes = |i: usize| {
        let (l, r): (End, End) = (order.pieces[i].left.into(), order.pieces[i].right.into());
        [l.per_u, l.per_v, r.per_u, r.per_v]
    };
    sorted.sort_by(|&x, &y| {
        let (p, q) = (slopes(x), slopes(y));
        let by_slope = p
            .iter()
            .zip(&q)
            .map(|(a, b)| a.total_cmp(b))
            .find(|o| o.is_ne());
        let by_label = order.pieces[x].label.cmp(&order.pieces[y].label);
        by_slope.unwrap_or(by_label).then(by_label)
    });
    let mut out: BTreeMap<(i64, usize), Vec<(usize, u32)>> = BTreeMap::new();
    for i in sorted {
        let p = &order.pieces[i];
        let mut pairs: Vec<(usize, usize)> = ways
            .iter()
            .map(|w| {
                let (l, r) = mitre::taken(p.left.into(), p.right.into(), *w);
                (index(ends, l), index(ends, r))
            })
            .collect();
        pairs.sort_unstable();
        pairs.dedup();
        let class = sequence
            .ways
            .iter()
            .position(|w| *w == pairs)
            .unwrap_or_else(|| {
                sequence.ways.push(pairs);
                sequence.ways.len() - 1
            });
        out.entry((p.length.nanometres(), class))
            .or_default()
            .push((i, p.qty));
    }
    out
}

fn index(ends: &mut Vec<End>, e: End) -> usize {
    ends.iter().position(|x| x.like(e)).unwrap_or_else(|| {
        ends.push(e);
        ends.len() - 1
    })
}

/// Shares (a by right end, b by left end) with a + b ≤ gap, as large as the
/// pieces make worth while: the dual of pairing right ends with left ends.
fn shares(
    sequence: &Sequence,
    groups: &BTreeMap<(i64, usize), Vec<(usize, u32)>>,
    gap: &[Vec<i64>],
) -> (Vec<i64>, Vec<i64>) {
    let n = gap.len();
    let mut rhs = vec![1e-3; 2 * n];
    for (&(_, class), lines) in groups {
        let count: u32 = lines.iter().map(|(_, q)| *q).sum();
        let ways = &sequence.ways[class];
        for &(l, r) in ways {
            rhs[r] += f64::from(count) / ways.len() as f64;
            rhs[n + l] += f64::from(count) / ways.len() as f64;
        }
    }
    let far = gap
        .iter()
        .flatten()
        .map(|g| g.abs())
        .max()
        .unwrap_or(1)
        .max(1) as f64;
    let mut lp = Simplex::new(rhs, &vec![4.0; 2 * n]);
    for (r, row) in gap.iter().enumerate() {
        for (l, g) in row.iter().enumerate() {
            lp.add(
                vec![(r as u32, 1.0), ((n + l) as u32, 1.0)],
                *g as f64 / far,
            );
        }
    }
    lp.reprice();
    lp.primal(20_000);
    let a: Vec<i64> = lp.prices()[..n]
        .iter()
        .map(|p| (p * far).floor() as i64)
        .collect();
    let least = |l: usize| (0..n).map(|r| gap[r][l] - a[r]).min().unwrap_or(0);
    let b: Vec<i64> = (0..n).map(least).collect();
    let a = (0..n)
        .map(|r| (0..n).map(|l| gap[r][l] - b[l]).min().unwrap_or(0))
        .collect();
    (a, b)
}
