//! What a day is expected to be, and the limits of glue and paint.

use axum::extract::State;
use axum::response::Response;
use serde_json::json;

use super::super::{forms, store};
use super::plan::again;
use crate::access::{Me, Post, Start};
use crate::heads;
use crate::web::{AppState, WebError};

/// POST `/crew/plan/weather`: what a day is expected to be.
///
/// # Errors
/// The database's.
pub async fn expect(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let new = match forms::weather(&post.fields, app.firm().unit.is_metric()) {
        Ok(new) => new,
        Err(wrong) => return again(&app, &me, &post, &wrong).await,
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let id = store::weather::add_weather(&mut work.tx, work.made, &new).await?;
            let detail = json!({ "day": new.day.to_string() });
            work.audit("plan.weather", "weather_day", id, detail)
                .await?;
            work.done(format!("/crew/plan?week={}&saved", new.day))
                .await
        }
    }
}

/// POST `/crew/plan/limit`: what a maker's data sheet asks of the day.
///
/// # Errors
/// The database's.
pub async fn limit(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let steps = heads::steps(app.db().read()).await?;
    let ids: Vec<_> = steps.iter().map(|step| step.id).collect();
    let new = match forms::limit(&post.fields, &ids, app.firm().unit.is_metric()) {
        Ok(new) => new,
        Err(wrong) => return again(&app, &me, &post, &wrong).await,
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let id = store::weather::add_limit(&mut work.tx, work.made, &new).await?;
            let detail = json!({ "name": new.name });
            work.audit("plan.limit", "weather_limit", id, detail)
                .await?;
            work.done("/crew/plan?saved").await
        }
    }
}

/// POST `/crew/plan/limit-end`: a limit no longer counts.
///
/// # Errors
/// `Missing`, the database's.
pub async fn end(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let id: i64 = post
        .fields
        .get("limit")
        .parse()
        .map_err(|_| WebError::Missing)?;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::weather::retire_limit(&mut work.tx, work.made, id).await?;
            work.audit("plan.limit-end", "weather_limit", id, json!({}))
                .await?;
            work.done("/crew/plan?saved").await
        }
    }
}
