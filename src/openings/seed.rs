//! The demo's openings and their measures.

use std::collections::HashMap;

use crate::access::{self, BoxFuture, Made, UserId};
use crate::clients::{seed_day, seed_user};
use crate::db::Tx;
use crate::jobs::{JobId, SeedJob, SeedOpening, SeedSurvey, seed_jobs, seeded_jobs};
use crate::measure::{Length, Unit};
use crate::web::{AppState, WebError};

use super::model::{Mark, Measured, NewSurvey, OpeningFacts, OpeningId, OpeningKind, Pass};
use super::store;
use super::surveys::store::add_survey;

fn wrong(words: impl std::fmt::Display) -> WebError {
    WebError::internal(format_args!("seed-data: {words}"))
}

fn inches(text: &str) -> Result<Option<Length>, WebError> {
    Length::parse(text, Unit::Inch).map(Some).map_err(wrong)
}

/// Openings of the demo by job key and mark, found again.
///
/// # Errors
/// The database's.
pub async fn seeded_openings(
    app: &AppState,
) -> Result<HashMap<(String, String), OpeningId>, WebError> {
    let mut keys = HashMap::new();
    for (key, job) in seeded_jobs(app).await? {
        for opening in store::openings_of(app.db().read(), job, false).await? {
            keys.insert((key.clone(), opening.facts.mark.to_string()), opening.id);
        }
    }
    Ok(keys)
}

/// Puts openings and measures in.
pub(super) fn seed(app: AppState) -> BoxFuture<Result<(), WebError>> {
    Box::pin(async move {
        let people = access::people(app.db().read()).await?;
        let jobs = seeded_jobs(&app).await?;
        let mut tx = app.db().write().await?;
        for job in seed_jobs()? {
            let id = *jobs
                .get(&job.key)
                .ok_or_else(|| wrong(format_args!("no {}", job.key)))?;
            let by = seed_user(&people, &job.foreman)
                .ok_or_else(|| wrong(format_args!("no {}", job.foreman)))?;
            for opening in &job.openings {
                put_in(&app, &mut tx, (id, by), &job, opening).await?;
            }
        }
        Ok(tx.commit().await?)
    })
}

async fn put_in(
    app: &AppState,
    tx: &mut Tx,
    (job_id, by): (JobId, UserId),
    job: &SeedJob,
    opening: &SeedOpening,
) -> Result<(), WebError> {
    let made = Made {
        at: app.now(),
        by: Some(by),
    };
    let today = app.now().date(app.firm().zone);
    let id = store::add_opening(tx, made, job_id, &facts(opening)?).await?;
    let first = Some((Pass::First, job.measured.first, &opening.first));
    let second = opening
        .second
        .as_ref()
        .map(|s| (Pass::Second, job.measured.second, s));
    for (pass, day, numbers) in first.into_iter().chain(second) {
        let new = NewSurvey {
            pass,
            measured: measured(numbers)?,
            by,
            on: seed_day(today, day),
            note: String::new(),
        };
        add_survey(tx, made, id, &new).await?;
    }
    Ok(())
}

fn facts(opening: &SeedOpening) -> Result<OpeningFacts, WebError> {
    Ok(OpeningFacts {
        mark: Mark::parse(&opening.mark).map_err(wrong)?,
        kind: OpeningKind::from_code(&opening.kind)
            .ok_or_else(|| wrong(format_args!("no kind {}", opening.kind)))?,
        storey: opening.storey,
        sill_height: inches(&opening.sill_height)?,
        wall: opening.wall.clone(),
        siding: opening.siding.clone(),
        siding_depth: inches(&opening.siding_depth)?,
        clear_above: inches(&opening.clear_above)?,
        note: opening.note.clone(),
    })
}

fn measured(survey: &SeedSurvey) -> Result<Measured, WebError> {
    let [top, middle, bottom] = &survey.widths;
    let [left, centre, right] = &survey.heights;
    let [rising, falling] = &survey.diagonals;
    Ok(Measured {
        widths: [inches(top)?, inches(middle)?, inches(bottom)?],
        heights: [inches(left)?, inches(centre)?, inches(right)?],
        diagonals: [inches(rising)?, inches(falling)?],
        plumb: inches(&survey.out_of_plumb)?,
        level: inches(&survey.out_of_level)?,
        ..Measured::default()
    })
}
