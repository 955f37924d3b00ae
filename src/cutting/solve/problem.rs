//! The problem in whole numbers: kerf folded in, equal pieces and equal
//! sticks merged, everything in one order whatever order it was typed in.

use super::sequence::Sequence;
use super::stretches::Stretches;

/// A kind of stick.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stock {
    /// What pieces (each with one kerf) may fill, in grid units.
    pub room: i64,
    /// Length taken from the rack or yard, in the caller's units, for waste.
    pub taken: i64,
    /// Price in cents, ≥ 0.
    pub price: i64,
    /// How many there are at most.
    pub limit: u32,
}

/// Pieces by distinct size (longest first) and kinds of stick.
#[derive(Clone, Debug, Default)]
pub struct Problem {
    /// Distinct sizes (piece plus one kerf), strictly falling, in grid units.
    pub size: Vec<i64>,
    /// How many of each, ≥ 1.
    pub demand: Vec<u32>,
    /// Kinds of stick, no two alike.
    pub stocks: Vec<Stock>,
    /// Set where sizes and rooms alone do not say what fits: they then only
    /// say what cannot fit, and this decides the rest.
    pub sequence: Option<Sequence>,
    /// Set where some stick is cut in several stretches: its room is then
    /// their sum and only says what cannot fit.
    pub stretches: Option<Stretches>,
}

impl Problem {
    /// Whether pieces that fit kind `k` by their sizes truly fit.
    pub fn fits(&self, k: usize, items: &[(u32, u32)]) -> bool {
        match &self.stretches {
            Some(s) if s.several(k) => s.fits(k, items, &|items, room| self.holds(items, room)),
            _ => self.sequence.as_ref().is_none_or(|s| s.fits(k, items)),
        }
    }

    /// Whether sizes and rooms alone say what fits.
    pub fn plain(&self) -> bool {
        self.sequence.is_none() && self.stretches.is_none()
    }

    /// What goes into each stretch of kind `k`; everything into the only one
    /// where it has but one.
    pub fn split(&self, k: usize, items: &[(u32, u32)]) -> Option<Vec<Vec<(u32, u32)>>> {
        match &self.stretches {
            Some(s) if s.several(k) => s.split(k, items, &|items, room| self.holds(items, room)),
            _ => Some(vec![items.to_vec()]),
        }
    }

    /// Whether one stretch of this room holds the pieces.
    fn holds(&self, items: &[(u32, u32)], room: i64) -> bool {
        match &self.sequence {
            Some(q) => q.within(items, room),
            None => {
                let used = |&(i, n): &(u32, u32)| self.size[i as usize] * i64::from(n);
                items.iter().map(used).sum::<i64>() <= room
            }
        }
    }

    /// Drops pieces until the pattern fits, those of least `worth` first.
    pub fn mend(&self, pattern: &mut Pattern, worth: &[f64]) {
        while !pattern.items.is_empty() && !self.fits(pattern.stock as usize, &pattern.items) {
            let least = (0..pattern.items.len()).min_by(|&a, &b| {
                let w = |i: usize| worth[pattern.items[i].0 as usize];
                w(a).total_cmp(&w(b))
            });
            if let Some(at) = least {
                pattern.items[at].1 -= 1;
                pattern.items.retain(|(_, n)| *n > 0);
            }
        }
    }

    /// Whether something that did not fit did so only by a doubtful margin.
    pub fn doubtful(&self) -> bool {
        self.sequence.as_ref().is_some_and(|s| s.doubtful.get())
            || self.stretches.as_ref().is_some_and(|s| s.doubtful.get())
    }

    /// Sum of the sizes asked for.
    pub fn volume(&self) -> i128 {
        self.size
            .iter()
            .zip(&self.demand)
            .map(|(s, d)| i128::from(*s) * i128::from(*d))
            .sum()
    }

    /// Number of pieces.
    pub fn pieces(&self) -> u64 {
        self.demand.iter().map(|d| u64::from(*d)).sum()
    }

    /// Cost, length taken and number of sticks of a vector of counts.
    pub fn worth(&self, counts: &[u32]) -> Worth {
        let mut w = Worth {
            cost: 0,
            taken: 0,
            sticks: 0,
        };
        for (s, &n) in self.stocks.iter().zip(counts) {
            w.cost += i128::from(s.price) * i128::from(n);
            w.taken += i128::from(s.taken) * i128::from(n);
            w.sticks += i128::from(n);
        }
        w
    }
}

/// The three goals in their order; less is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Worth {
    /// Cents.
    pub cost: i128,
    /// Length of the sticks taken.
    pub taken: i128,
    /// Number of sticks.
    pub sticks: i128,
}

/// What one stick is cut into: `items` are (index of size, how many).
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Pattern {
    /// Index into [`Problem::stocks`].
    pub stock: u32,
    /// Index into [`Problem::size`], rising, with how many.
    pub items: Vec<(u32, u32)>,
}

/// When to stop: asked often, so it must be quick. It may read a clock or a
/// flag set by another thread.
pub struct Stop<'a> {
    ask: &'a dyn Fn() -> bool,
}

impl<'a> Stop<'a> {
    /// Stops once `ask` says so.
    pub fn new(ask: &'a dyn Fn() -> bool) -> Self {
        Stop { ask }
    }

    /// Whether to stop now.
    pub fn now(&self) -> bool {
        (self.ask)()
    }
}

/// A small generator of chance (xorshift*), seeded alike every time so that
/// the same order gives the same plan.
#[derive(Clone)]
pub struct Chance(u64);

impl Chance {
    /// A generator from a seed.
    pub fn new(seed: u64) -> Self {
        Chance(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// A number in [0, 1).
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number in 0..n (0 for n = 0).
    pub fn below(&mut self, n: usize) -> usize {
        if n == 0 {
            0
        } else {
            (self.bits() % n as u64) as usize
        }
    }
}
