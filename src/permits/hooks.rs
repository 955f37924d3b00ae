//! What permits give to the guard, to a job's page and to Today.

use askama::Template;

use super::model::{Permit, PermitId, PermitKind, PermitState};
use super::store;
use crate::access::{BoxFuture, Me, Reach, Role, Thing, Ties, UserId};
use crate::db::StoreError;
use crate::heads;
use crate::jobs::{self, JobId, JobPart, Missing};
use crate::web::{AppState, Fragment, TodayItem, TodayList, WebError};

/// A person's ties to a permit are those to its job.
pub(super) fn permit_ties(
    app: AppState,
    user: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let job = match store::permit(pool, PermitId::new(id)).await {
            Ok(permit) => permit.job,
            Err(StoreError::Missing(_)) => return Ok(None),
            Err(other) => return Err(other),
        };
        let own = jobs::leads_job(pool, user, job.get()).await?;
        let mine = (heads::jobs_assigned().0)(app.clone(), user).await?;
        Ok(Some(Ties {
            own: own.unwrap_or(false),
            assigned: mine.contains(&job),
        }))
    })
}

/// Whether this person may change the permits of this job.
pub(super) async fn may_write(app: &AppState, me: &Me, job: JobId) -> Result<bool, StoreError> {
    Ok(match me.may_write(Thing::Jobs) {
        Reach::All => true,
        Reach::Own => jobs::leads_job(app.db().read(), me.id, job.get()).await? == Some(true),
        Reach::Assigned | Reach::None => false,
    })
}

/// A permit as a line: where it stands, in words and a mark.
pub(super) struct Line {
    pub permit: Permit,
    pub class: &'static str,
    pub mark: &'static str,
    pub tag: &'static str,
    /// More than the tag says; empty if nothing.
    pub words: String,
}

pub(super) fn line(app: &AppState, permit: Permit) -> Line {
    let today = app.now().date(app.firm().zone);
    let (class, mark, tag, words) = match (permit.facts.lacks(today), permit.facts.ends_soon(today))
    {
        (Some(why), _) => ("held", "✗", "not in hand", why),
        (None, Some(last)) => ("wait", "!", "ends soon", format!("expires after {last}")),
        (None, None) if permit.facts.state == PermitState::Closed => {
            ("done", "✓", "closed", String::new())
        }
        (None, None) => {
            let last = permit.facts.expires_on;
            let words = last.map_or_else(String::new, |last| format!("holds until {last}"));
            ("done", "✓", "in hand", words)
        }
    };
    Line {
        permit,
        class,
        mark,
        tag,
        words,
    }
}

#[derive(Template)]
#[template(path = "permits/part.html")]
struct Part {
    job: JobId,
    lines: Vec<Line>,
    may_write: bool,
}

/// Permits' part of a job's page.
pub fn job_part(app: AppState, me: Me, id: JobId) -> BoxFuture<Result<JobPart, WebError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let job = jobs::job(pool, id).await?;
        let permits = store::of_job(pool, id, false).await?;
        let may_write = may_write(&app, &me, id).await?;
        let of_kind = |kind| permits.iter().any(|p| p.facts.kind == kind);
        let mut missing = Vec::new();
        if may_write && job.facts.historic && !of_kind(PermitKind::Certificate) {
            missing.push(Missing::new(
                "Historic, and no certificate is written down. Ask the authority whether one is needed.",
                format!("/permits/new/{id}"),
            ));
        }
        let lines: Vec<Line> = permits.into_iter().map(|p| line(&app, p)).collect();
        let open = lines.iter().filter(|l| may_write && l.class == "held");
        missing.extend(open.map(|l| {
            Missing::new(
                format!("{} is {}.", l.permit.facts.name(), l.words),
                format!("/permits/{}/edit", l.permit.id),
            )
        }));
        let part = Part {
            job: id,
            lines,
            may_write,
        };
        Ok(JobPart {
            missing,
            below: Fragment::of(&part)?,
            ..JobPart::default()
        })
    })
}

/// Permits that expire soon or have expired, and those refused: for the owner,
/// the office, and the foreman of the job.
///
/// # Errors
/// The database's.
pub(super) async fn today(app: AppState, me: Me) -> Result<Vec<TodayList>, WebError> {
    let led_by = match me.role {
        Role::Carpenter => return Ok(Vec::new()),
        Role::Foreman => Some(me.id),
        Role::Owner | Role::Office => None,
    };
    let permits = store::open(app.db().read(), led_by).await?;
    let lines = permits.into_iter().map(|p| line(&app, p));
    let items = lines.filter(|l| l.class != "done").map(|l| TodayItem {
        href: format!("/permits/job/{}", l.permit.job),
        words: format!("{} {}", l.permit.job_code, l.permit.facts.name()),
        needs_hand: l.class == "held",
        note: l.words,
    });
    Ok(vec![TodayList {
        title: "Permits to see to".into(),
        items: items.collect(),
        empty: String::new(),
    }])
}
