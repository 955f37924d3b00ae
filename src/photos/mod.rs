//! Photos of openings and heads: before the work, the wall before it is
//! closed, the finished head.
//!
//! A picture that comes in is decoded, turned, shrunk and made anew as a JPEG
//! ([`develop`]), so that nothing of the sent file is kept but what it shows.
//! The files lie in the data folder's `photos`, where the backup takes them.

mod develop;
mod files;
mod forms;
mod gate;
mod hooks;
mod model;
mod pages;
mod seed;
mod store;

use crate::access::{Area, Kind, Need, Route, Thing};

pub use develop::{LONGEST, MOST_BYTES, Print, Refused, develop};
pub use files::Darkroom;
pub use gate::PhotoGate;
pub use hooks::{head_part, job_part, opening_part};
pub use model::{Arranged, NewPhoto, Photo, PhotoFacts, PhotoId, PhotoKind, arranged};
pub use store::{add_photo, photo, photos_of_opening};

/// A form with a photo: the photo and a little for the fields beside it.
const FORM: usize = MOST_BYTES + 64 * 1024;

/// Photos.
#[must_use]
pub fn area() -> Area {
    use pages::{file, gallery, one, take};
    let (read, write) = (Need::Read(Thing::Photos), Need::Write(Thing::Photos));
    Area {
        routes: vec![
            Route::get("/photos/job/{id}", read, gallery::of_job).on("job"),
            Route::get("/photos/opening/{id}", read, gallery::of_opening).on("opening"),
            Route::post("/photos/opening/{id}", write, take::of_opening)
                .on("opening")
                .up_to(FORM),
            Route::get("/photos/head/{id}", read, gallery::of_head).on("head"),
            Route::post("/photos/head/{id}", write, take::of_head)
                .on("head")
                .up_to(FORM),
            Route::get("/photos/{id}", read, one::page).on("photo"),
            Route::post("/photos/{id}", write, one::save).on("photo"),
            Route::post("/photos/{id}/archive", write, one::archive).on("photo"),
            Route::get("/photos/{id}/whole.jpg", read, file::whole).on("photo"),
            Route::get("/photos/{id}/small.jpg", read, file::small).on("photo"),
        ],
        kinds: vec![Kind {
            name: "photo",
            ties: hooks::photo_ties,
        }],
        seed: Some(|app| Box::pin(seed::seed(app))),
        ..Area::default()
    }
}
