//! Sections: the shelf of moulding sections, kept as curves; ripped, raked,
//! and taken by heads.

mod forms;
mod members;
mod model;
mod pages;
mod raking;
mod seed;
mod showing;
mod store;
mod typed;

use crate::access::{Area, Kind, Nav, Need, Route, Thing, Ties};
use crate::web::AppState;

pub use forms::{AS_IT_IS, Read, read};
pub use model::{Drawing, Entry, Event, Made as MadeOf, NewSection, SectionId, ShelfEntry, What};
pub use pages::raked::{given_choices, paper_choices};
pub use raking::{Asked, RakedFile, RakedPart, file};
pub use store::{add, archive, change, edition, events, present_edition, section, sections, shelf};
pub use typed::Typed;

/// Sections.
#[must_use]
pub fn area() -> Area {
    use pages::{form, list, one, raked, rip};
    let (read, write) = (Need::Read(Thing::Heads), Need::Write(Thing::Heads));
    Area {
        routes: vec![
            Route::get("/sections", read, list::page),
            Route::get("/sections/new", write, form::new),
            Route::post("/sections/new", write, form::create),
            Route::post("/sections/new/draw", write, form::draw_new),
            Route::get("/sections/{id}", read, one::page).on("section"),
            Route::get("/sections/{id}/edit", write, form::edit).on("section"),
            Route::post("/sections/{id}/edit", write, form::save).on("section"),
            Route::post("/sections/{id}/edit/draw", write, form::draw_old).on("section"),
            Route::post("/sections/{id}/archive", write, one::archive).on("section"),
            Route::get("/sections/{id}/section.pdf", read, one::pdf).on("section"),
            Route::get("/sections/{id}/section.svg", read, one::svg).on("section"),
            Route::get("/sections/{id}/section.dxf", read, one::dxf).on("section"),
            Route::get("/sections/{id}/rip", read, rip::page).on("section"),
            Route::post("/sections/{id}/rip", write, rip::keep).on("section"),
            Route::get("/sections/{id}/raked", read, raked::page).on("section"),
            Route::post("/sections/{id}/raked", write, raked::keep).on("section"),
            Route::get("/sections/{id}/raked.pdf", read, raked::pdf).on("section"),
            Route::get("/sections/{id}/raked.svg", read, raked::svg).on("section"),
            Route::get("/sections/{id}/raked.dxf", read, raked::dxf).on("section"),
        ],
        kinds: vec![Kind {
            name: "section",
            ties: |app: AppState, _, row| {
                // The shelf is the whole firm's: whoever draws or cuts uses it.
                Box::pin(async move {
                    let there = store::exists(app.db().read(), row).await?;
                    Ok(there.then_some(Ties {
                        own: true,
                        assigned: true,
                    }))
                })
            },
        }],
        nav: vec![Nav {
            href: "/sections",
            word: "Sections",
            need: read,
        }],
        keep: None,
        today: None,
        seed: Some(seed::seed),
    }
}
