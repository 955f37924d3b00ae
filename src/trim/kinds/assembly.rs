//! A head made of several assemblies, each placed where it stands.

use std::collections::BTreeSet;

use crate::measure::Unit;
use crate::trim::design::{Part, Wrong};
use crate::trim::solve::Rules;
use crate::trim::space::Vector;

use super::Plan;

pub(super) fn plan(parts: &[Part], unit: Unit, rules: &Rules) -> Result<Plan, Wrong> {
    let mut whole = Plan::default();
    for (i, part) in parts.iter().enumerate() {
        let inside = |wrong: Wrong| {
            let at = format!("parts[{i}].head");
            let at = if wrong.at.is_empty() {
                at
            } else {
                format!("{at}.{}", wrong.at)
            };
            Wrong::new(at, wrong.what)
        };
        let mut plan = super::of_kind(&part.kind, unit, rules).map_err(inside)?;
        super::complete(&mut plan, &part.kind, part.legs.as_ref(), unit, rules);
        join(&mut whole, plan, part, unit);
    }
    let mut taken = BTreeSet::new();
    let names = whole.runs.iter().map(|run| run.name.as_str());
    let labels = whole.boards.iter().map(|board| board.label.as_str());
    for name in names.chain(labels) {
        if !taken.insert(name) {
            let what = format!("two parts make a `{name}`; give one of them another name");
            return Err(Wrong::new("parts", what));
        }
    }
    Ok(whole)
}

/// Puts a part in its place, its name before every label.
fn join(whole: &mut Plan, plan: Plan, part: &Part, unit: Unit) {
    let [right, up] = part.at.map(|at| at * unit.inches());
    let shift = Vector::new(right, up, 0.0);
    let named = |label: &str| format!("{}-{label}", part.name);
    for mut run in plan.runs {
        run.name = named(&run.name);
        for mate in run.meets.iter_mut().flatten() {
            mate.label = named(&mate.label);
        }
        for point in &mut run.path {
            *point = *point + shift;
        }
        whole.runs.push(run);
    }
    for mut board in plan.boards {
        board.label = named(&board.label);
        board.origin = board.origin + shift;
        whole.boards.push(board);
    }
    for mut bend in plan.bends {
        bend.run = named(&bend.run);
        whole.bends.push(bend);
    }
    for mut finding in plan.findings {
        finding.piece = finding.piece.map(|piece| named(&piece));
        if finding.piece.is_none() {
            finding.text = format!("{}: {}", part.name, finding.text);
        }
        whole.findings.push(finding);
    }
}
