//! Visits: before there is a job, or for one of the client's jobs.

pub mod forms;
mod pages;
pub mod store;

use crate::access::{Need, Route, Thing};

/// The routes of visits. A foreman writes those of own clients, jobs and days.
pub fn routes() -> Vec<Route> {
    let (read, write) = (Need::Read(Thing::Clients), Need::Write(Thing::Jobs));
    vec![
        Route::get("/clients/visits", read, pages::list),
        Route::get("/clients/{id}/visits/new", write, pages::new).on("client"),
        Route::post("/clients/{id}/visits/new", write, pages::add).on("client"),
        Route::get("/clients/visits/{id}", read, pages::show).on("visit"),
        Route::get("/clients/visits/{id}/edit", write, pages::edit).on("visit"),
        Route::post("/clients/visits/{id}/edit", write, pages::save).on("visit"),
        Route::post("/clients/visits/{id}/archive", write, pages::archive).on("visit"),
    ]
}
