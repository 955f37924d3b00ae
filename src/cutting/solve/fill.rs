//! Quick plans without a relaxation.

use std::collections::BTreeMap;

use super::dive::{Plan, done, serve};
use super::knapsack::{Item, Knapsack, table_scale};
use super::problem::{Chance, Pattern, Problem, Stop};

/// Sticks tried for a piece where sizes alone do not say what fits.
const TRIES: usize = 12;

/// Best fit, longest piece first, in an order shaken by chance: within
/// `counts`, or none.
pub fn best_fit(
    problem: &Problem,
    counts: &[u32],
    shake: f64,
    chance: &mut Chance,
) -> Option<Plan> {
    let mut pieces: Vec<(f64, u32)> = Vec::new();
    for (i, &d) in problem.demand.iter().enumerate() {
        for _ in 0..d {
            let s = problem.size[i] as f64;
            pieces.push((s * (1.0 + shake * (chance.unit() - 0.5)), i as u32));
        }
    }
    pieces.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut room: Vec<(i64, u32)> = Vec::new();
    for (k, &n) in counts.iter().enumerate() {
        for _ in 0..n.min(pieces.len() as u32) {
            room.push((problem.stocks[k].room, k as u32));
        }
    }
    let mut plan: Vec<Vec<u32>> = vec![Vec::new(); room.len()];
    for (_, i) in pieces {
        let size = problem.size[i as usize];
        let mut takes: Vec<usize> = (0..room.len()).filter(|&r| room[r].0 >= size).collect();
        let at = if problem.plain() {
            takes.into_iter().min_by_key(|&r| room[r].0)?
        } else {
            takes.sort_by_key(|&r| room[r].0);
            takes.into_iter().take(TRIES).find(|&r| {
                let mut with = plan[r].clone();
                with.push(i);
                problem.fits(room[r].1 as usize, &counted(with))
            })?
        };
        room[at].0 -= size;
        plan[at].push(i);
    }
    let plan = plan
        .into_iter()
        .zip(room)
        .filter(|(p, _)| !p.is_empty())
        .map(|(p, (_, k))| Pattern {
            stock: k,
            items: counted(p),
        })
        .collect();
    Some(plan)
}

/// Pieces as (size, how many).
fn counted(mut pieces: Vec<u32>) -> Vec<(u32, u32)> {
    pieces.sort_unstable();
    let mut items: Vec<(u32, u32)> = Vec::new();
    for i in pieces {
        match items.last_mut() {
            Some(last) if last.0 == i => last.1 += 1,
            _ => items.push((i, 1)),
        }
    }
    items
}

/// Stick by stick, the filling worth most at `worth` (a value for each size)
/// less the stick's price at `rate`; a complete plan within the limits, or
/// none.
pub fn stick_by_stick(
    problem: &Problem,
    worth: &[f64],
    sack: &mut Knapsack,
    stop: &Stop,
) -> Option<Plan> {
    let mut demand = problem.demand.clone();
    let mut left: Vec<u32> = problem.stocks.iter().map(|s| s.limit).collect();
    let rooms: Vec<i64> = problem.stocks.iter().map(|s| s.room).collect();
    let most = rooms.iter().copied().max().unwrap_or(0);
    // A little less, for the values raised to one.
    let scale = 0.99 * table_scale(&problem.size, worth, most);
    let mut plan = Plan::new();
    while !done(&demand) {
        if stop.now() {
            return None;
        }
        let items: Vec<Item> = (0..demand.len())
            .map(|i| Item {
                size: problem.size[i],
                value: (worth[i] * scale).floor().max(1.0),
                copies: demand[i],
            })
            .collect();
        let fillings = sack.fill_roughly(&items, &rooms);
        let mut best: Option<(f64, usize)> = None;
        for (k, f) in fillings.iter().enumerate() {
            if left[k] == 0 || f.items.is_empty() {
                continue;
            }
            let score = f.value / (problem.stocks[k].price.max(0) as f64 + 1e-3);
            if best.is_none_or(|(b, _)| score > b) {
                best = Some((score, k));
            }
        }
        let (_, k) = best?;
        let mut pattern = Pattern {
            stock: k as u32,
            items: fillings[k].items.clone(),
        };
        problem.mend(&mut pattern, worth);
        if pattern.items.is_empty() {
            return None;
        }
        loop {
            let fits = pattern.items.iter().all(|(i, n)| demand[*i as usize] >= *n);
            if !fits || left[k] == 0 {
                break;
            }
            left[k] -= 1;
            plan.push(serve(&pattern, &mut demand));
        }
    }
    Some(plan)
}

/// A first plan, always quick: longest piece first into the stick with the
/// least room that takes it, else a new stick, the cheapest for its room; then
/// each stick changed for the cheapest that holds what is cut from it. None
/// only where the limits get in the way.
pub fn first_plan(problem: &Problem) -> Option<Plan> {
    let mut left: Vec<u32> = problem.stocks.iter().map(|s| s.limit).collect();
    let mut open: BTreeMap<(i64, usize), ()> = BTreeMap::new();
    let mut sticks: Vec<Pattern> = Vec::new();
    for (i, &d) in problem.demand.iter().enumerate() {
        let size = problem.size[i];
        for _ in 0..d {
            let takes = |key: &(i64, usize)| {
                let stick = &sticks[key.1];
                problem.plain() || {
                    let mut with = stick.items.clone();
                    match with.last_mut() {
                        Some(last) if last.0 == i as u32 => last.1 += 1,
                        _ => with.push((i as u32, 1)),
                    }
                    problem.fits(stick.stock as usize, &with)
                }
            };
            let found = open
                .range((size, 0)..)
                .map(|(k, ())| *k)
                .take(TRIES)
                .find(takes);
            let (room, at) = match found {
                Some(key) => {
                    open.remove(&key);
                    key
                }
                None => {
                    let k = new_stick(problem, &left, i)?;
                    left[k] -= 1;
                    sticks.push(Pattern {
                        stock: k as u32,
                        items: Vec::new(),
                    });
                    (problem.stocks[k].room, sticks.len() - 1)
                }
            };
            open.insert((room - size, at), ());
            let items = &mut sticks[at].items;
            match items.last_mut() {
                Some(last) if last.0 == i as u32 => last.1 += 1,
                _ => items.push((i as u32, 1)),
            }
        }
    }
    for stick in &mut sticks {
        let used: i64 = stick
            .items
            .iter()
            .map(|&(i, n)| problem.size[i as usize] * i64::from(n))
            .sum();
        let now = stick.stock as usize;
        let cheapest = (0..left.len())
            .filter(|&k| (left[k] > 0 || k == now) && problem.stocks[k].room >= used)
            .filter(|&k| problem.fits(k, &stick.items))
            .min_by_key(|&k| (problem.stocks[k].price, problem.stocks[k].taken, k));
        if let Some(k) = cheapest {
            left[now] += 1;
            left[k] -= 1;
            stick.stock = k as u32;
        }
    }
    Some(sticks)
}

/// The kind with the least price for its room that takes a piece of `size`.
fn new_stick(problem: &Problem, left: &[u32], size: usize) -> Option<usize> {
    (0..left.len())
        .filter(|&k| left[k] > 0 && problem.stocks[k].room >= problem.size[size])
        .filter(|&k| problem.fits(k, &[(size as u32, 1)]))
        .min_by(|&a, &b| {
            let (x, y) = (&problem.stocks[a], &problem.stocks[b]);
            let (l, r) = (
                i128::from(x.price) * i128::from(y.room),
                i128::from(y.price) * i128::from(x.room),
            );
            l.cmp(&r).then(x.room.cmp(&y.room)).then(a.cmp(&b))
        })
}
