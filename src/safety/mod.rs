//! Safety: which checklists a job asks for, what was answered and signed, talks,
//! accidents and near misses.
//!
//! The rule that picks ([`for_job`], [`for_head`]) and the published figures
//! ([`figures`]) are pure. Nothing here replaces local code, the maker's data
//! sheet or licensed practice, and every page says so.

pub mod figures;
mod forms;
mod gate;
mod hooks;
mod model;
mod pages;
mod rule;
mod seed;
mod site;
mod store;

use crate::access::{Area, Kind, Nav, Need, Route, Thing, Ties};

pub use gate::SafetyGate;
pub use hooks::job_part;
pub use model::{
    Answer, Answered, ChecklistId, Doubt, Hazards, Incident, IncidentId, IncidentKind, Lines,
    NewChecklist, NewIncident, NewTalk, NewTemplate, Reach, Scope, Signed, Talk, TalkId, Template,
    TemplateId,
};
pub use rule::{Asked, HeadFacts, Site, distance_to_keep_ft, for_head, for_job};
pub use seed::lay_down;
pub use site::{Heads, JobSafety, Wanted, feet_up, head_facts, of_job};
pub use store::{
    add_template, change_template,
    signed::{checklist, of_job as signed_of, sign},
    site::{add_incident, add_talk, hazards, incidents, save_hazards, talks},
    templates,
};

/// Checklists, talks and incidents.
#[must_use]
pub fn area() -> Area {
    Area {
        routes: routes(),
        kinds: kinds(),
        nav: vec![Nav {
            href: "/safety",
            word: "Safety",
            need: Need::Read(Thing::Safety),
        }],
        today: Some(|app, me| Box::pin(hooks::today(app, me))),
        seed: Some(|app| Box::pin(seed::seed(app))),
        ..Area::default()
    }
}

fn routes() -> Vec<Route> {
    use pages::{incidents, job, lists, sign, talks};
    let (read, write) = (Need::Read(Thing::Safety), Need::Write(Thing::Safety));
    // What is known of a site is the foreman's, not the carpenter's, to change.
    let site = Need::Write(Thing::Jobs);
    let firm = Need::Write(Thing::Firm);
    let one = "/safety/jobs/{id}/sign/{template}/{head}";
    vec![
        Route::get("/safety", read, job::overview),
        Route::get("/safety/jobs/{id}", read, job::page).on("job"),
        Route::get("/safety/jobs/{id}/site", site, job::site_form).on("job"),
        Route::post("/safety/jobs/{id}/site", site, job::save_site).on("job"),
        Route::get(one, write, sign::form).on("job"),
        Route::post(one, write, sign::take).on("job"),
        Route::get("/safety/signed/{id}", read, sign::show).on("checklist"),
        Route::get("/safety/jobs/{id}/talk", write, talks::form).on("job"),
        Route::post("/safety/jobs/{id}/talk", write, talks::take).on("job"),
        Route::get("/safety/jobs/{id}/incident", write, incidents::form).on("job"),
        Route::post("/safety/jobs/{id}/incident", write, incidents::take).on("job"),
        Route::get("/safety/incidents", read, incidents::list),
        Route::get("/safety/lists", firm, lists::list),
        Route::get("/safety/lists/new", firm, lists::new),
        Route::post("/safety/lists/new", firm, lists::add),
        Route::get("/safety/lists/{id}", firm, lists::edit).on("checklist-template"),
        Route::post("/safety/lists/{id}", firm, lists::save).on("checklist-template"),
        Route::post("/safety/lists/{id}/archive", firm, lists::archive).on("checklist-template"),
    ]
}

fn kinds() -> Vec<Kind> {
    vec![
        Kind {
            name: "checklist",
            ties: hooks::checklist_ties,
        },
        Kind {
            name: "checklist-template",
            ties: |app, _, id| {
                Box::pin(async move {
                    let all = templates(app.db().read()).await?;
                    let found = all.iter().any(|t| t.id.get() == id);
                    Ok(found.then_some(Ties::default()))
                })
            },
        },
    ]
}
