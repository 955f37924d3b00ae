//! A small revised simplex with an explicit inverse, for the linear programs
//! behind an order: a few dozen to a few hundred rows, columns that arrive
//! while it runs, right sides and costs that change between solves.
//!
//! Its numbers are floating point and nothing it says is taken on trust: every
//! bound that leaves the solver is recomputed in whole numbers from the prices
//! found here.

/// Entries below this are taken as zero.
const EPS: f64 = 1e-9;

/// Columns kept from a full pricing pass.
const LIST: usize = 24;

/// A column: its rows and entries.
pub type Column = Vec<(u32, f64)>;

/// min cost·x, A·x = rhs, x ≥ 0, held with a basis and its inverse.
#[derive(Clone)]
pub struct Simplex {
    rows: usize,
    columns: Vec<Column>,
    cost: Vec<f64>,
    banned: Vec<bool>,
    basis: Vec<usize>,
    in_basis: Vec<bool>,
    inverse: Vec<f64>,
    value: Vec<f64>,
    rhs: Vec<f64>,
    price: Vec<f64>,
    pivots_since_fresh: usize,
    work: Vec<f64>,
    /// Pivots made since the start, for limits and measurements.
    pub pivots: usize,
}

impl Simplex {
    /// Starts from `unit`: one column for each row with a single entry of one
    /// in that row, which makes the first basis. `rhs` must be ≥ 0.
    pub fn new(rhs: Vec<f64>, unit_cost: &[f64]) -> Self {
        let rows = rhs.len();
        let mut inverse = vec![0.0; rows * rows];
        for i in 0..rows {
            inverse[i * rows + i] = 1.0;
        }
        Simplex {
            rows,
            columns: (0..rows).map(|i| vec![(i as u32, 1.0)]).collect(),
            cost: unit_cost.to_vec(),
            banned: vec![false; rows],
            basis: (0..rows).collect(),
            in_basis: vec![true; rows],
            inverse,
            value: rhs.clone(),
            rhs,
            price: unit_cost.to_vec(),
            pivots_since_fresh: 0,
            work: vec![0.0; rows],
            pivots: 0,
        }
    }

    /// Adds a column, out of the basis; returns its index.
    pub fn add(&mut self, column: Column, cost: f64) -> usize {
        self.columns.push(column);
        self.cost.push(cost);
        self.banned.push(false);
        self.in_basis.push(false);
        self.columns.len() - 1
    }

    /// How many columns there are, the starting ones included.
    pub fn columns(&self) -> usize {
        self.columns.len()
    }

    /// Keeps a column from entering the basis (or lets it again).
    pub fn ban(&mut self, column: usize, banned: bool) {
        self.banned[column] = banned;
    }

    /// Changes a column's cost; call [`Simplex::reprice`] after the last.
    pub fn set_cost(&mut self, column: usize, cost: f64) {
        self.cost[column] = cost;
    }

    /// The cost of a column.
    pub fn cost(&self, column: usize) -> f64 {
        self.cost[column]
    }

    /// The rows' prices (dual values) at the present basis.
    pub fn prices(&self) -> &[f64] {
        &self.price
    }

    /// Present cost of the basis.
    pub fn objective(&self) -> f64 {
        self.basis
            .iter()
            .zip(&self.value)
            .map(|(&j, v)| self.cost[j] * v)
            .sum()
    }

    /// The basic columns and their values.
    pub fn solution(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.basis.iter().copied().zip(self.value.iter().copied())
    }

    /// Cost less prices times column: negative means worth entering.
    fn reduced(&self, j: usize) -> f64 {
        let mut d = self.cost[j];
        for &(r, a) in &self.columns[j] {
            d -= self.price[r as usize] * a;
        }
        d
    }

    /// Recomputes the prices from costs and basis.
    pub fn reprice(&mut self) {
        let m = self.rows;
        self.price.iter_mut().for_each(|p| *p = 0.0);
        for r in 0..m {
            let c = self.cost[self.basis[r]];
            if c != 0.0 {
                let row = &self.inverse[r * m..(r + 1) * m];
                for (p, a) in self.price.iter_mut().zip(row) {
                    *p += c * a;
                }
            }
        }
    }

    fn revalue(&mut self) {
        let m = self.rows;
        for r in 0..m {
            let row = &self.inverse[r * m..(r + 1) * m];
            self.value[r] = row.iter().zip(&self.rhs).map(|(a, b)| a * b).sum();
        }
    }

    /// Sets a new right side and mends the basis by dual pivots. False when a
    /// limit of pivots was met or no column could mend it.
    pub fn set_rhs(&mut self, rhs: &[f64]) -> bool {
        self.rhs.copy_from_slice(rhs);
        self.revalue();
        self.dual()
    }

    /// B⁻¹ times a column, into `work`.
    fn ftran(&mut self, j: usize) {
        let m = self.rows;
        self.work.iter_mut().for_each(|w| *w = 0.0);
        for &(k, a) in &self.columns[j] {
            let k = k as usize;
            for r in 0..m {
                self.work[r] += self.inverse[r * m + k] * a;
            }
        }
    }

    /// Column `j` enters at row `r`; `work` holds B⁻¹·A_j.
    fn pivot(&mut self, r: usize, j: usize) {
        let m = self.rows;
        let reduced = self.reduced(j);
        let inv = 1.0 / self.work[r];
        let (before, rest) = self.inverse.split_at_mut(r * m);
        let (row, after) = rest.split_at_mut(m);
        for a in row.iter_mut() {
            *a *= inv;
        }
        let step = self.value[r] * inv;
        for (i, other) in before.chunks_exact_mut(m).enumerate() {
            let f = self.work[i];
            if f != 0.0 {
                for (a, b) in other.iter_mut().zip(row.iter()) {
                    *a -= f * b;
                }
            }
        }
        for (i, other) in after.chunks_exact_mut(m).enumerate() {
            let f = self.work[r + 1 + i];
            if f != 0.0 {
                for (a, b) in other.iter_mut().zip(row.iter()) {
                    *a -= f * b;
                }
            }
        }
        for i in 0..m {
            if i != r {
                self.value[i] -= self.work[i] * step;
            }
        }
        self.value[r] = step;
        for (p, a) in self.price.iter_mut().zip(row.iter()) {
            *p += reduced * a;
        }
        self.in_basis[self.basis[r]] = false;
        self.in_basis[j] = true;
        self.basis[r] = j;
        self.pivots += 1;
        self.pivots_since_fresh += 1;
        if self.pivots_since_fresh >= 300.max(2 * m) {
            self.refresh();
        }
    }

    /// Inverts the basis afresh, to shed rounding. Gauss–Jordan with row
    /// exchange; a basis found singular falls back to the old inverse.
    fn refresh(&mut self) {
        self.pivots_since_fresh = 0;
        let m = self.rows;
        let mut b = vec![0.0; m * m];
        for (c, &j) in self.basis.iter().enumerate() {
            for &(r, a) in &self.columns[j] {
                b[r as usize * m + c] = a;
            }
        }
        let mut inv = vec![0.0; m * m];
        for i in 0..m {
            inv[i * m + i] = 1.0;
        }
        for c in 0..m {
            let mut best = c;
            for r in c + 1..m {
                if b[r * m + c].abs() > b[best * m + c].abs() {
                    best = r;
                }
            }
            if b[best * m + c].abs() < 1e-10 {
                return;
            }
            if best != c {
                for k in 0..m {
                    b.swap(best * m + k, c * m + k);
                    inv.swap(best * m + k, c * m + k);
                }
            }
            let f = 1.0 / b[c * m + c];
            for k in 0..m {
                b[c * m + k] *= f;
                inv[c * m + k] *= f;
            }
            let brow: Vec<f64> = b[c * m..(c + 1) * m].to_vec();
            let irow: Vec<f64> = inv[c * m..(c + 1) * m].to_vec();
            for r in 0..m {
                let f = b[r * m + c];
                if r != c && f != 0.0 {
                    for k in c..m {
                        b[r * m + k] -= f * brow[k];
                    }
                    for k in 0..m {
                        inv[r * m + k] -= f * irow[k];
                    }
                }
            }
        }
        self.inverse = inv;
        self.revalue();
        self.reprice();
    }

    /// Lowers the cost until no column is worth entering (true), or for at
    /// most `limit` pivots (false). The basis must be feasible. A full pricing
    /// pass leaves a short list of columns, which is used up before the next.
    pub fn primal(&mut self, limit: usize) -> bool {
        let mut stuck = 0usize;
        let mut list: Vec<(f64, usize)> = Vec::new();
        for _ in 0..limit {
            let bland = stuck > 60 + self.rows;
            let Some(enter) = self.enter(bland, &mut list) else {
                return true;
            };
            self.ftran(enter);
            let Some((row, step)) = self.leave(bland) else {
                return true;
            };
            stuck = if step > 1e-12 { 0 } else { stuck + 1 };
            self.pivot(row, enter);
        }
        false
    }

    /// The column to enter: the best of the list, or of all.
    fn enter(&self, bland: bool, list: &mut Vec<(f64, usize)>) -> Option<usize> {
        if bland {
            list.clear();
            return (0..self.columns.len()).find(|&j| self.open(j) && self.reduced(j) < -EPS);
        }
        list.retain_mut(|(d, j)| {
            *d = if self.in_basis[*j] {
                0.0
            } else {
                self.reduced(*j)
            };
            *d < -EPS
        });
        if list.is_empty() {
            for j in 0..self.columns.len() {
                if self.open(j) {
                    let d = self.reduced(j);
                    if d < -EPS {
                        list.push((d, j));
                    }
                }
            }
            if list.len() > LIST {
                list.select_nth_unstable_by(LIST, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                list.truncate(LIST);
            }
        }
        list.iter()
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
            .map(|(_, j)| *j)
    }

    fn open(&self, j: usize) -> bool {
        !self.in_basis[j] && !self.banned[j]
    }

    /// The row that first reaches zero as the entering column grows.
    fn leave(&self, bland: bool) -> Option<(usize, f64)> {
        let mut row = None;
        let mut step = f64::INFINITY;
        let mut size = 0.0;
        for r in 0..self.rows {
            let a = self.work[r];
            if a <= 1e-8 {
                continue;
            }
            let t = self.value[r].max(0.0) / a;
            let better = match row {
                None => true,
                Some(old) if t <= step + 1e-12 && t >= step - 1e-12 => {
                    if bland {
                        self.basis[r] < self.basis[old]
                    } else {
                        a > size
                    }
                }
                Some(_) => t < step,
            };
            if better {
                row = Some(r);
                step = t;
                size = a;
            }
        }
        row.map(|r: usize| (r, step))
    }

    /// Dual pivots until every value is ≥ 0.
    fn dual(&mut self) -> bool {
        let m = self.rows;
        for _ in 0..(50 * m + 500) {
            let mut row = usize::MAX;
            let mut low = -1e-9;
            for r in 0..m {
                if self.value[r] < low {
                    low = self.value[r];
                    row = r;
                }
            }
            if row == usize::MAX {
                return true;
            }
            let mut enter = usize::MAX;
            let mut best = f64::INFINITY;
            let mut size = 0.0;
            let line = &self.inverse[row * m..(row + 1) * m];
            for j in 0..self.columns.len() {
                if self.in_basis[j] || self.banned[j] {
                    continue;
                }
                let a: f64 = self.columns[j]
                    .iter()
                    .map(|&(r, a)| line[r as usize] * a)
                    .sum();
                if a < -1e-8 {
                    let ratio = self.reduced(j).max(0.0) / -a;
                    if ratio < best - 1e-12 || (ratio < best + 1e-12 && -a > size) {
                        best = ratio;
                        enter = j;
                        size = -a;
                    }
                }
            }
            if enter == usize::MAX {
                return false;
            }
            self.ftran(enter);
            if self.work[row].abs() < 1e-9 {
                return false;
            }
            self.pivot(row, enter);
        }
        false
    }
}
