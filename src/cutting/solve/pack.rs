//! Can these sticks hold these pieces? Quick fillings, then the relaxation
//! and dives from it, then an exact search over all patterns that the known
//! inequalities leave possible.

use super::cover::{self, Covered};
use super::dive::{Manner, Plan, dive};
use super::fill::best_fit;
use super::patterns;
use super::problem::{Chance, Problem, Stop};
use super::relax::{Cut, End, Goal, Pool, Relax};

/// The answer for one vector of counts.
pub enum Packing {
    /// A plan within the counts.
    Packed(Plan),
    /// Ruled out by this inequality.
    Short(Cut),
    /// Ruled out by an exhaustive search.
    Never,
    /// Not settled with the effort given.
    Unknown,
}

/// Packs count vectors of one problem.
pub struct Packer<'a> {
    problem: &'a Problem,
    relax: Relax<'a>,
    /// All patterns met.
    pub pool: Pool,
    chance: Chance,
    /// Count of relaxations found short, whole, covers proven and unknown.
    pub tally: [u32; 6],
}

impl<'a> Packer<'a> {
    /// A packer without patterns.
    pub fn new(problem: &'a Problem) -> Self {
        let none = vec![0; problem.stocks.len()];
        Packer {
            problem,
            relax: Relax::new(problem, Goal::Uncut, &none),
            pool: Pool::default(),
            chance: Chance::new(1),
            tally: [0; 6],
        }
    }

    /// Tries to pack into `counts`; `cuts` are inequalities already known.
    pub fn pack(&mut self, counts: &[u32], cuts: &[Cut], effort: u32, stop: &Stop) -> Packing {
        self.chance = Chance::new(7 + u64::from(effort));
        for shake in [0.0, 0.05, 0.2] {
            if let Some(plan) = best_fit(self.problem, counts, shake, &mut self.chance) {
                self.tally[0] += 1;
                return Packing::Packed(plan);
            }
        }
        self.relax.cuts.clear();
        if !self.relax.set(&self.problem.demand, counts) {
            self.relax = Relax::new(self.problem, Goal::Uncut, counts);
        }
        match self.relax.solve(&mut self.pool, stop) {
            End::Short(cut) => {
                self.tally[1] += 1;
                return Packing::Short(cut);
            }
            End::Open if stop.now() => return Packing::Unknown,
            _ => {}
        }
        let mut all: Vec<Cut> = self.relax.cuts.clone();
        all.extend(cuts.iter().cloned());
        let manner = Manner {
            nodes: 40,
            width: 2,
            random: false,
        };
        if let Some(plan) = self.dive(counts, &manner, stop) {
            self.tally[2] += 1;
            return Packing::Packed(plan);
        }
        let most = 4_000 * effort as usize;
        if let Some(list) = patterns::enumerate(self.problem, counts, &all, most, stop) {
            match cover::search(self.problem, counts, &list, 300 * effort as u64, stop) {
                Covered::Plan(plan) => {
                    self.tally[3] += 1;
                    return Packing::Packed(plan);
                }
                Covered::Never if self.problem.doubtful() => {}
                Covered::Never => {
                    self.tally[4] += 1;
                    return Packing::Never;
                }
                Covered::Unknown => {}
            }
        }
        for _ in 0..4 * effort {
            let manner = Manner {
                nodes: 40,
                width: 2,
                random: true,
            };
            if let Some(plan) = self.dive(counts, &manner, stop) {
                self.tally[3] += 1;
                return Packing::Packed(plan);
            }
            if stop.now() {
                break;
            }
        }
        self.tally[5] += 1;
        Packing::Unknown
    }

    fn dive(&mut self, counts: &[u32], manner: &Manner, stop: &Stop) -> Option<Plan> {
        dive(
            self.problem,
            &mut self.relax,
            &mut self.pool,
            counts,
            manner,
            &mut self.chance,
            stop,
        )
    }
}
