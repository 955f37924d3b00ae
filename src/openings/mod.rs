//! Openings and how they were measured: what a head goes over.
//!
//! Two measures are kept, each as rows that are never changed; the last of each
//! counts. Findings ([`of_opening`], [`fit`]) are pure functions.

mod findings;
mod fit;
mod forms;
mod hooks;
mod lengths;
mod model;
mod pages;
mod seed;
mod sketch;
mod store;
mod surveys;

use crate::access::{Area, Kind, Need, Route, Thing};

pub use findings::{
    ACT, Compared, MIND, compare, of_measure, of_opening, other_diagonal, ready_to_order,
};
pub use fit::{FLASHING_ROOM, HeadExtent, fit};
pub use forms::{opening as opening_form, opening_fields};
pub use hooks::{HeadLine, HeadLines, OpeningHeads, OpeningPartFn, OpeningParts, job_part};
pub use lengths::say;
pub use model::{
    High, Lean, Mark, Measured, NewSurvey, Opening, OpeningFacts, OpeningId, OpeningKind, Pass,
    Survey, SurveyId, Surveyed,
};
pub use seed::seeded_openings;
pub use sketch::sketch;
pub use store::{add_opening, archive_opening, change_opening, opening, openings_of};
pub use surveys::forms::{SurveyChoices, survey as survey_form, survey_fields};
pub use surveys::store::{add_survey, last_surveys, surveys_of};

/// Openings and surveys.
#[must_use]
pub fn area() -> Area {
    let (read, write) = (Need::Read(Thing::Jobs), Need::Write(Thing::Jobs));
    Area {
        routes: vec![
            Route::get("/openings/new/{id}", write, pages::new).on("job"),
            Route::post("/openings/new/{id}", write, pages::add).on("job"),
            Route::get("/openings/{id}", read, pages::show).on("opening"),
            Route::get("/openings/{id}/edit", write, pages::edit).on("opening"),
            Route::post("/openings/{id}/edit", write, pages::save).on("opening"),
            Route::post("/openings/{id}/archive", write, pages::archive).on("opening"),
            Route::get("/openings/{id}/measure", write, surveys::pages::new).on("opening"),
            Route::post("/openings/{id}/measure", write, surveys::pages::add).on("opening"),
        ],
        kinds: vec![Kind {
            name: "opening",
            ties: hooks::opening_ties,
        }],
        seed: Some(seed::seed),
        ..Area::default()
    }
}

/// An opening as findings see it: its facts and the last measure of each pass.
///
/// # Errors
/// `Missing` if there is no such opening; the database's.
pub async fn surveyed(
    app: &crate::web::AppState,
    id: OpeningId,
) -> Result<(Opening, Surveyed), crate::db::StoreError> {
    let opening = opening(app.db().read(), id).await?;
    let surveys = surveys_of(app.db().read(), id).await?;
    let seen = opening.surveyed(&surveys);
    Ok((opening, seen))
}
