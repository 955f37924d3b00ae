//! What the crew gives to the guard, to a job's page and to Today.

use askama::Template;

use super::estimate::clock;
use super::model::monday;
use super::{gather, store};
use crate::access::{BoxFuture, Me, Reach, Role, Thing, Ties, UserId};
use crate::db::StoreError;
use crate::jobs::{self, JobId, JobPart};
use crate::web::{AppState, Fragment, TodayItem, TodayList, WebError};

/// A row of hours is a person's own if it is theirs, and a foreman's if it is
/// of a job that he leads.
pub(super) fn hours_ties(
    app: AppState,
    user: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let Some((whose, job)) = store::hours::whose(pool, id).await? else {
            return Ok(None);
        };
        let mine = whose == user.get();
        let leads = jobs::leads_job(pool, user, job).await?.unwrap_or(false);
        Ok(Some(Ties {
            own: leads || mine,
            assigned: mine,
        }))
    })
}

/// Notes for the person, today's plan, and what is late.
///
/// # Errors
/// The database's.
pub(super) async fn today(app: AppState, me: Me) -> Result<Vec<TodayList>, WebError> {
    let zone = app.firm().zone;
    let today = app.now().date(zone);
    let notes = store::notes::waiting(app.db().read(), me.id).await?;
    let notes = notes.into_iter().map(|note| TodayItem {
        href: format!("/crew/jobs/{}/notes", note.job),
        words: format!("{}: {}", note.from, note.words),
        note: note.head.map_or(note.code, |(_, name)| name),
        needs_hand: true,
    });
    let mut lists = vec![TodayList {
        title: "Notes for you".into(),
        items: notes.collect(),
        empty: String::new(),
    }];
    if me.role == Role::Office {
        return Ok(lists);
    }
    let only = (me.role == Role::Carpenter).then_some(me.id);
    let week = gather::week(&app, monday(today), only).await?;
    let item = |planned: &gather::Planned, note: String| TodayItem {
        href: format!("/heads/{}/sheet", planned.card.id),
        words: format!(
            "{} {} {}: {}",
            planned.card.place.job_code,
            planned.card.place.mark,
            planned.card.name,
            planned.slot.step_name
        ),
        note,
        needs_hand: !planned.lacks.is_empty(),
    };
    if let Some(user) = only {
        let mine = week.cells.get(&(user, today));
        let planned = mine.iter().flat_map(|cell| &cell.planned);
        let rows = planned.filter(|p| !p.slot.done).map(|p| {
            let lacks = p.lacks.first().cloned();
            item(p, lacks.unwrap_or_else(|| clock(p.minutes)))
        });
        let mut rows: Vec<TodayItem> = rows.collect();
        rows.extend((!rows.is_empty()).then(|| TodayItem {
            href: "/crew/load".into(),
            words: "Load list for the van".into(),
            note: String::new(),
            needs_hand: false,
        }));
        lists.push(TodayList {
            title: "Planned for you today".into(),
            items: rows,
            empty: String::new(),
        });
    }
    let late = week.late.iter();
    lists.push(TodayList {
        title: "Late: planned earlier and not done".into(),
        items: late
            .take(30)
            .map(|p| TodayItem {
                needs_hand: true,
                ..item(p, format!("planned {}", p.slot.day))
            })
            .collect(),
        empty: String::new(),
    });
    Ok(lists)
}

#[derive(Template)]
#[template(path = "crew/of_job.html")]
struct OfJob {
    job: JobId,
    notes: Vec<(String, String, String)>,
}

/// The crew's part of a job's page: its last notes.
pub fn job_part(app: AppState, me: Me, job: JobId) -> BoxFuture<Result<JobPart, WebError>> {
    Box::pin(async move {
        let leads = jobs::leads_job(app.db().read(), me.id, job.get()).await?;
        if me.may_read(Thing::Photos) == Reach::Own && leads != Some(true) {
            return Ok(JobPart::default());
        }
        let zone = app.firm().zone;
        let notes = store::notes::of_job(app.db().read(), job).await?;
        let line = |n: super::model::Note| {
            let to =
                n.to.map_or_else(String::new, |(_, name)| format!(" to {name}"));
            let head = n
                .head
                .map_or_else(String::new, |(_, name)| format!(", {name}"));
            (n.words, format!("{}{to}{head}", n.from), n.at.local(zone))
        };
        Ok(JobPart {
            below: Fragment::of(&OfJob {
                job,
                notes: notes.into_iter().take(3).map(line).collect(),
            })?,
            ..JobPart::default()
        })
    })
}
