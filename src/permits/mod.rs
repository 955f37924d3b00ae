//! Permits and historic-district certificates of a job: what is needed, what
//! was granted on which conditions, and until when it holds.
//!
//! What is not in hand keeps the job's lumber from being ordered and its heads
//! from the steps that ask for permits. Which permits a job needs is for the
//! authority to say; nothing here decides it.

mod forms;
mod gate;
mod hooks;
mod model;
mod pages;
mod seed;
mod store;

use crate::access::{Area, Kind, Need, Route, Thing};

pub use gate::{PermitGate, before_order};
pub use hooks::job_part;
pub use model::{Permit, PermitFacts, PermitId, PermitKind, PermitState, SOON};
pub use store::{add_permit, of_job, permit};

/// Permits.
#[must_use]
pub fn area() -> Area {
    let (read, write) = (Need::Read(Thing::Jobs), Need::Write(Thing::Jobs));
    Area {
        routes: vec![
            Route::get("/permits/job/{id}", read, pages::of_job).on("job"),
            Route::get("/permits/new/{id}", write, pages::new).on("job"),
            Route::post("/permits/new/{id}", write, pages::add).on("job"),
            Route::get("/permits/{id}/edit", write, pages::edit).on("permit"),
            Route::post("/permits/{id}/edit", write, pages::save).on("permit"),
            Route::post("/permits/{id}/archive", write, pages::archive).on("permit"),
        ],
        kinds: vec![Kind {
            name: "permit",
            ties: hooks::permit_ties,
        }],
        today: Some(|app, me| Box::pin(hooks::today(app, me))),
        seed: Some(|app| Box::pin(seed::seed(app))),
        ..Area::default()
    }
}
