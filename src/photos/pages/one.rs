//! One photo: large, what is said of it, putting it away.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::super::model::{Photo, PhotoId};
use super::super::{forms, store};
use super::gallery::{About, befores};
use crate::access::{Me, Post, Start};
use crate::db::StoreError;
use crate::web::{AppState, Choice, Form, Page, WebError, html};

#[derive(Template)]
#[template(path = "photos/one.html")]
struct One {
    page: Page,
    photo: Photo,
    when: String,
    form: Form,
    away: Form,
    kinds: Vec<Choice>,
    beside: Vec<Choice>,
}

async fn about(app: &AppState, photo: &Photo) -> Result<About, WebError> {
    match &photo.head {
        Some((head, _)) => About::head(app, *head).await,
        None => About::opening(app, photo.opening).await,
    }
}

/// The photos that this one may stand beside.
async fn others(app: &AppState, me: &Me, photo: &Photo) -> Result<Vec<Photo>, WebError> {
    let mut before = befores(&about(app, photo).await?.photos(app, me).await?);
    before.retain(|p| p.id != photo.id);
    Ok(before)
}

async fn draw(app: &AppState, me: &Me, photo: Photo, form: Form) -> Result<Response, WebError> {
    let zone = app.firm().zone;
    let about = about(app, &photo).await?;
    let before = others(app, me, &photo).await?;
    let page = about
        .page(me, photo.facts.kind.words())
        .under(about.address(), "Photos")
        .titled("Opening", &photo.mark)
        .titled("Taken in", photo.at.local(zone));
    let view = One {
        page,
        when: photo.at.local(zone),
        away: me
            .form(app, format!("/photos/{}/archive", photo.id))?
            .at_version(photo.version),
        kinds: forms::kinds(),
        beside: forms::beside(&before, zone),
        photo,
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/photos/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<PhotoId>,
) -> Result<Response, WebError> {
    let photo = store::photo(app.db().read(), id).await?;
    let form = me
        .form(&app, format!("/photos/{id}"))?
        .filled(forms::fields(&photo.facts))
        .at_version(photo.version);
    draw(&app, &me, photo, form).await
}

/// POST `/photos/{id}`: what is said of it.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<PhotoId>,
    post: Post,
) -> Result<Response, WebError> {
    let photo = store::photo(app.db().read(), id).await?;
    let again = post.again(format!("/photos/{id}"));
    let facts = match forms::facts(&post.fields, &others(&app, &me, &photo).await?) {
        Ok(facts) => facts,
        Err(wrong) => return draw(&app, &me, photo, again.wrong(wrong)).await,
    };
    let seen = post.version()?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_photo(&mut work.tx, (id, seen), &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::photo(app.db().read(), id).await?;
            let form = again.conflict(forms::fields(&now.facts), now.version);
            return draw(&app, &me, now, form).await;
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("photo.changed", "photo", id.get(), json!({}))
        .await?;
    work.done(format!("/photos/{id}?saved")).await
}

/// POST `/photos/{id}/archive`.
///
/// # Errors
/// `Stale`, the database's.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<PhotoId>,
    post: Post,
) -> Result<Response, WebError> {
    let (seen, away) = (post.version()?, post.away());
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::archive_photo(&mut work.tx, work.made, (id, seen), away).await?;
            let to = format!("/photos/{id}?saved");
            work.filed(("photo", "photo", id.get()), away, to).await
        }
    }
}
