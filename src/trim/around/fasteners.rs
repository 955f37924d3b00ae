//! Fasteners and adhesive by rule, the rule stated. Common practice, no
//! source: the maker of the board and local code decide.

/// How a board or moulding is fixed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FixingRule {
    /// Greatest distance between fasteners along the piece, inches.
    pub spacing: f64,
    /// Distance of the first and the last from the ends, inches.
    pub from_end: f64,
    /// A row for each started width of this, inches, at least one.
    pub row_width: f64,
}

impl Default for FixingRule {
    /// 16 in apart, 2 in from the ends, a row for each 3 1/2 in of width: a
    /// 1x4 takes one row, a 1x6 two, a 1x10 three.
    fn default() -> Self {
        Self {
            spacing: 16.0,
            from_end: 2.0,
            row_width: 3.5,
        }
    }
}

/// What a piece takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fixings {
    /// Rows across the width.
    pub rows: u32,
    /// Fasteners in each row.
    pub in_row: u32,
}

impl Fixings {
    /// All of them.
    #[must_use]
    pub const fn count(self) -> u32 {
        self.rows.saturating_mul(self.in_row)
    }
}

impl FixingRule {
    /// Fasteners for a piece `length` long and `width` wide, inches. A piece
    /// too short for two from the ends takes two in each row all the same;
    /// bore it first. `None` if a number is not more than 0.
    #[must_use]
    pub fn fixings(&self, length: f64, width: f64) -> Option<Fixings> {
        let real = [length, width, self.spacing, self.row_width];
        if !real.iter().all(|x| x.is_finite() && *x > 0.0) {
            return None;
        }
        let between = (length - 2.0 * self.from_end).max(0.0);
        Some(Fixings {
            rows: steps(width, self.row_width).max(1),
            in_row: steps(between, self.spacing).max(1) + 1,
        })
    }

    /// The rule in words.
    #[must_use]
    pub fn words(&self) -> String {
        format!(
            "at most {} in apart, {} in from each end, a row for each {} in of width; common \
             practice, no source",
            self.spacing, self.from_end, self.row_width
        )
    }
}

/// How many steps of `step` fill `whole`, the last one started.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to what a u32 holds"
)]
fn steps(whole: f64, step: f64) -> u32 {
    (whole / step - 1e-9).ceil().clamp(0.0, 1e6) as u32
}

/// Volume of a 10.1 US fl oz cartridge, cubic inches: 231 to the gallon, 128
/// oz to the gallon.
pub const CARTRIDGE: f64 = 10.1 * 231.0 / 128.0;

/// Cartridges for beads of `length` inches in all, round with `diameter`
/// inches, a tenth left in the nozzle (common practice, no source).
#[must_use]
pub fn cartridges(length: f64, diameter: f64) -> f64 {
    let bead = std::f64::consts::PI / 4.0 * diameter * diameter * length.max(0.0);
    bead / CARTRIDGE / 0.9
}
