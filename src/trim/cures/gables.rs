//! Gables whose rakes run out at the board's ends.

use crate::measure::{Length, Unit};
use crate::trim::design::{Design, Kind, LowerEnd};
use crate::trim::sheet::Sheet;
use crate::trim::solve::{Rules, solve};

use super::{Cure, Way, round_up};

pub(super) fn tried(design: &Design, rules: &Rules) -> Vec<Cure> {
    let mut all = Vec::new();
    all.extend(transition(design, rules));
    let ends = [
        (
            Way::RakedReturn,
            LowerEnd::RakedReturn,
            "The crown returns level to the wall at both ends. The rakes keep their section; the \
             two returns get one drawn for this pitch, made by a knife grinder or with a router \
             and a template.",
        ),
        (
            Way::SquareReturn,
            LowerEnd::Return,
            "The crown runs on down the rake past the board's ends and returns to the wall square \
             to the rake, cut from the same stick. A block must go behind it.",
        ),
    ];
    for (way, lower, text) in ends {
        let mut changed = design.clone();
        match &mut changed.kind {
            Kind::Gable(gable) => gable.lower_end = lower,
            Kind::BrokenGable(broken) => broken.lower_end = lower,
            _ => continue,
        }
        all.push(cure(way, text.to_owned(), changed));
    }
    all
}

fn cure(way: Way, text: String, design: Design) -> Cure {
    Cure {
        way,
        code: "raked-return",
        run: None,
        text,
        design,
    }
}

/// Wings: a level piece at each end on which the crown returns as on any
/// other head.
fn transition(design: &Design, rules: &Rules) -> Option<Cure> {
    let half = half_span(design)?;
    // Lengths of the level pieces grow as the wing does: one trial tells.
    let trial = half / 2.0;
    let sheet = solve(&with_wing(design, trial)?, rules).ok()?;
    let least = trial + rules.thin - shortest_level(&sheet)?;
    let wing = round_up(least.max(rules.thin), metric(design.unit));
    let say = rules.rounding;
    (wing < half).then_some(())?;
    let text = format!(
        "The head gets wings: a level piece at each end, and the crown returns there. At its \
         shortest such a piece keeps {} of wood from a wing of {}; drawn with {}. Span and pitch \
         stay, so the peak comes lower.",
        say.words(rules.thin),
        say.words(least),
        say.words(wing)
    );
    Some(cure(Way::Transition, text, with_wing(design, wing)?))
}

fn metric(unit: Unit) -> bool {
    !matches!(unit, Unit::Inch | Unit::Foot)
}

/// Half of what wing and rake share.
fn half_span(design: &Design) -> Option<f64> {
    match &design.kind {
        Kind::Gable(gable) => Some(gable.body.span.inches() / 2.0),
        Kind::BrokenGable(broken) => Some((broken.body.span.inches() - broken.gap.inches()) / 2.0),
        _ => None,
    }
}

fn with_wing(design: &Design, inches: f64) -> Option<Design> {
    let wing = Length::from_f64(inches, Unit::Inch).ok()?;
    let mut changed = design.clone();
    match &mut changed.kind {
        Kind::Gable(gable) => gable.wing = wing,
        Kind::BrokenGable(broken) => broken.wing = wing,
        _ => return None,
    }
    // What was measured was measured on a head without wings.
    changed.as_built = None;
    Some(changed)
}

/// The least shortest length of the level pieces that end at a foot.
fn shortest_level(sheet: &Sheet) -> Option<f64> {
    let mut least: Option<f64> = None;
    for run in &sheet.runs {
        for pair in run.pieces.windows(2) {
            let [one, two] = pair else { continue };
            let level = |d: f64| d.abs() < 1e-9;
            let flat = match (level(one.leg.d.y), level(two.leg.d.y)) {
                (true, false) => one,
                (false, true) => two,
                _ => continue,
            };
            least = Some(least.map_or(flat.shortest, |l| l.min(flat.shortest)));
        }
    }
    least
}
