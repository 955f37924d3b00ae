//! Saws of the firm and of its people, and their test cuts.

mod forms;
mod model;
mod pages;
pub(super) mod seed;
mod store;
mod words;

use crate::access::{Kind, Need, Route, Thing, Ties};

pub use model::{Saw, SawFacts, SawId, TestCut, counting};
pub use store::{
    add_saw, add_test, archive_saw, change_saw, make_usual, saw, saw_of, saws, tests_of, usual_saw,
    work_at,
};

const SAW: &str = "saw";

/// The routes of saws. Everyone sees them; owner and foreman write them; who
/// works at one may choose it and write a test cut down.
pub(super) fn routes() -> Vec<Route> {
    let (read, write) = (Need::Read(Thing::Heads), Need::Write(Thing::Heads));
    vec![
        Route::get("/firm/saws", read, pages::list),
        Route::get("/firm/saws/new", write, pages::new),
        Route::post("/firm/saws/new", write, pages::add),
        Route::get("/firm/saws/{id}", read, pages::show).on(SAW),
        Route::get("/firm/saws/{id}/edit", write, pages::edit).on(SAW),
        Route::post("/firm/saws/{id}/edit", write, pages::save).on(SAW),
        Route::post("/firm/saws/{id}/archive", write, pages::archive).on(SAW),
        Route::post("/firm/saws/{id}/usual", write, pages::usual).on(SAW),
        Route::post("/firm/saws/{id}/test", Need::SignedIn, pages::test).on(SAW),
        Route::post("/firm/saws/{id}/mine", Need::SignedIn, pages::mine).on(SAW),
    ]
}

/// A saw hangs on no job: every foreman's right to write reaches it, and
/// every carpenter's to read.
pub(super) fn kind() -> Kind {
    Kind {
        name: SAW,
        ties: |app, _, id| {
            Box::pin(async move {
                match saw(app.db().read(), SawId::new(id)).await {
                    Ok(_) => Ok(Some(Ties {
                        own: true,
                        assigned: true,
                    })),
                    Err(crate::db::StoreError::Missing(_)) => Ok(None),
                    Err(error) => Err(error),
                }
            })
        },
    }
}
