//! Safety of every job, and of one: what is asked, what is signed, what is
//! known of the site.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::super::model::{Doubt, Incident, Lines, Reach as Way, Scope, Signed, Talk};
use super::super::rule::distance_to_keep_ft;
use super::super::site::{self, Heads, JobSafety, Wanted};
use super::super::{figures, forms, hooks, store};
use super::{may_write, under_job};
use crate::access::{Me, Post, Reach, Role, Start, Thing};
use crate::db::StoreError;
use crate::jobs::JobId;
use crate::web::{AppState, Choice, Form, Page, WebError, html, ok};

/// One job of the overview.
struct Line {
    id: JobId,
    code: String,
    title: String,
    on: bool,
    open: usize,
    refused: usize,
}

#[derive(Template)]
#[template(path = "safety/overview.html")]
struct Overview {
    page: Page,
    lines: Vec<Line>,
    owner: bool,
}

/// GET `/safety`.
///
/// # Errors
/// The database's.
pub async fn overview(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let mut lines = Vec::new();
    for job in hooks::jobs_of(&app, &me).await? {
        let safety = site::of_job(&app, job.id, Heads::None).await?;
        lines.push(Line {
            id: job.id,
            on: hooks::is_on(&app, &job),
            code: job.facts.code.to_string(),
            title: job.facts.title,
            refused: safety.refused(),
            open: safety.open().count(),
        });
    }
    lines.sort_by_key(|line| !line.on);
    ok(&Overview {
        page: me.page("Safety"),
        lines,
        owner: me.may_write(Thing::Firm) == Reach::All,
    })
}

/// A checklist as the job's page shows it.
struct Row {
    title: String,
    why: String,
    state: &'static str,
    class: &'static str,
    mark: &'static str,
    signed: Option<(i64, String)>,
    /// Where it is signed.
    sign: String,
}

/// Checklists under one heading.
struct Group {
    title: &'static str,
    rows: Vec<Row>,
}

#[derive(Template)]
#[template(path = "safety/job.html")]
struct JobPage {
    page: Page,
    job: JobId,
    groups: Vec<Group>,
    facts: Vec<(&'static str, String)>,
    talks: Vec<Talk>,
    incidents: Vec<Incident>,
    earlier: Vec<(i64, String, String)>,
    may_sign: bool,
    may_site: bool,
}

/// GET `/safety/jobs/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let safety = site::of_job(&app, id, Heads::All).await?;
    let pool = app.db().read();
    let zone = app.firm().zone;
    let mut incidents = store::site::incidents(pool, Some(id)).await?;
    if me.role == Role::Carpenter {
        // Who was hurt and how is for the office and the foreman.
        incidents.retain(|i| i.by_id == me.id.get());
    }
    let earlier = |s: &Signed| {
        let head = s.head.is_some();
        let words = if head {
            format!("{} (a head)", s.title)
        } else {
            s.title.clone()
        };
        (
            s.id.get(),
            words,
            format!("{}, {}", s.who, s.at.local(zone)),
        )
    };
    let view = JobPage {
        page: under_job(&app, &me, format!("Safety: {}", safety.job.facts.code), id).await?,
        job: id,
        groups: groups(&safety, zone),
        facts: facts(&safety),
        talks: store::site::talks(pool, id).await?,
        incidents,
        earlier: safety.signed.iter().take(60).map(earlier).collect(),
        may_sign: may_write(&app, &me, Thing::Safety, id).await?,
        may_site: may_write(&app, &me, Thing::Jobs, id).await?,
    };
    ok(&view)
}

fn groups(safety: &JobSafety, zone: chrono_tz::Tz) -> Vec<Group> {
    let of = |scope: Scope| {
        let rows = safety.wanted.iter().filter(|w| w.template.scope == scope);
        rows.map(|w| row(w, safety.job.id, zone))
            .collect::<Vec<_>>()
    };
    [
        ("Today", Scope::Day),
        ("For the job", Scope::Job),
        ("For each head", Scope::Head),
    ]
    .into_iter()
    .map(|(title, scope)| Group {
        title,
        rows: of(scope),
    })
    .filter(|group| !group.rows.is_empty())
    .collect()
}

fn row(w: &Wanted, job: JobId, zone: chrono_tz::Tz) -> Row {
    let (state, class, mark) = match &w.signed {
        Some(s) if s.clear => ("signed", "done", "✓"),
        Some(_) => ("answered no", "held", "✗"),
        None => ("to sign", "wait", "○"),
    };
    let head = w.head.as_ref();
    Row {
        title: match head {
            Some((_, name)) => format!("{}: {name}", w.template.title),
            None => w.template.title.clone(),
        },
        why: w.why.clone(),
        state,
        class,
        mark,
        signed: w
            .signed
            .as_ref()
            .map(|s| (s.id.get(), format!("{}, {}", s.who, s.at.local(zone)))),
        sign: format!(
            "/safety/jobs/{job}/sign/{}/{}",
            w.template.id,
            head.map_or(0, |(id, _)| id.get())
        ),
    }
}

/// What is known of the site, and the figures that follow.
fn facts(safety: &JobSafety) -> Vec<(&'static str, String)> {
    let (site, h) = (&safety.site, &safety.hazards);
    let up = site.work_height_ft;
    let mut all = vec![
        (
            "Built",
            site.year_built
                .map_or_else(|| "not known".to_owned(), |year| year.to_string()),
        ),
        (
            "Highest work",
            format!(
                "feet about {up:.0} ft up, by {}{}",
                h.reach.words(),
                if h.work_height.is_none() {
                    " (reckoned from the storeys: 10 ft each and 2 ft)"
                } else {
                    ""
                }
            ),
        ),
    ];
    if h.reach == Way::Ladder && up > 0.0 {
        let length = up + figures::LADDER_ABOVE_LANDING_FT;
        all.push((
            "Ladder",
            format!(
                "for a working length of {length:.0} ft the foot stands {:.1} ft out",
                figures::ladder_foot_out(length)
            ),
        ));
    }
    all.push(("Power lines", lines_words(safety)));
    all.push((
        "Siding that may hold asbestos",
        h.asbestos.words().to_owned(),
    ));
    if let Some(index) = h.heat_index_f {
        all.push(("Heat index expected", format!("{index} °F")));
    }
    all
}

fn lines_words(safety: &JobSafety) -> String {
    let h = &safety.hazards;
    if h.lines != Lines::There {
        return h.lines.words().to_owned();
    }
    let keep = distance_to_keep_ft(&safety.site).map_or_else(
        || "what the utility says".to_owned(),
        |ft| format!("{ft:.1} ft"),
    );
    let away = safety.site.line_distance_ft.map_or_else(
        || "distance not known".to_owned(),
        |ft| format!("{ft:.1} ft away"),
    );
    format!("{away}; keep {keep}")
}

#[derive(Template)]
#[template(path = "safety/site.html")]
struct SitePage {
    page: Page,
    form: Form,
    reach: Vec<Choice>,
    lines: Vec<Choice>,
    asbestos: Vec<Choice>,
}

async fn draw_site(app: &AppState, me: &Me, id: JobId, form: Form) -> Result<Response, WebError> {
    let choices = |all: Vec<(&str, &str)>| {
        all.into_iter()
            .map(|(code, words)| Choice::new(code, words))
            .collect()
    };
    let view = SitePage {
        page: under_job(app, me, "What is known of the site", id).await?,
        reach: choices(Way::ALL.iter().map(|c| (c.code(), c.words())).collect()),
        lines: choices(Lines::ALL.iter().map(|c| (c.code(), c.words())).collect()),
        asbestos: choices(Doubt::ALL.iter().map(|c| (c.code(), c.words())).collect()),
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/safety/jobs/{id}/site`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn site_form(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let (hazards, version) = store::site::hazards(app.db().read(), id).await?;
    let form = me.form(&app, format!("/safety/jobs/{id}/site"))?;
    let form = form
        .filled(forms::hazard_fields(&hazards))
        .at_version(version);
    draw_site(&app, &me, id, form).await
}

/// POST `/safety/jobs/{id}/site`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save_site(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/safety/jobs/{id}/site"));
    let hazards = match forms::hazards(&post.fields, app.firm().unit) {
        Ok(hazards) => hazards,
        Err(wrong) => return draw_site(&app, &me, id, again.wrong(wrong)).await,
    };
    let seen = post.version()?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::site::save_hazards(&mut work.tx, work.made, (id, seen), &hazards).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let (now, version) = store::site::hazards(app.db().read(), id).await?;
            let form = again.conflict(forms::hazard_fields(&now), version);
            return draw_site(&app, &me, id, form).await;
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("safety.site", "job", id.get(), json!({}))
        .await?;
    work.done(format!("/safety/jobs/{id}?saved")).await
}
