//! What goes on the van for a day: the heads that are hung, what goes with
//! them, and tools.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::gather::{self, Planned};
use super::model::monday;
use crate::access::UserId;
use crate::heads::{self, HeadId, Step, Steps};
use crate::trim::around::head::AroundHead;
use crate::web::{AppState, WebError};

/// A head that is loaded.
pub struct LoadedHead {
    /// The first of its steps of the day.
    pub planned: Planned,
    /// Who has it.
    pub who: String,
    /// What the day's steps are called.
    pub steps: Vec<String>,
    /// What goes with it; `None` if its material is unknown.
    pub around: Option<AroundHead>,
}

/// What goes on the van.
#[derive(Default)]
pub struct Load {
    /// Heads that are not on the wall yet.
    pub heads: Vec<LoadedHead>,
    /// Heads on the wall already that are worked on: in words, with the step.
    pub hung: Vec<(HeadId, String, String)>,
    /// Tools, each once.
    pub tools: Vec<&'static str>,
}

/// Where the work on site begins: at *hung*, or in a firm that has no such
/// step at the last one done by hand.
fn on_the_wall(steps: &Steps) -> usize {
    let hung = steps
        .named("hung")
        .or_else(|| steps.iter().rfind(|s| s.by_hand));
    hung.and_then(|s| steps.place(s.id)).unwrap_or(usize::MAX)
}

/// Tools of every day on site, and of one step. Common practice, no source.
const EVERY_DAY: [&str; 6] = [
    "Tape, square, pencil, level",
    "Saw for trimming in place, spare blade, block plane",
    "Drill driver, bits, shims, clamps",
    "Cords with ground-fault protection",
    "Eye, ear and dust protection, first-aid kit",
    "Ladders or scaffold as the job’s checklist asks",
];
const OF_A_STEP: [(&str, &str); 6] = [
    (
        "hung",
        "Nailer or screws as the list says, straps to lift with",
    ),
    ("flashed", "Snips, bending pliers, membrane tape, roller"),
    ("caulked", "Caulking gun, backer rod, spatula"),
    (
        "primed",
        "Brushes, drop cloth, thermometer, the primer’s data sheet",
    ),
    (
        "painted",
        "Brushes, drop cloth, thermometer, the paint’s data sheet",
    ),
    ("cut ends sealed", "Brush and sealer for cut ends"),
];

fn tools(steps: &[&Step]) -> Vec<&'static str> {
    if steps.is_empty() {
        return Vec::new();
    }
    let own = OF_A_STEP
        .iter()
        .filter(|(name, _)| steps.iter().any(|step| step.name == *name))
        .map(|(_, tools)| *tools);
    EVERY_DAY.into_iter().chain(own).collect()
}

/// The van's load of a day, for one person or all.
///
/// # Errors
/// The database's.
pub async fn load(app: &AppState, day: NaiveDate, only: Option<UserId>) -> Result<Load, WebError> {
    let pool = app.db().read();
    let steps = heads::steps(pool).await?;
    let wall = on_the_wall(&steps);
    let week = gather::week(app, monday(day), only).await?;
    let mut load = Load::default();
    let mut used: Vec<&Step> = Vec::new();
    let mut seen: BTreeMap<HeadId, usize> = BTreeMap::new();
    for person in &week.crew {
        let Some(cell) = week.cells.get(&(person.id, day)) else {
            continue;
        };
        for planned in cell.planned.iter().filter(|p| !p.slot.done) {
            let place = steps.place(planned.slot.step).unwrap_or(0);
            if place < wall {
                continue;
            }
            used.extend(steps.get(planned.slot.step));
            let (id, step) = (planned.card.id, planned.slot.step_name.clone());
            if steps.place(planned.card.step).unwrap_or(0) >= wall {
                load.hung.push((id, words(planned), step));
            } else if let Some(one) = seen.get(&id).and_then(|n| load.heads.get_mut(*n)) {
                one.steps.push(step);
            } else {
                let head = heads::head(pool, id).await?;
                seen.insert(id, load.heads.len());
                load.heads.push(LoadedHead {
                    planned: planned.clone(),
                    who: person.name.clone(),
                    steps: vec![step],
                    around: heads::goes_with(app, &head).await?,
                });
            }
        }
    }
    load.tools = tools(&used);
    Ok(load)
}

/// Job, mark and name of a planned head.
#[must_use]
pub fn words(planned: &Planned) -> String {
    let place = &planned.card.place;
    format!("{} {} {}", place.job_code, place.mark, planned.card.name)
}
