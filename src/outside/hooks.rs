//! What outside firms give to the guard and to a job's page.

use askama::Template;

use super::model::{OutsideId, Work, WorkId};
use super::store;
use crate::access::{BoxFuture, Me, Reach, Role, Thing, Ties, UserId};
use crate::db::StoreError;
use crate::jobs::{self, JobId, JobPart, Missing};
use crate::web::{AppState, Fragment, TodayItem, TodayList, WebError};

/// A firm belongs to no job: only who may change all of them may.
pub(super) fn firm_ties(
    app: AppState,
    _: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move {
        match store::firm(app.db().read(), OutsideId::new(id)).await {
            Ok(_) => Ok(Some(Ties::default())),
            Err(StoreError::Missing(_)) => Ok(None),
            Err(other) => Err(other),
        }
    })
}

/// A person's ties to a firm's part of a job are those to the job.
pub(super) fn work_ties(
    app: AppState,
    user: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let job = match store::work(pool, WorkId::new(id)).await {
            Ok(work) => work.job,
            Err(StoreError::Missing(_)) => return Ok(None),
            Err(other) => return Err(other),
        };
        let own = jobs::leads_job(pool, user, job.get()).await?;
        Ok(Some(Ties {
            own: own.unwrap_or(false),
            assigned: false,
        }))
    })
}

/// Firms on jobs without an insurance paper that covers their days: for the
/// owner, the office, and the foreman of the job.
///
/// # Errors
/// The database's.
pub(super) async fn today(app: AppState, me: Me) -> Result<Vec<TodayList>, WebError> {
    let led_by = match me.role {
        Role::Carpenter => return Ok(Vec::new()),
        Role::Foreman => Some(me.id),
        Role::Owner | Role::Office => None,
    };
    let today = app.now().date(app.firm().zone);
    let works = store::ahead(app.db().read(), today, led_by).await?;
    let items = works.into_iter().filter_map(|work| {
        Some(TodayItem {
            note: work.uninsured(today)?,
            href: format!("/outside/work/{}", work.id),
            words: format!("{} {}", work.job_code, work.name),
            needs_hand: true,
        })
    });
    Ok(vec![TodayList {
        title: "Insurance papers of outside firms".into(),
        items: items.collect(),
        empty: String::new(),
    }])
}

#[derive(Template)]
#[template(path = "outside/part.html")]
struct Part {
    job: JobId,
    /// Each with what is amiss with its insurance.
    works: Vec<(Work, Option<String>)>,
    may_write: bool,
}

/// Outside firms' part of a job's page. The crew sees who comes when and what
/// they do; how to reach them is for whoever changes the job.
pub fn job_part(app: AppState, me: Me, job: JobId) -> BoxFuture<Result<JobPart, WebError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let today = app.now().date(app.firm().zone);
        let may_write = match me.may_write(Thing::Jobs) {
            Reach::All => true,
            Reach::Own => jobs::leads_job(pool, me.id, job.get()).await? == Some(true),
            Reach::Assigned | Reach::None => false,
        };
        let works = store::of_job(pool, job).await?.into_iter();
        let works: Vec<(Work, Option<String>)> = works
            .map(|work| {
                let amiss = work.uninsured(today).filter(|_| may_write);
                (work, amiss)
            })
            .collect();
        if works.is_empty() && !may_write {
            return Ok(JobPart::default());
        }
        let missing = works.iter().filter_map(|(work, amiss)| {
            let amiss = amiss.as_ref()?;
            Some(Missing::new(
                format!("{}: {amiss}.", work.name),
                format!("/outside/work/{}", work.id),
            ))
        });
        Ok(JobPart {
            missing: missing.collect(),
            below: Fragment::of(&Part {
                job,
                may_write,
                works: works.clone(),
            })?,
            ..JobPart::default()
        })
    })
}
