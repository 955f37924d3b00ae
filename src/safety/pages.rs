//! The pages of safety.

pub mod incidents;
pub mod job;
pub mod lists;
pub mod sign;
pub mod talks;

use crate::access::{Me, Reach, Thing};
use crate::heads;
use crate::jobs::{self, JobId};
use crate::web::{AppState, Page, WebError};

/// Whether this person may change this thing of this job.
async fn may_write(app: &AppState, me: &Me, thing: Thing, job: JobId) -> Result<bool, WebError> {
    Ok(match me.may_write(thing) {
        Reach::All => true,
        Reach::None => false,
        Reach::Own => jobs::leads_job(app.db().read(), me.id, job.get()).await? == Some(true),
        Reach::Assigned => (heads::jobs_assigned().0)(app.clone(), me.id)
            .await?
            .contains(&job),
    })
}

/// A page under a job's safety.
async fn under_job(
    app: &AppState,
    me: &Me,
    title: impl Into<String>,
    job: JobId,
) -> Result<Page, WebError> {
    let job = jobs::job(app.db().read(), job).await?;
    let code = job.facts.code.to_string();
    Ok(me
        .page(title)
        .under("/safety", "Safety")
        .under(format!("/safety/jobs/{}", job.id), code.as_str())
        .titled("Job", format!("{code} · {}", job.facts.title))
        .titled("Site", job.facts.site_address))
}
