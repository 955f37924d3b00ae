//! The demo's jobs, and the visits made for them.

use std::collections::HashMap;

use serde::Deserialize;

use crate::access::{self, BoxFuture, Made};
use crate::clients::{
    self, VisitFacts, parse_time, seed_clients, seed_day, seed_user, seeded_clients,
};
use crate::web::{AppState, WebError};

use super::model::{JobCode, JobFacts, JobId};
use super::store;

/// One job of `seed-data/jobs.json`. Days count from today; people are named by
/// role and place, `foreman-1`.
#[derive(Debug, Clone, Deserialize)]
pub struct SeedJob {
    /// What the other files call it.
    pub key: String,
    client: String,
    /// Its code.
    pub code: String,
    title: String,
    site: String,
    access: String,
    site_contact: String,
    year_built: i64,
    historic: bool,
    zone: String,
    /// Who leads it and who measured.
    pub foreman: String,
    first_day: i64,
    last_day: i64,
    terms: String,
    note: String,
    /// When its openings were measured.
    pub measured: SeedDays,
    /// For the area that knows openings.
    pub openings: Vec<SeedOpening>,
}

/// Days of the two measures, from today.
#[derive(Debug, Clone, Copy, Deserialize)]
pub struct SeedDays {
    /// The first.
    pub first: i64,
    /// The second.
    pub second: i64,
}

/// One opening of the demo, lengths as typed.
#[derive(Debug, Clone, Deserialize)]
pub struct SeedOpening {
    /// Its mark.
    pub mark: String,
    /// Code of its kind.
    pub kind: String,
    /// Its storey.
    pub storey: i64,
    /// First measure.
    pub first: SeedSurvey,
    /// Second measure, if taken.
    pub second: Option<SeedSurvey>,
    /// What covers the wall.
    pub siding: String,
    /// How deep that is.
    pub siding_depth: String,
    /// Clear height above.
    pub clear_above: String,
    /// From the floor to the sill.
    pub sill_height: String,
    /// What the wall is.
    pub wall: String,
    /// What else to know.
    pub note: String,
    /// For the area that knows heads.
    pub heads: Vec<SeedHead>,
}

/// One measure of the demo, lengths as typed.
#[derive(Debug, Clone, Deserialize)]
pub struct SeedSurvey {
    /// Top, middle, bottom.
    pub widths: [String; 3],
    /// Left, middle, right.
    pub heights: [String; 3],
    /// Rising, falling.
    pub diagonals: [String; 2],
    /// Out of plumb.
    pub out_of_plumb: String,
    /// Out of level.
    pub out_of_level: String,
}

/// One head of the demo.
#[derive(Debug, Clone, Deserialize)]
pub struct SeedHead {
    /// Its name.
    pub name: String,
    /// The step it stands at.
    pub step: String,
    /// Its design in the command line's form.
    pub design: serde_json::Value,
    /// Who builds it, `carpenter-1`.
    pub carpenter: Option<String>,
}

const FILE: &str = include_str!("../../seed-data/jobs.json");

/// The file, parsed.
///
/// # Errors
/// It does not parse.
pub fn seed_jobs() -> Result<Vec<SeedJob>, WebError> {
    serde_json::from_str(FILE).map_err(|error| wrong(format_args!("jobs.json: {error}")))
}

fn wrong(words: impl std::fmt::Display) -> WebError {
    WebError::internal(format_args!("seed-data: {words}"))
}

/// Job keys of the demo and their rows, found again by code.
///
/// # Errors
/// The database's.
pub async fn seeded_jobs(app: &AppState) -> Result<HashMap<String, JobId>, WebError> {
    let mut keys = HashMap::new();
    for job in seed_jobs()? {
        if let Some(id) = store::job_of_code(app.db().read(), &job.code).await? {
            keys.insert(job.key, id);
        }
    }
    Ok(keys)
}

/// Puts jobs and visits in.
pub(super) fn seed(app: AppState) -> BoxFuture<Result<(), WebError>> {
    Box::pin(async move {
        let people = access::people(app.db().read()).await?;
        let today = app.now().date(app.firm().zone);
        let clients = seeded_clients(&app).await?;
        let client = |key: &str| {
            clients
                .get(key)
                .copied()
                .ok_or_else(|| wrong(format_args!("no client {key}")))
        };
        let made = Made {
            at: app.now(),
            by: seed_user(&people, "office-1"),
        };
        let mut tx = app.db().write().await?;
        let mut keys = HashMap::new();
        for job in seed_jobs()? {
            let facts = JobFacts {
                client: client(&job.client)?,
                code: JobCode::parse(&job.code).map_err(wrong)?,
                title: job.title,
                site_address: job.site,
                access: job.access,
                site_contact: job.site_contact,
                year_built: Some(job.year_built),
                historic: job.historic,
                zone: job.zone,
                foreman: seed_user(&people, &job.foreman),
                first_day: Some(seed_day(today, job.first_day)),
                last_day: Some(seed_day(today, job.last_day)),
                terms: job.terms,
                note: job.note,
            };
            keys.insert(job.key, store::add_job(&mut tx, made, &facts).await?);
        }
        for visit in seed_clients()?.visits {
            let job = visit
                .job
                .as_deref()
                .and_then(|key| keys.get(key))
                .map(|id| id.get());
            let facts = VisitFacts {
                job,
                goes: seed_user(&people, &visit.goes),
                day: seed_day(today, visit.day),
                time: Some(parse_time(&visit.time).map_err(wrong)?),
                purpose: visit.purpose,
                key_with: visit.key_with,
                access: visit.access,
                contact: visit.contact,
                outcome: visit.outcome,
            };
            clients::add_visit(&mut tx, made, client(&visit.client)?, &facts).await?;
        }
        Ok(tx.commit().await?)
    })
}
