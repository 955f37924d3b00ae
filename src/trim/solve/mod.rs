//! The one solver: runs in, pieces and saw settings out.
//!
//! A run is a section (u, v) carried along a polyline. At a corner both
//! pieces are cut in the plane that halves the turn; at a vertex V the
//! section point stands at V + u·n + v·b.

mod corner;
mod findings;
mod hold;
mod limits;
mod order;
mod piece;
mod saw;
mod trails;

use super::built;
use super::design::{Design, MAX_PIECES, Saw, Wrong};
use super::kinds::{self, Plan};
use super::sheet::{Sheet, SolvedRun};
use crate::measure::Rounding;

pub use hold::ways;
pub use order::{CutPlace, Group, Order, Side, Stop, StopSide, gang_order, saw_moves_of};
pub use saw::{SawFrame, setting};

/// What counts as small; settings of the firm. Inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rules {
    /// A piece shorter than this overall is not held by hand (common
    /// practice, no source: about 6 in).
    pub short_piece: f64,
    /// A piece whose shortest length is under this is said to be thin.
    pub thin: f64,
    /// Twins that differ by up to this are both cut to the longer one.
    pub twins: f64,
    /// How findings word a length.
    pub rounding: Rounding,
}

impl Default for Rules {
    fn default() -> Self {
        Self {
            short_piece: 6.0,
            thin: 0.125,
            twins: 0.125,
            rounding: Rounding::Sixteenth,
        }
    }
}

/// Solves a head: pieces, saw settings, findings.
///
/// A head that is understood but cannot be made still gives a sheet, with
/// findings of severity error.
///
/// # Errors
/// If the input is wrong: where, what, and what is allowed.
pub fn solve(design: &Design, rules: &Rules) -> Result<Sheet, Wrong> {
    let design = built::replaced(design);
    let mut plan = built::fit(&design, kinds::base(&design, rules)?, rules)?;
    kinds::finish(&mut plan, &design, rules);
    solve_plan(&design.name, plan, design.saw.as_ref(), rules)
}

/// Solves runs and boards that a kind of head has made.
///
/// # Errors
/// As [`solve`].
pub fn solve_plan(
    head: &str,
    plan: Plan,
    saw: Option<&Saw>,
    rules: &Rules,
) -> Result<Sheet, Wrong> {
    let pieces: usize = plan.runs.iter().map(|run| run.normals.len()).sum();
    if pieces > MAX_PIECES {
        let what = format!("the head has {pieces} pieces; at most {MAX_PIECES} are allowed");
        return Err(Wrong::new("", what));
    }
    let (mut found, mut limits) = (plan.findings, Vec::new());
    let mut runs = Vec::with_capacity(plan.runs.len());
    for run in plan.runs {
        let (pieces, past) = piece::pieces(&run, (saw, rules), &mut found)?;
        limits.extend(past);
        runs.push(SolvedRun {
            name: run.name,
            section: run.section,
            curves: run.curves,
            spring: run.spring,
            pieces,
        });
    }
    for run in &runs {
        findings::of_pieces(run, rules, &mut found);
    }
    found.append(&mut limits);
    found.sort_by_key(|finding| finding.severity);
    let mut sheet = Sheet {
        head: head.to_owned(),
        findings: found,
        runs,
        boards: plan.boards,
        bends: plan.bends,
        saw_moves: super::sheet::SawMoves { walk: 0, gang: 0 },
    };
    sheet.saw_moves = order::saw_moves(&sheet);
    Ok(sheet)
}
