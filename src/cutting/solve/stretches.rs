//! Sticks that are cut in several stretches: the clear lengths between bad
//! ones, or strips ripped side by side.
//!
//! The sum of a stick's stretches bounds what it can hold; whether a set of
//! pieces can be shared out among them is decided here by trying every way.

use std::cell::{Cell, RefCell};
use std::collections::HashMap;

/// Ways tried for one set of pieces; beyond that nothing is proven by it.
const MOST_STEPS: u32 = 30_000;

/// Pieces as (size, how many), rising.
type Items = Vec<(u32, u32)>;

/// The stretches of each kind of stick.
#[derive(Clone, Debug, Default)]
pub struct Stretches {
    /// For each kind, the room of each stretch, shortest first, in the unit of
    /// whoever asks whether a stretch holds a set.
    pub rooms: Vec<Vec<i64>>,
    known: RefCell<HashMap<(usize, Items), bool>>,
    /// Set once a set was given up: then nothing is proven by what does not
    /// fit.
    pub doubtful: Cell<bool>,
}

/// Whether a stretch of this room holds these pieces.
pub type Holds<'a> = dyn Fn(&[(u32, u32)], i64) -> bool + 'a;

impl Stretches {
    /// These stretches.
    pub fn new(rooms: Vec<Vec<i64>>) -> Self {
        Stretches {
            rooms,
            ..Stretches::default()
        }
    }

    /// Whether kind `k` has more than one.
    pub fn several(&self, k: usize) -> bool {
        self.rooms.get(k).is_some_and(|r| r.len() > 1)
    }

    /// Whether the pieces can be shared out among the stretches of kind `k`.
    pub fn fits(&self, k: usize, items: &[(u32, u32)], holds: &Holds) -> bool {
        let key = (k, items.to_vec());
        if let Some(&known) = self.known.borrow().get(&key) {
            return known;
        }
        let fits = self.split(k, items, holds).is_some();
        let mut known = self.known.borrow_mut();
        if known.len() > 200_000 {
            known.clear();
        }
        known.insert(key, fits);
        fits
    }

    /// A way to share the pieces out: what goes into each stretch.
    pub fn split(&self, k: usize, items: &[(u32, u32)], holds: &Holds) -> Option<Vec<Items>> {
        let rooms = &self.rooms[k];
        let pieces: Vec<u32> = items
            .iter()
            .flat_map(|&(i, n)| std::iter::repeat_n(i, n as usize))
            .collect();
        let mut share = Share {
            rooms,
            holds,
            into: vec![Items::new(); rooms.len()],
            steps: 0,
        };
        if share.place(&pieces, 0) {
            return Some(share.into);
        }
        if share.steps > MOST_STEPS {
            self.doubtful.set(true);
        }
        None
    }
}

struct Share<'a> {
    rooms: &'a [i64],
    holds: &'a Holds<'a>,
    into: Vec<Items>,
    steps: u32,
}

impl Share<'_> {
    /// Places the pieces, longest first; one alike to the last goes no earlier
    /// than it, and of two stretches alike only the first is tried.
    fn place(&mut self, pieces: &[u32], from: usize) -> bool {
        let Some((&piece, rest)) = pieces.split_first() else {
            return true;
        };
        self.steps += 1;
        if self.steps > MOST_STEPS {
            return false;
        }
        for at in from..self.rooms.len() {
            let twin = (from..at)
                .any(|b| self.rooms[b] == self.rooms[at] && self.into[b] == self.into[at]);
            if twin {
                continue;
            }
            let before = self.into[at].clone();
            add(&mut self.into[at], piece);
            let next = if rest.first() == Some(&piece) { at } else { 0 };
            if (self.holds)(&self.into[at], self.rooms[at]) && self.place(rest, next) {
                return true;
            }
            self.into[at] = before;
        }
        false
    }
}

fn add(items: &mut Items, piece: u32) {
    match items.last_mut() {
        Some(last) if last.0 == piece => last.1 += 1,
        _ => items.push((piece, 1)),
    }
}
