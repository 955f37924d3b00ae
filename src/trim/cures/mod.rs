//! Where a corner cannot close: what the trade does instead, each as a
//! changed design that was solved and does close.
//!
//! A level moulding and a raking one of the same section do not meet round a
//! plan corner. Three ways out: a short level piece between corner and rake,
//! so that each turn is a turn of one sort (transition); another section for
//! one of the two, so that they meet in the upright plane of the corner
//! (raked section, HATF art. 323); a return that stands square to the rake
//! instead of level. Which of them close depends on the head, so each is
//! solved before it is offered.

mod gables;
mod runs;

use super::Wrong;
use super::design::{Design, Kind};
use super::sheet::{Finding, Sheet};
use super::solve::{Rules, solve};

/// The ways to close such a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// A level piece between the corner and the rake.
    Transition,
    /// Another section for the level return.
    RakedReturn,
    /// Another section for the rake.
    RakedRake,
    /// A return that stands square to the rake.
    SquareReturn,
}

impl Way {
    /// The contract's word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Transition => "transition",
            Self::RakedReturn => "raked-return",
            Self::RakedRake => "raked-rake",
            Self::SquareReturn => "square-return",
        }
    }

    /// For people.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Transition => "A level piece between",
            Self::RakedReturn => "A raked section for the return",
            Self::RakedRake => "A raked section for the rake",
            Self::SquareReturn => "A return square to the rake",
        }
    }
}

/// A changed design that closes what was open.
#[derive(Debug, Clone, PartialEq)]
pub struct Cure {
    /// How.
    pub way: Way,
    /// The code of the findings that it answers.
    pub code: &'static str,
    /// The run that was open; `None` for the whole head.
    pub run: Option<String>,
    /// What is done, with its least length or its changed section.
    pub text: String,
    /// The design that closes.
    pub design: Design,
}

impl Cure {
    /// Whether it answers this finding.
    #[must_use]
    pub fn answers(&self, finding: &Finding) -> bool {
        let of_run = |run: &String| {
            let piece = finding.piece.as_deref().and_then(|p| p.rsplit_once('-'));
            piece.is_some_and(|(name, _)| name == run)
        };
        self.code == finding.code && self.run.as_ref().is_none_or(of_run)
    }
}

/// Every cure of this head's open corners and missing returns that closes;
/// none where nothing is open.
///
/// # Errors
/// As [`solve`] of the design itself.
pub fn cures(design: &Design, rules: &Rules) -> Result<Vec<Cure>, Wrong> {
    let sheet = solve(design, rules)?;
    Ok(of_sheet(design, &sheet, rules))
}

/// As [`cures`], of a design that is solved already.
#[must_use]
pub fn of_sheet(design: &Design, sheet: &Sheet, rules: &Rules) -> Vec<Cure> {
    let open = |f: &Finding| matches!(f.code, "corner-open" | "raked-return");
    if !sheet.findings.iter().any(open) {
        return Vec::new();
    }
    let tried = match &design.kind {
        Kind::Gable(_) | Kind::BrokenGable(_) => gables::tried(design, rules),
        Kind::Runs(list) => runs::tried(design, list, sheet, rules),
        Kind::Assembly(_) => return of_parts(design, rules),
        _ => Vec::new(),
    };
    let kept = tried.into_iter().filter(|cure| closes(cure, sheet, rules));
    kept.collect()
}

/// Whether the changed design closes what the cure is for, and spoils no
/// other piece.
fn closes(cure: &Cure, before: &Sheet, rules: &Rules) -> bool {
    let Ok(after) = solve(&cure.design, rules) else {
        return false;
    };
    let answered = before.findings.iter().filter(|f| cure.answers(f)).count();
    let count =
        |sheet: &Sheet, code: &str| sheet.findings.iter().filter(|f| f.code == code).count();
    let errors = |sheet: &Sheet| {
        let bad = sheet.findings.iter();
        bad.filter(|f| f.severity == super::sheet::Severity::Error)
            .count()
    };
    let left = count(before, cure.code) - answered;
    count(&after, cure.code) == left
        && count(&after, "piece-vanishes") <= count(before, "piece-vanishes")
        && errors(&after) <= errors(before)
}

/// The cures of each part, put back into the whole.
fn of_parts(design: &Design, rules: &Rules) -> Vec<Cure> {
    let Kind::Assembly(parts) = &design.kind else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for (nth, part) in parts.iter().enumerate() {
        let alone = Design {
            unit: design.unit,
            name: part.name.clone(),
            kind: part.kind.clone(),
            legs: part.legs,
            saw: design.saw,
            as_built: None,
        };
        for cure in cures(&alone, rules).unwrap_or_default() {
            let mut whole = design.clone();
            if let Kind::Assembly(parts) = &mut whole.kind
                && let Some(part) = parts.get_mut(nth)
            {
                part.kind = cure.design.kind;
            }
            all.push(Cure {
                run: cure.run.map(|run| format!("{}-{run}", part.name)),
                text: format!("{}: {}", part.name, cure.text),
                design: whole,
                ..cure
            });
        }
    }
    all
}

/// A length rounded up to what a tape shows: 1/16 in, or a millimetre.
fn round_up(inches: f64, metric: bool) -> f64 {
    let step = if metric { 1.0 / 25.4 } else { 1.0 / 16.0 };
    (inches / step - 1e-9).ceil() * step
}
