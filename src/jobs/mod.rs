//! Jobs: one piece of work at one address, and the page where everything of it
//! comes together.

mod forms;
mod hooks;
mod model;
mod pages;
mod seed;
mod store;

use crate::access::{Area, Kind, Nav, Need, Route, Thing};

pub use forms::{JobChoices, job as job_form, job_fields};
pub use hooks::{JobPart, JobParts, JobsAssigned, Missing, client_part};
pub use model::{Job, JobCode, JobFacts, JobId, LEAD_PAINT_YEAR};
pub use seed::{SeedDays, SeedHead, SeedJob, SeedOpening, SeedSurvey, seed_jobs, seeded_jobs};
pub use store::{Shown, add_job, archive_job, change_job, job, jobs, jobs_of, leads_job};

/// Jobs.
#[must_use]
pub fn area() -> Area {
    let (read, write) = (Need::Read(Thing::Jobs), Need::Write(Thing::Jobs));
    let make = Need::Write(Thing::Clients);
    Area {
        routes: vec![
            Route::get("/jobs", read, pages::list),
            // A job begins with a client, so whoever may write clients begins it.
            Route::get("/jobs/new", make, pages::new),
            Route::post("/jobs/new", make, pages::add),
            Route::get("/jobs/{id}", read, pages::show).on("job"),
            Route::get("/jobs/{id}/edit", write, pages::edit).on("job"),
            Route::post("/jobs/{id}/edit", write, pages::save).on("job"),
            Route::post("/jobs/{id}/archive", write, pages::archive).on("job"),
        ],
        kinds: vec![Kind {
            name: "job",
            ties: hooks::job_ties,
        }],
        nav: vec![Nav {
            href: "/jobs",
            word: "Jobs",
            need: read,
        }],
        today: None,
        keep: None,
        seed: Some(seed::seed),
    }
}
