//! A photo sent in.

use std::time::Duration;

use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::super::develop::Refused;
use super::super::model::NewPhoto;
use super::super::{files, forms, store};
use super::gallery::{About, befores, draw};
use crate::access::{FilePost, Me, Post, Start};
use crate::db::Stamp;
use crate::heads::HeadId;
use crate::openings::OpeningId;
use crate::web::{AppState, Errors, WebError};

/// POST `/photos/opening/{id}`.
///
/// # Errors
/// `Missing`, `TooMany`, `Busy`, the database's and the disk's.
pub async fn of_opening(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OpeningId>,
    sent: FilePost,
) -> Result<Response, WebError> {
    let about = About::opening(&app, id).await?;
    take(&app, &me, &about, sent).await
}

/// POST `/photos/head/{id}`.
///
/// # Errors
/// `Missing`, `TooMany`, `Busy`, the database's and the disk's.
pub async fn of_head(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    sent: FilePost,
) -> Result<Response, WebError> {
    let about = About::head(&app, id).await?;
    take(&app, &me, &about, sent).await
}

/// Photos that one person may send within an hour.
const AN_HOUR: i64 = 30;
const HOUR: Duration = Duration::from_secs(3600);

async fn not_too_many(app: &AppState, me: &Me) -> Result<(), WebError> {
    let now = app.now();
    let span = i64::try_from(HOUR.as_millis()).unwrap_or(i64::MAX);
    let since = now.millis().saturating_sub(span);
    let (count, first) = store::sent_since(app.db().read(), me.id, since).await?;
    if count < AN_HOUR {
        return Ok(());
    }
    let first = Stamp::from_millis(first.unwrap_or(since));
    let left = HOUR.saturating_sub(now.since(first)).as_secs();
    Err(WebError::TooMany(left.max(1)))
}

async fn take(
    app: &AppState,
    me: &Me,
    about: &About,
    FilePost { post, mut files }: FilePost,
) -> Result<Response, WebError> {
    if let Some(reply) = post.earlier(app, me).await? {
        return Ok(reply);
    }
    let before = befores(&about.photos(app, me).await?);
    let again = || post.again(about.address());
    let facts = match forms::facts(&post.fields, &before) {
        Ok(facts) => facts,
        Err(wrong) => return draw(app, me, about, again().wrong(wrong)).await,
    };
    not_too_many(app, me).await?;
    let file = files.iter().position(|file| file.field == "photo");
    let bytes = file
        .map(|at| files.swap_remove(at).bytes)
        .unwrap_or_default();
    let print = if bytes.is_empty() {
        Err(Refused::Empty)
    } else {
        files::made(app, bytes).await?
    };
    let print = match print {
        Ok(print) => print,
        Err(why) => {
            let wrong = Errors::one("photo", why.to_string());
            return draw(app, me, about, again().wrong(wrong)).await;
        }
    };
    let new = NewPhoto {
        opening: about.opening,
        head: about.head.as_ref().map(|(id, _)| *id),
        facts,
        name: files::fresh_name(app)?,
        size: print.size,
    };
    let kept = match files::keep(app, &new.name, print).await {
        Ok(()) => add(app, me, (&post, about), &new).await,
        Err(error) => Err(error),
    };
    match kept {
        Ok((reply, true)) => Ok(reply),
        Ok((reply, false)) => {
            files::discard(app, &new.name).await;
            Ok(reply)
        }
        Err(error) => {
            files::discard(app, &new.name).await;
            Err(error)
        }
    }
}

/// Writes the row; whether it was the first time.
async fn add(
    app: &AppState,
    me: &Me,
    (post, about): (&Post, &About),
    new: &NewPhoto,
) -> Result<(Response, bool), WebError> {
    let mut work = match post.begin(app, me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok((reply, false)),
    };
    let id = store::add_photo(&mut work.tx, work.made, new).await?;
    let detail = json!({ "kind": new.facts.kind.code() });
    work.audit("photo.added", "photo", id.get(), detail).await?;
    let reply = work.done(format!("{}?saved", about.address())).await?;
    Ok((reply, true))
}
