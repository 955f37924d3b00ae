//! The photos of a head, an opening or a whole job, and the form that takes
//! one in.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;

use super::super::hooks::{of_head as seen_of_head, seen_by};
use super::super::model::{Arranged, Photo, PhotoKind, arranged};
use super::super::{forms, store};
use crate::access::{Me, Reach, Thing};
use crate::heads::{self, HeadId};
use crate::jobs::{self, JobId};
use crate::openings::{self, OpeningId};
use crate::web::{AppState, Choice, Fields, Form, Page, WebError, html, ok};

/// What a page of photos is about.
#[derive(Debug, Clone)]
pub(super) struct About {
    pub job: JobId,
    pub job_code: String,
    pub opening: OpeningId,
    pub mark: String,
    pub head: Option<(HeadId, String)>,
}

impl About {
    pub(super) async fn opening(app: &AppState, id: OpeningId) -> Result<Self, WebError> {
        let pool = app.db().read();
        let opening = openings::opening(pool, id).await?;
        let job = jobs::job(pool, opening.job).await?;
        Ok(Self {
            job: job.id,
            job_code: job.facts.code.to_string(),
            opening: id,
            mark: opening.facts.mark.to_string(),
            head: None,
        })
    }

    pub(super) async fn head(app: &AppState, id: HeadId) -> Result<Self, WebError> {
        let card = heads::head(app.db().read(), id).await?.card;
        Ok(Self {
            job: JobId::new(card.place.job),
            job_code: card.place.job_code,
            opening: OpeningId::new(card.place.opening),
            mark: card.place.mark,
            head: Some((id, card.name)),
        })
    }

    /// Where its photos are shown and sent.
    pub(super) fn address(&self) -> String {
        match &self.head {
            Some((id, _)) => format!("/photos/head/{id}"),
            None => format!("/photos/opening/{}", self.opening),
        }
    }

    /// A page under the job, the opening and the head.
    pub(super) fn page(&self, me: &Me, title: impl Into<String>) -> Page {
        let page = me
            .page(title)
            .under(format!("/jobs/{}", self.job), self.job_code.as_str())
            .under(format!("/openings/{}", self.opening), self.mark.as_str());
        match &self.head {
            Some((id, name)) => page.under(format!("/heads/{id}"), name.as_str()),
            None => page,
        }
    }

    /// Its live photos that this person may see, the newest first.
    pub(super) async fn photos(&self, app: &AppState, me: &Me) -> Result<Vec<Photo>, WebError> {
        match &self.head {
            Some((id, _)) => seen_of_head(app, me, (*id, self.opening, self.job)).await,
            None => {
                let all = store::photos_of_opening(app.db().read(), self.opening, false).await?;
                seen_by(app, me, self.job, all).await
            }
        }
    }
}

/// Those before the work.
pub(super) fn befores(photos: &[Photo]) -> Vec<Photo> {
    let before = |p: &&Photo| p.facts.kind == PhotoKind::Before;
    photos.iter().filter(before).cloned().collect()
}

#[derive(Template)]
#[template(path = "photos/of.html")]
struct Of {
    page: Page,
    photos: Arranged,
    away: Vec<(String, String)>,
    form: Option<Form>,
    kinds: Vec<Choice>,
    beside: Vec<Choice>,
}

/// Draws the page of one opening or head, with its form as it stands.
pub(super) async fn draw(
    app: &AppState,
    me: &Me,
    about: &About,
    form: Form,
) -> Result<Response, WebError> {
    let photos = about.photos(app, me).await?;
    let pool = app.db().read();
    let away = store::photos_of_opening(pool, about.opening, true).await?;
    let mut away = seen_by(app, me, about.job, away).await?;
    if let Some((id, _)) = &about.head {
        away.retain(|p| p.head.as_ref().is_some_and(|(head, _)| head == id));
    }
    let name = about.head.as_ref().map_or(about.mark.as_str(), |(_, n)| n);
    let status = form.status();
    let view = Of {
        page: about.page(me, format!("Photos of {name}")),
        beside: forms::beside(&befores(&photos), app.firm().zone),
        photos: arranged(photos),
        away: away
            .iter()
            .map(|p| (format!("/photos/{}", p.id), p.words()))
            .collect(),
        form: may_add(app, me, about).await?.then_some(form),
        kinds: forms::kinds(),
    };
    html(status, &view)
}

async fn may_add(app: &AppState, me: &Me, about: &About) -> Result<bool, WebError> {
    Ok(match me.may_write(Thing::Photos) {
        Reach::All | Reach::Assigned => true,
        Reach::Own => jobs::leads_job(app.db().read(), me.id, about.job.get()).await? == Some(true),
        Reach::None => false,
    })
}

/// A fresh form: finished work beside the newest photo before it.
async fn fresh(app: &AppState, me: &Me, about: &About) -> Result<Form, WebError> {
    let before = befores(&about.photos(app, me).await?);
    let kind = if before.is_empty() {
        PhotoKind::Before
    } else {
        PhotoKind::After
    };
    let fields = Fields::default()
        .with("kind", kind.code())
        .with_some("beside", before.first().map(|p| p.id));
    Ok(me.form(app, about.address())?.filled(fields))
}

/// GET `/photos/opening/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn of_opening(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OpeningId>,
) -> Result<Response, WebError> {
    let about = About::opening(&app, id).await?;
    let form = fresh(&app, &me, &about).await?;
    draw(&app, &me, &about, form).await
}

/// GET `/photos/head/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn of_head(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
) -> Result<Response, WebError> {
    let about = About::head(&app, id).await?;
    let form = fresh(&app, &me, &about).await?;
    draw(&app, &me, &about, form).await
}

#[derive(Template)]
#[template(path = "photos/job.html")]
struct OfJob {
    page: Page,
    /// Opening, its mark, its photos.
    groups: Vec<(OpeningId, String, Arranged)>,
}

/// GET `/photos/job/{id}`: every photo of a job, opening by opening.
///
/// # Errors
/// `Missing`, the database's.
pub async fn of_job(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let job = jobs::job(pool, id).await?;
    let photos = store::photos_of_job(pool, id).await?;
    let photos = seen_by(&app, &me, id, photos).await?;
    let groups = photos.chunk_by(|a, b| a.opening == b.opening);
    let groups = groups.filter_map(|group| {
        let first = group.first()?;
        Some((first.opening, first.mark.clone(), arranged(group.to_vec())))
    });
    let page = me
        .page("Photos")
        .under("/jobs", "Jobs")
        .under(format!("/jobs/{id}"), job.facts.code.as_str());
    ok(&OfJob {
        page,
        groups: groups.collect(),
    })
}
