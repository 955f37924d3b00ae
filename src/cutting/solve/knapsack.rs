//! Bounded knapsack: the best value that fits every room up to the longest
//! stick, in one sweep, so that all kinds of stick are priced together.
//!
//! Values are whole numbers held in `f64` (exact below 2^53): a sweep is an
//! exact bound, not an estimate. Rooms too long for a table are searched by
//! branch and bound instead, one kind of stick at a time (Horowitz & Sahni
//! 1974; Martello & Toth, Knapsack Problems, 1990, ch. 2, from memory).

/// Table cells (items × room) above which the sweep is not used.
const TABLE_CELLS: u64 = 60_000_000;
/// Longest room held in a table.
const TABLE_ROOM: i64 = 4_000_000;
/// The same for rough fillings.
const ROUGH_CELLS: u64 = 2_000_000;
/// The same for rough fillings.
const ROUGH_STEPS: u64 = 10_000;
/// Values in a table stay below this.
const TABLE_VALUE: f64 = 2_147_483_647.0;
/// Steps of a branch and bound before its upper bound is taken instead.
const SEARCH_STEPS: u64 = 400_000;

/// One kind of item: size, value (whole, ≥ 0), most copies.
#[derive(Clone, Copy, Debug)]
pub struct Item {
    /// Size ≥ 1.
    pub size: i64,
    /// Value, a whole number ≥ 0.
    pub value: f64,
    /// Copies at most.
    pub copies: u32,
}

/// A best filling of one room.
#[derive(Clone, Debug)]
pub struct Filling {
    /// Value of `items`.
    pub value: f64,
    /// No filling of the room is worth more; equals `value` if exact.
    pub bound: f64,
    /// (item, how many).
    pub items: Vec<(u32, u32)>,
    /// Other good fillings of the room, each the best among fewer items.
    pub more: Vec<Vec<(u32, u32)>>,
}

/// Buffers kept between sweeps.
#[derive(Default, Clone)]
pub struct Knapsack {
    old: Vec<i32>,
    new: Vec<i32>,
    taken: Vec<u8>,
    parts: Vec<(u32, u32)>,
}

impl Knapsack {
    /// The best filling of every room in `rooms` from `items`.
    pub fn fill(&mut self, items: &[Item], rooms: &[i64], more: usize) -> Vec<Filling> {
        self.fill_within(items, rooms, more, TABLE_CELLS, SEARCH_STEPS)
    }

    /// Good fillings at little cost, not always the best.
    pub fn fill_roughly(&mut self, items: &[Item], rooms: &[i64]) -> Vec<Filling> {
        self.fill_within(items, rooms, 0, ROUGH_CELLS, ROUGH_STEPS)
    }

    fn fill_within(
        &mut self,
        items: &[Item],
        rooms: &[i64],
        more: usize,
        most_cells: u64,
        most_steps: u64,
    ) -> Vec<Filling> {
        let most = rooms.iter().copied().max().unwrap_or(0).max(0);
        self.split(items, most);
        let cells = self.parts.len() as u64 * (most as u64 + 1);
        if most <= TABLE_ROOM && cells <= most_cells && richest(items, most) < TABLE_VALUE {
            self.sweep(items, most as usize);
            rooms.iter().map(|&r| self.read(items, r, more)).collect()
        } else {
            rooms
                .iter()
                .map(|&r| search(items, r, most_steps))
                .collect()
        }
    }

    /// Copies in powers of two, so that any number up to the limit is a sum.
    fn split(&mut self, items: &[Item], most: i64) {
        self.parts.clear();
        for (i, it) in items.iter().enumerate() {
            if it.value <= 0.0 || it.size > most || it.size <= 0 {
                continue;
            }
            let mut left = u64::from(it.copies).min((most / it.size) as u64) as u32;
            let mut n = 1;
            while left > 0 {
                let take = n.min(left);
                self.parts.push((i as u32, take));
                left -= take;
                n = n.saturating_mul(2);
            }
        }
    }

    fn sweep(&mut self, items: &[Item], most: usize) {
        let wide = most + 1;
        self.old.clear();
        self.old.resize(wide, 0);
        self.new.clear();
        self.new.resize(wide, 0);
        let need = wide * self.parts.len();
        if self.taken.len() < need {
            self.taken.resize(need, 0);
        }
        for (p, &(i, n)) in self.parts.iter().enumerate() {
            let it = items[i as usize];
            let size = it.size as usize * n as usize;
            let value = it.value as i32 * n as i32;
            let flags = &mut self.taken[p * wide..(p + 1) * wide];
            let cut = size.min(wide);
            self.new[..cut].copy_from_slice(&self.old[..cut]);
            flags[..cut].fill(0);
            if size < wide {
                let from = &self.old[..wide - size];
                let keep = &self.old[size..];
                for (((n, f), &a), &b) in self.new[size..]
                    .iter_mut()
                    .zip(&mut flags[size..])
                    .zip(keep)
                    .zip(from)
                {
                    let c = b + value;
                    *f = u8::from(c > a);
                    *n = if c > a { c } else { a };
                }
            }
            std::mem::swap(&mut self.old, &mut self.new);
        }
    }

    fn read(&self, items: &[Item], room: i64, more: usize) -> Filling {
        if room < 0 || self.old.is_empty() {
            return Filling {
                value: 0.0,
                bound: 0.0,
                items: Vec::new(),
                more: Vec::new(),
            };
        }
        let wide = self.old.len();
        let c = (room as usize).min(wide - 1);
        let value = f64::from(self.old[c]);
        let mut found: Vec<Vec<(u32, u32)>> = Vec::new();
        for p in (0..self.parts.len()).rev() {
            if found.len() > more {
                break;
            }
            if self.taken[p * wide + c] == 1 {
                found.push(self.trace(items, p, c));
            }
        }
        let mut found = found.into_iter();
        let best = found.next().unwrap_or_default();
        Filling {
            value,
            bound: value,
            items: best,
            more: found.collect(),
        }
    }

    /// The best filling of room `c` from the parts up to `last`.
    fn trace(&self, items: &[Item], last: usize, mut c: usize) -> Vec<(u32, u32)> {
        let wide = self.old.len();
        let mut out: Vec<(u32, u32)> = Vec::new();
        for p in (0..=last).rev() {
            if self.taken[p * wide + c] == 1 {
                let (i, n) = self.parts[p];
                c -= items[i as usize].size as usize * n as usize;
                match out.last_mut() {
                    Some(last) if last.0 == i => last.1 += n,
                    _ => out.push((i, n)),
                }
            }
        }
        out.reverse();
        out
    }
}

/// No filling of `room` can be worth more than this.
fn richest(items: &[Item], room: i64) -> f64 {
    let ratio = items
        .iter()
        .map(|i| i.value / i.size.max(1) as f64)
        .fold(0.0, f64::max);
    ratio * room as f64
}

/// The factor that brings values to the finest whole numbers a table can hold
/// for rooms up to `room`: multiply by it and round down.
pub fn table_scale(sizes: &[i64], values: &[f64], room: i64) -> f64 {
    let ratio = sizes
        .iter()
        .zip(values)
        .map(|(s, v)| v / (*s).max(1) as f64)
        .fold(0.0, f64::max);
    let scale = (TABLE_VALUE - 4.0) / (ratio * room.max(1) as f64);
    if scale.is_finite() { scale } else { 1.0 }
}

/// Depth-first search by falling value per size with the fractional bound.
fn search(items: &[Item], room: i64, most_steps: u64) -> Filling {
    let mut order: Vec<usize> = (0..items.len())
        .filter(|&i| items[i].value > 0.0 && items[i].size <= room && items[i].copies > 0)
        .collect();
    order.sort_by(|&a, &b| {
        let (x, y) = (&items[a], &items[b]);
        (y.value * x.size as f64)
            .total_cmp(&(x.value * y.size as f64))
            .then(a.cmp(&b))
    });
    let upper = |from: usize, mut left: i64, mut value: f64| -> f64 {
        for &i in &order[from..] {
            let it = &items[i];
            let n = i64::from(it.copies).min(left / it.size);
            value += it.value * n as f64;
            left -= n * it.size;
            if n < i64::from(it.copies) {
                // One part in 2^40 more than the fraction, against rounding.
                return value + it.value * (left as f64 / it.size as f64) * (1.0 + 1e-12);
            }
        }
        value
    };
    let root = upper(0, room, 0.0).floor();
    let mut count = vec![0u32; order.len()];
    let (mut left, mut value) = (room, 0.0f64);
    let (mut best, mut best_count) = (0.0f64, count.clone());
    let mut at = 0usize;
    let mut steps = 0u64;
    'outer: loop {
        // Forward: take as many as fit while the bound allows better.
        while at < order.len() {
            steps += 1;
            if upper(at, left, value).floor() <= best {
                break;
            }
            let it = &items[order[at]];
            let n = i64::from(it.copies).min(left / it.size);
            count[at] = n as u32;
            left -= n * it.size;
            value += it.value * n as f64;
            at += 1;
        }
        if value > best {
            best = value;
            best_count.copy_from_slice(&count);
        }
        if steps > most_steps {
            return finish(best, root.max(best), &order, &best_count);
        }
        // Back: drop one copy of the last item taken.
        loop {
            if at == 0 {
                break 'outer;
            }
            at -= 1;
            if count[at] > 0 {
                let it = &items[order[at]];
                count[at] -= 1;
                left += it.size;
                value -= it.value;
                at += 1;
                break;
            }
        }
    }
    finish(best, best, &order, &best_count)
}

fn finish(value: f64, bound: f64, order: &[usize], count: &[u32]) -> Filling {
    let mut items: Vec<(u32, u32)> = order
        .iter()
        .zip(count)
        .filter(|(_, n)| **n > 0)
        .map(|(&i, &n)| (i as u32, n))
        .collect();
    items.sort_unstable();
    Filling {
        value,
        bound,
        items,
        more: Vec::new(),
    }
}
