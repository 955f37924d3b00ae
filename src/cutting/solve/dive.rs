//! Plans from the relaxation: fix whole sticks, solve what is left, go on;
//! step back a little where it fails.

use super::problem::{Chance, Pattern, Problem, Stop};
use super::relax::{End, Pool, Relax};

/// A plan: a list of patterns, one a stick.
pub type Plan = Vec<Pattern>;

/// Cuts as much of `pattern` as `demand` still asks for; the part cut.
pub fn serve(pattern: &Pattern, demand: &mut [u32]) -> Pattern {
    let mut items = Vec::with_capacity(pattern.items.len());
    for &(i, n) in &pattern.items {
        let take = n.min(demand[i as usize]);
        if take > 0 {
            demand[i as usize] -= take;
            items.push((i, take));
        }
    }
    Pattern {
        stock: pattern.stock,
        items,
    }
}

/// Whether nothing is left to cut.
pub fn done(demand: &[u32]) -> bool {
    demand.iter().all(|d| *d == 0)
}

struct Node {
    demand: Vec<u32>,
    counts: Vec<u32>,
    plan: usize,
    moves: Vec<Vec<(u32, u32)>>,
    next: usize,
}

/// How a dive is made.
pub struct Manner {
    /// Nodes (relaxations solved) at most.
    pub nodes: usize,
    /// Moves tried at one node.
    pub width: usize,
    /// Whether chance picks among the good moves.
    pub random: bool,
}

/// Depth-first from the full demand: a plan within `counts`, or none found.
pub fn dive(
    problem: &Problem,
    relax: &mut Relax,
    pool: &mut Pool,
    counts: &[u32],
    manner: &Manner,
    chance: &mut Chance,
    stop: &Stop,
) -> Option<Plan> {
    let mut plan: Plan = Vec::new();
    let mut stack: Vec<Node> = Vec::new();
    let (mut demand, mut left) = (problem.demand.clone(), counts.to_vec());
    for _ in 0..manner.nodes {
        if stop.now() {
            return None;
        }
        let mut moves = Vec::new();
        if relax.set(&demand, &left)
            && let End::Whole = relax.solve(pool, stop)
        {
            moves = moves_of(relax, pool, &demand, &left, manner, chance);
        }
        stack.push(Node {
            demand,
            counts: left,
            plan: plan.len(),
            moves,
            next: 0,
        });
        // The deepest node with a move left.
        let (d, l) = loop {
            let node = stack.last_mut()?;
            if node.next < node.moves.len() {
                plan.truncate(node.plan);
                let (mut d, mut l) = (node.demand.clone(), node.counts.clone());
                for &(p, n) in &node.moves[node.next] {
                    for _ in 0..n {
                        let pattern = &pool.patterns[p as usize];
                        if l[pattern.stock as usize] == 0 {
                            break;
                        }
                        let cut = serve(pattern, &mut d);
                        if cut.items.is_empty() {
                            break;
                        }
                        l[pattern.stock as usize] -= 1;
                        plan.push(cut);
                    }
                }
                node.next += 1;
                break (d, l);
            }
            stack.pop();
        };
        if done(&d) {
            return Some(plan);
        }
        demand = d;
        left = l;
    }
    None
}

/// The moves at a node: first every whole stick of the solution at once, then
/// single sticks by their share.
fn moves_of(
    relax: &Relax,
    pool: &Pool,
    demand: &[u32],
    counts: &[u32],
    manner: &Manner,
    chance: &mut Chance,
) -> Vec<Vec<(u32, u32)>> {
    let chosen = relax.chosen();
    let whole: Vec<(u32, u32)> = chosen
        .iter()
        .filter(|(_, v)| *v > 1.0 - 1e-6)
        .map(|(p, v)| (*p, (v + 1e-6).floor() as u32))
        .collect();
    let mut moves = Vec::new();
    if !whole.is_empty() {
        moves.push(whole);
    }
    let mut parts: Vec<(f64, u32)> = chosen
        .iter()
        .filter(|(p, _)| {
            let q = &pool.patterns[*p as usize];
            counts[q.stock as usize] > 0 && q.items.iter().any(|(i, _)| demand[*i as usize] > 0)
        })
        .map(|(p, v)| {
            let f = v - (v + 1e-6).floor();
            let w = if manner.random {
                f * (0.3 + chance.unit())
            } else {
                f
            };
            (w, *p)
        })
        .collect();
    parts.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    for (_, p) in parts.into_iter().take(manner.width) {
        moves.push(vec![(p, 1)]);
    }
    moves
}
