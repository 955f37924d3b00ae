//! First calls.

pub mod forms;
mod pages;
pub mod store;

use crate::access::{Need, Route, Thing};

/// The routes of enquiries. A foreman sees those of own clients on the client's
/// page; the list is the office's.
pub fn routes() -> Vec<Route> {
    let (read, write) = (Need::Read(Thing::Clients), Need::Write(Thing::Clients));
    vec![
        Route::get("/clients/enquiries", write, pages::list),
        Route::get("/clients/enquiries/new", write, pages::new),
        Route::post("/clients/enquiries/new", write, pages::add),
        Route::get("/clients/enquiries/{id}", read, pages::show).on("enquiry"),
        Route::get("/clients/enquiries/{id}/edit", write, pages::edit).on("enquiry"),
        Route::post("/clients/enquiries/{id}/edit", write, pages::save).on("enquiry"),
        Route::post("/clients/enquiries/{id}/client", write, pages::make_client).on("enquiry"),
        Route::post("/clients/enquiries/{id}/archive", write, pages::archive).on("enquiry"),
    ]
}
