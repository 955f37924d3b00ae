//! Heads: their design and drawing, cut sheet, steps and record.

mod changes;
mod demo;
mod dials;
mod forms;
mod gate;
mod kinds;
pub mod labels;
mod marks;
mod material;
mod measures;
mod model;
mod orders;
mod pages;
mod path_lines;
mod proportion;
mod reading;
mod rights;
mod room;
mod sheet;
mod shop;
mod showing;
mod slots;
mod steps;
mod store;
mod strip;
mod taken;
mod today;
mod typed;

use crate::access::{Area, BoxFuture, Kind, Nav, Need, Route, Thing, Ties, UserId};
use crate::db::StoreError;
use crate::jobs::JobsAssigned;
use crate::openings::OpeningHeads;
use crate::web::AppState;

pub use changes::{Decision, FateWord, Kept, NewChange, Touched, touched};
pub use dials::{Dialled, Dials};
pub use gate::{Gate, GateKind, Gates};
pub use kinds::{KINDS, kind};
pub use marks::{StepMark, step_mark};
pub use model::{
    Again, At, Card, Event, FORM_VERSION, Head, HeadId, HeadName, LateTick, LateTickId, NewHead,
    Place, Stage, Tick, Undoable, What,
};
pub use pages::around::goes_with;
pub use room::{HeadPartFn, HeadParts};
pub use shop::{Shop, findings, solved};
pub use showing::{Difference, differences, from_json};
pub use steps::{FirmStep, Illegal, Move, NewStep, Reason, Standing, Step, StepId, Steps, moved};
pub use store::{
    Filter, at,
    bench::{as_built, tick, ticks},
    changes::{decide, of_head as changes_of_head, record as record_changes},
    events,
    from_site::{SentTick, decide_late, last_from, take, undecided},
    head, is_assigned, list,
    moves::{MoveError, archive, assign, create, give, measure, redraw, step},
    of_job, of_opening,
    saws::shop as shop_settings,
    stages,
    step_list::{add_step, change_step, firm_steps, retire_step},
    steps,
    undo::{UNDO_FOR, make_again, to_make_again, undo, undoable},
};
pub use strip::job_part;
pub use typed::{Typed, field_at, to_json};

/// The kind of record that a head is, for the guard.
pub const HEAD: &str = "head";
/// The kind of record that a step of the firm's list is.
const STEP: &str = "step";

/// Heads, their sheets and their steps.
#[must_use]
pub fn area() -> Area {
    use pages::{
        around, bench, changes, design, firm_steps, gang, labels, list, one, raked, sheet, site,
        steps,
    };
    let (read, write) = (Need::Read(Thing::Heads), Need::Write(Thing::Heads));
    let (sheets, ticks) = (Need::Read(Thing::Sheets), Need::Write(Thing::Ticks));
    let settings = Need::Write(Thing::Firm);
    let moving = Need::Write(Thing::Steps);
    Area {
        routes: vec![
            Route::get("/heads", read, list::page),
            Route::get("/heads/steps", settings, firm_steps::list),
            Route::post("/heads/steps", settings, firm_steps::add),
            Route::get("/heads/steps/{id}", settings, firm_steps::edit).on(STEP),
            Route::post("/heads/steps/{id}", settings, firm_steps::save).on(STEP),
            Route::post("/heads/steps/{id}/retire", settings, firm_steps::retire).on(STEP),
            Route::get("/heads/gang", sheets, gang::page),
            Route::get("/heads/new/{opening}", write, design::new).about("opening", "opening"),
            Route::post("/heads/new/{opening}", write, design::create).about("opening", "opening"),
            Route::post("/heads/new/{opening}/draw", write, design::draw_new)
                .about("opening", "opening"),
            Route::get("/heads/{id}", read, one::page).on(HEAD),
            Route::get("/heads/{id}/design", write, design::edit).on(HEAD),
            Route::post("/heads/{id}/design", write, design::save).on(HEAD),
            Route::post("/heads/{id}/design/draw", write, design::draw_old).on(HEAD),
            Route::get("/heads/{id}/drawing.svg", read, sheet::drawing).on(HEAD),
            Route::get("/heads/{id}/raked", read, raked::page).on(HEAD),
            Route::get("/heads/{id}/raked.pdf", read, raked::pdf).on(HEAD),
            Route::get("/heads/{id}/raked.svg", read, raked::svg).on(HEAD),
            Route::get("/heads/{id}/raked.dxf", read, raked::dxf).on(HEAD),
            Route::get("/heads/{id}/sheet", sheets, sheet::page).on(HEAD),
            Route::get("/heads/{id}/labels", sheets, labels::form).on(HEAD),
            Route::get("/heads/{id}/labels.pdf", sheets, labels::file).on(HEAD),
            Route::get("/q/{code}", Need::SignedIn, labels::found),
            Route::get("/heads/{id}/sheet.json", sheets, sheet::json).on(HEAD),
            Route::post("/heads/{id}/tick", ticks, bench::tick).on(HEAD),
            Route::get("/heads/{id}/site", sheets, site::page).on(HEAD),
            Route::post("/heads/{id}/site/tick", ticks, site::take).on(HEAD),
            Route::post("/heads/{id}/late", write, site::decide).on(HEAD),
            Route::get("/heads/{id}/bench", ticks, bench::form).on(HEAD),
            Route::post("/heads/{id}/bench", ticks, bench::save).on(HEAD),
            Route::post("/heads/{id}/piece", ticks, changes::decide).on(HEAD),
            Route::get("/heads/{id}/around", sheets, around::page).on(HEAD),
            Route::post("/heads/{id}/around", write, around::save).on(HEAD),
            Route::get("/heads/materials", settings, around::usual),
            Route::post("/heads/materials", settings, around::save_usual),
            Route::post("/heads/{id}/assign", write, steps::assign).on(HEAD),
            Route::post("/heads/{id}/archive", write, steps::archive).on(HEAD),
            Route::post("/heads/{id}/step", moving, steps::step).on(HEAD),
            Route::post("/heads/{id}/undo", moving, steps::undo).on(HEAD),
            Route::post("/heads/{id}/again", moving, steps::again).on(HEAD),
        ],
        kinds: vec![
            Kind { name: HEAD, ties },
            Kind {
                name: STEP,
                ties: |app, _, id| {
                    Box::pin(async move {
                        let found = store::step_list::has_step(app.db().read(), id).await?;
                        Ok(found.then_some(Ties::default()))
                    })
                },
            },
        ],
        nav: vec![Nav {
            href: "/heads",
            word: "Heads",
            need: read,
        }],
        keep: Some(|app, me| Box::pin(site::kept(app, me))),
        today: Some(|app, me| Box::pin(today::lists(app, me))),
        seed: Some(|app| Box::pin(demo::seed(app))),
    }
}

/// Which jobs a person has heads on, for the guard of jobs.
#[must_use]
pub const fn jobs_assigned() -> JobsAssigned {
    JobsAssigned(strip::jobs_assigned)
}

/// What heads give to the pages and the guard of openings.
#[must_use]
pub const fn opening_heads() -> OpeningHeads {
    OpeningHeads {
        assigned: strip::openings_assigned,
        of_job: strip::lines_of_job,
        part: strip::opening_part,
    }
}

/// A person's ties to a head: its job's foreman owns it, whoever has a step
/// of it is assigned.
fn ties(app: AppState, user: UserId, row: i64) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move {
        let (pool, id) = (app.db().read(), HeadId::new(row));
        match store::foreman(pool, id).await {
            Err(StoreError::Missing(_)) => Ok(None),
            Err(other) => Err(other),
            Ok(foreman) => Ok(Some(Ties {
                own: foreman == Some(user.get()),
                assigned: is_assigned(pool, id, user.get()).await?,
            })),
        }
    })
}
