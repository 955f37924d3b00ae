//! What safety gives to the guard, to a job's page and to Today.

use askama::Template;

use super::site::{self, Heads};
use super::store::signed;
use crate::access::{BoxFuture, Me, Reach, Role, Thing, Ties, UserId};
use crate::db::StoreError;
use crate::heads;
use crate::jobs::{self, Job, JobId, JobPart, Missing, Shown};
use crate::web::{AppState, Fragment, ListQuery, TodayItem, TodayList, WebError};

/// A person's ties to a signed checklist are those to its job.
pub(super) fn checklist_ties(
    app: AppState,
    user: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let Some(job) = signed::job_of(pool, id).await? else {
            return Ok(None);
        };
        let own = jobs::leads_job(pool, user, job).await?.unwrap_or(false);
        let mine = (heads::jobs_assigned().0)(app.clone(), user).await?;
        Ok(Some(Ties {
            own,
            assigned: mine.contains(&JobId::new(job)),
        }))
    })
}

/// The live jobs whose safety this person may see.
pub(super) async fn jobs_of(app: &AppState, me: &Me) -> Result<Vec<Job>, WebError> {
    let reach = me.may_read(Thing::Safety);
    let shown = Shown {
        only: match reach {
            Reach::Assigned => Some((heads::jobs_assigned().0)(app.clone(), me.id).await?),
            Reach::None => Some(Vec::new()),
            Reach::Own | Reach::All => None,
        },
        led_by: (reach == Reach::Own).then_some(me.id),
        by_client: false,
    };
    Ok(jobs::jobs(app.db().read(), &ListQuery::default(), &shown).await?)
}

/// Whether work goes on at a job today: from its first day to its last, as far
/// as they are known.
#[must_use]
pub(super) fn is_on(app: &AppState, job: &Job) -> bool {
    let today = app.now().date(app.firm().zone);
    job.facts.first_day.is_some_and(|day| day <= today)
        && job.facts.last_day.is_none_or(|day| today <= day)
}

/// Checks to sign today, for whoever works on or leads a job that is on.
///
/// # Errors
/// The database's.
pub(super) async fn today(app: AppState, me: Me) -> Result<Vec<TodayList>, WebError> {
    if me.role == Role::Office {
        return Ok(Vec::new());
    }
    let mut items = Vec::new();
    for job in jobs_of(&app, &me).await? {
        if !is_on(&app, &job) {
            continue;
        }
        let safety = site::of_job(&app, job.id, Heads::None).await?;
        let (open, refused) = (safety.open().count(), safety.refused());
        if open == 0 {
            continue;
        }
        items.push(TodayItem {
            href: format!("/safety/jobs/{}", job.id),
            words: format!("{} {}", job.facts.code, job.facts.title),
            note: if refused > 0 {
                format!("{refused} answered no, {} to sign", open - refused)
            } else {
                format!("{open} to sign")
            },
            needs_hand: true,
        });
    }
    Ok(vec![TodayList {
        title: "Safety checks".into(),
        items,
        empty: String::new(),
    }])
}

#[derive(Template)]
#[template(path = "safety/of_job.html")]
struct OfJob {
    job: JobId,
    met: usize,
    open: Vec<String>,
}

/// Safety's part of a job's page.
pub fn job_part(app: AppState, me: Me, job: JobId) -> BoxFuture<Result<JobPart, WebError>> {
    Box::pin(async move {
        let reach = me.may_read(Thing::Safety);
        let leads = jobs::leads_job(app.db().read(), me.id, job.get()).await?;
        if reach == Reach::None || (reach == Reach::Own && leads != Some(true)) {
            return Ok(JobPart::default());
        }
        let safety = site::of_job(&app, job, Heads::None).await?;
        let open: Vec<String> = safety.open().map(|w| w.template.title.clone()).collect();
        let once = safety
            .open()
            .filter(|w| w.template.scope == super::model::Scope::Job);
        let missing = once.map(|w| {
            Missing::new(
                format!("Checklist not signed: {}.", w.template.title),
                format!("/safety/jobs/{job}"),
            )
        });
        Ok(JobPart {
            missing: missing.collect(),
            below: Fragment::of(&OfJob {
                job,
                met: safety.wanted.len() - open.len(),
                open,
            })?,
            ..JobPart::default()
        })
    })
}
