//! The general form: mouldings on polylines, given as they are.

use crate::measure::Unit;
use crate::trim::design::Run;
use crate::trim::space::{Point, Vector};

use super::{Plan, RunPlan, parts, usual_holds};

pub(super) fn plan(runs: &[Run], unit: Unit) -> Plan {
    Plan {
        runs: runs.iter().map(|run| run_plan(run, unit)).collect(),
        ..Plan::default()
    }
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
