//! Outside firms: painters, scaffolders, sheet-metal people. Their dates on a
//! job, until when they are insured, and a private link to just their part.

mod forms;
mod hooks;
mod model;
mod pages;
mod seed;
mod store;

use crate::access::{Area, Kind, Nav, Need, Route, Thing};

pub use hooks::job_part;
pub use model::{LINK_DAYS, Outside, OutsideFacts, OutsideId, Trade, Work, WorkFacts, WorkId};
pub use store::{add_firm, add_work, of_job, work};

/// Outside firms.
#[must_use]
pub fn area() -> Area {
    use pages::{firms, link, work};
    let people = Need::Write(Thing::Clients);
    let write = Need::Write(Thing::Jobs);
    let open = Need::Anyone("a private link is the key; it shows one firm's part of one job");
    let (firm, part) = ("outside firm", "outside work");
    Area {
        routes: vec![
            Route::get("/outside", people, firms::list),
            Route::get("/outside/new", people, firms::new),
            Route::post("/outside/new", people, firms::add),
            Route::get("/outside/{id}", people, firms::edit).on(firm),
            Route::post("/outside/{id}", people, firms::save).on(firm),
            Route::post("/outside/{id}/archive", people, firms::archive).on(firm),
            Route::get("/outside/job/{id}", write, work::new).on("job"),
            Route::post("/outside/job/{id}", write, work::add).on("job"),
            Route::get("/outside/work/{id}", write, work::edit).on(part),
            Route::post("/outside/work/{id}", write, work::save).on(part),
            Route::post("/outside/work/{id}/archive", write, work::archive).on(part),
            Route::post("/outside/work/{id}/link", write, link::make).on(part),
            Route::post("/outside/work/{id}/revoke", write, link::revoke).on(part),
            Route::get("/work/{token}", open, link::show),
        ],
        kinds: vec![
            Kind {
                name: firm,
                ties: hooks::firm_ties,
            },
            Kind {
                name: part,
                ties: hooks::work_ties,
            },
        ],
        nav: vec![Nav {
            href: "/outside",
            word: "Outside firms",
            need: people,
        }],
        today: Some(|app, me| Box::pin(hooks::today(app, me))),
        seed: Some(|app| Box::pin(seed::seed(app))),
        ..Area::default()
    }
}
