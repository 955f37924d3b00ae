//! The starting set of checklists, laid down in an empty list; and the demo's
//! signatures, talks and a near miss.

use std::time::Duration;

use serde::Deserialize;

use super::model::{
    Answer, Answered, Doubt, Hazards, IncidentKind, Lines, NewChecklist, NewIncident, NewTalk,
    NewTemplate, Reach, Scope,
};
use super::{site, store};
use crate::access::{self, Made};
use crate::clients::seed_user;
use crate::db::Stamp;
use crate::heads;
use crate::jobs::{JobId, seed_jobs, seeded_jobs};
use crate::measure::{Length, Unit};
use crate::web::{AppState, WebError};

const LISTS: &str = include_str!("../../seed-data/checklists.json");
const DEMO: &str = include_str!("../../seed-data/safety.json");

#[derive(Deserialize)]
struct SeedList {
    topic: String,
    scope: String,
    title: String,
    /// Names of steps before which it must be signed.
    before: Vec<String>,
    source: String,
    asks: Vec<String>,
}

fn wrong(words: impl std::fmt::Display) -> WebError {
    WebError::internal(format_args!("seed-data: {words}"))
}

/// Lays the starting set down if the firm has no checklist at all.
///
/// # Errors
/// The file does not parse; the database's.
pub async fn lay_down(app: &AppState) -> Result<(), WebError> {
    if store::count_templates(app.db().read()).await? > 0 {
        return Ok(());
    }
    let lists: Vec<SeedList> =
        serde_json::from_str(LISTS).map_err(|e| wrong(format_args!("checklists.json: {e}")))?;
    let steps = heads::steps(app.db().read()).await?;
    let made = Made {
        at: app.now(),
        by: None,
    };
    let mut tx = app.db().write().await?;
    for list in lists {
        let named = list.before.iter().filter_map(|name| steps.named(name));
        let new = NewTemplate {
            title: list.title,
            scope: Scope::from_code(&list.scope).ok_or_else(|| wrong(&list.scope))?,
            asks: list.asks,
            source: list.source,
            before: named.map(|s| s.id).collect(),
        };
        store::add_template(&mut tx, made, Some(&list.topic), &new).await?;
    }
    Ok(tx.commit().await?)
}

#[derive(Deserialize)]
struct Demo {
    sites: Vec<DemoSite>,
    talks: Vec<DemoTalk>,
    incidents: Vec<DemoIncident>,
}

#[derive(Deserialize)]
struct DemoSite {
    job: String,
    reach: String,
    lines: String,
    line_distance: Option<String>,
    line_kv: Option<f64>,
    asbestos: String,
    heat_index_f: Option<i64>,
    /// Topics signed, daily ones for yesterday and today.
    signed: Vec<String>,
    /// Who signed.
    by: String,
}

#[derive(Deserialize)]
struct DemoTalk {
    job: String,
    days_ago: i64,
    by: String,
    topic: String,
    said: String,
    there: Vec<String>,
}

#[derive(Deserialize)]
struct DemoIncident {
    job: String,
    days_ago: i64,
    by: String,
    kind: String,
    what: String,
    changed: String,
}

/// Puts the demo's safety in.
///
/// # Errors
/// The file does not parse; the database's.
pub(super) async fn seed(app: AppState) -> Result<(), WebError> {
    let demo: Demo =
        serde_json::from_str(DEMO).map_err(|e| wrong(format_args!("safety.json: {e}")))?;
    let jobs = seeded_jobs(&app).await?;
    let row = |key: &str| jobs.get(key).copied().ok_or_else(|| wrong(key));
    for site in &demo.sites {
        put_site(&app, row(&site.job)?, site).await?;
    }
    let people = access::people(app.db().read()).await?;
    let day = |ago: i64| app.now().date(app.firm().zone) - chrono::Days::new(ago.unsigned_abs());
    let made = |by: &str, ago: i64| Made {
        at: Stamp::from_millis(app.now().millis() - ago * 24 * 3_600_000),
        by: seed_user(&people, by),
    };
    let mut tx = app.db().write().await?;
    for talk in demo.talks {
        let new = NewTalk {
            job: row(&talk.job)?,
            day: day(talk.days_ago),
            topic: talk.topic,
            said: talk.said,
            there: talk
                .there
                .iter()
                .filter_map(|key| seed_user(&people, key))
                .collect(),
            others: String::new(),
        };
        store::site::add_talk(&mut tx, made(&talk.by, talk.days_ago), &new).await?;
    }
    for incident in demo.incidents {
        let new = NewIncident {
            job: row(&incident.job)?,
            day: day(incident.days_ago),
            time: "about 10".into(),
            kind: IncidentKind::from_code(&incident.kind).ok_or_else(|| wrong(&incident.kind))?,
            what: incident.what,
            who: String::new(),
            care: String::new(),
            changed: incident.changed,
        };
        store::site::add_incident(&mut tx, made(&incident.by, incident.days_ago), &new).await?;
    }
    Ok(tx.commit().await?)
}

async fn put_site(app: &AppState, job: JobId, site: &DemoSite) -> Result<(), WebError> {
    let people = access::people(app.db().read()).await?;
    let leads = seed_jobs()?.into_iter().find(|j| j.key == site.job);
    let foreman = leads.and_then(|j| seed_user(&people, &j.foreman));
    let length = |text: &String| Length::parse(text, Unit::Inch).map_err(wrong);
    let hazards = Hazards {
        reach: Reach::from_code(&site.reach).ok_or_else(|| wrong(&site.reach))?,
        lines: Lines::from_code(&site.lines).ok_or_else(|| wrong(&site.lines))?,
        line_distance: site.line_distance.as_ref().map(length).transpose()?,
        line_kv: site.line_kv,
        asbestos: Doubt::from_code(&site.asbestos).ok_or_else(|| wrong(&site.asbestos))?,
        heat_index_f: site.heat_index_f,
        ..Hazards::default()
    };
    let by = seed_user(&people, &site.by);
    let hours_ago = |hours: u64| {
        Stamp::from_millis(
            app.now().millis() - Duration::from_secs(hours * 3600).as_millis() as i64,
        )
    };
    let mut tx = app.db().write().await?;
    let made = Made {
        at: hours_ago(24 * 8),
        by: foreman,
    };
    store::site::save_hazards(&mut tx, made, (job, 0), &hazards).await?;
    tx.commit().await?;
    let today = app.now().date(app.firm().zone);
    let wanted = site::of_job(app, job, site::Heads::All).await?.wanted;
    let mut tx = app.db().write().await?;
    for days_ago in [1_u64, 0] {
        for w in &wanted {
            let topic = w.template.topic.as_deref().unwrap_or("");
            let once = w.template.scope != Scope::Day && days_ago == 0;
            if once || !site.signed.iter().any(|t| t == topic) {
                continue;
            }
            let answers = w.template.asks.iter().map(|ask| Answered {
                ask: ask.clone(),
                answer: Answer::Yes.code().to_owned(),
                note: String::new(),
            });
            let new = NewChecklist {
                template: w.template.id,
                edition: w.template.edition,
                job,
                head: w.head.as_ref().map(|(id, _)| *id),
                day: today - chrono::Days::new(days_ago),
                answers: answers.collect(),
                note: String::new(),
            };
            let made = Made {
                at: hours_ago(days_ago * 24 + 1),
                by: by.or(foreman),
            };
            store::signed::sign(&mut tx, made, &new).await?;
        }
    }
    Ok(tx.commit().await?)
}
