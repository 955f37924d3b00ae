//! The general form: mouldings on polylines, given as they are.

use crate::measure::Unit;
use crate::trim::design::{Run, Wrong};
use crate::trim::sheet::Joint;
use crate::trim::space::{Point, Vector};

use super::{Mate, Plan, RunPlan, parts, usual_holds};

pub(super) fn plan(runs: &[Run], unit: Unit) -> Result<Plan, Wrong> {
    let mut plan = Plan {
        runs: runs.iter().map(|run| run_plan(run, unit)).collect(),
        ..Plan::default()
    };
    for (nth, run) in runs.iter().enumerate() {
        let mut meets = [None, None];
        let keys = ["start_meets", "end_meets"];
        for (end, (slot, (key, label))) in meets
            .iter_mut()
            .zip(keys.iter().zip(&run.meets))
            .enumerate()
        {
            let Some(label) = label else { continue };
            let joint = joint(&plan.runs, nth, end, label).ok_or_else(|| {
                let what = format!("`{label}` is no piece of another run of this head");
                Wrong::new(format!("runs[{nth}].{key}"), what)
            })?;
            *slot = Some(Mate {
                label: label.clone(),
                joint,
            });
        }
        if let Some(plan) = plan.runs.get_mut(nth) {
            plan.meets = meets;
        }
    }
    Ok(plan)
}

/// The corner between the end of a run (0 its start, 1 its end) and the piece
/// of another run with this label; `None` if there is no such piece.
fn joint(runs: &[RunPlan], nth: usize, end: usize, label: &str) -> Option<Joint> {
    let (name, number) = label.rsplit_once('-')?;
    let other = runs
        .iter()
        .enumerate()
        .find(|(i, run)| *i != nth && run.name == name)?;
    let leg = number.parse::<usize>().ok()?.checked_sub(1)?;
    let there = leg_of(other.1, leg)?;
    let run = runs.get(nth)?;
    let here = leg_of(
        run,
        if end == 0 {
            0
        } else {
            run.normals.len().checked_sub(1)?
        },
    )?;
    let (one, two) = if end == 0 {
        (there, here)
    } else {
        (here, there)
    };
    Some(if two.0.dot(one.1) > 1e-6 {
        Joint::PlanInside
    } else {
        Joint::PlanOutside
    })
}

/// Direction and normal of a leg.
fn leg_of(run: &RunPlan, leg: usize) -> Option<(Vector, Vector)> {
    let (a, b) = (run.path.get(leg)?, run.path.get(leg + 1)?);
    Some(((*b - *a).unit()?, run.normals.get(leg)?.unit()?))
}

fn run_plan(run: &Run, unit: Unit) -> RunPlan {
    let inch = unit.inches();
    let point = |p: &[f64; 3]| Point::new(p[0] * inch, p[1] * inch, p[2] * inch);
    let (section, curves) = parts::drawn(&run.section, unit);
    RunPlan {
        name: run.name.clone(),
        section,
        curves,
        spring: run.spring.map(|angle| angle.radians()),
        holds: if run.holds.is_empty() {
            usual_holds(&run.name)
        } else {
            run.holds.clone()
        },
        path: run.path.iter().map(point).collect(),
        normals: run
            .normals
            .iter()
            .map(|n| Vector::new(n[0], n[1], n[2]))
            .collect(),
        start: run.start,
        end: run.end,
        meets: [None, None],
    }
}
