//! The pictures themselves.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};

use super::super::files::{Which, place};
use super::super::model::PhotoId;
use super::super::store;
use crate::web::{AppState, WebError};

/// GET `/photos/{id}/whole.jpg`.
///
/// # Errors
/// `Missing`, the disk's.
pub async fn whole(
    State(app): State<AppState>,
    Path(id): Path<PhotoId>,
) -> Result<Response, WebError> {
    sent(&app, id, Which::Whole).await
}

/// GET `/photos/{id}/small.jpg`.
///
/// # Errors
/// `Missing`, the disk's.
pub async fn small(
    State(app): State<AppState>,
    Path(id): Path<PhotoId>,
) -> Result<Response, WebError> {
    sent(&app, id, Which::Small).await
}

/// Kept by the person's own browser only, and for a day: whoever no longer may
/// see a photo should not find it there for ever.
async fn sent(app: &AppState, id: PhotoId, which: Which) -> Result<Response, WebError> {
    let photo = store::photo(app.db().read(), id).await?;
    let bytes = tokio::fs::read(place(app, &photo.name, which))
        .await
        .map_err(|error| match error.kind() {
            std::io::ErrorKind::NotFound => WebError::Missing,
            _ => WebError::internal(format_args!("photo {id}: {error}")),
        })?;
    let heads = [
        (header::CONTENT_TYPE, "image/jpeg".to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("inline; filename=\"photo-{id}.jpg\""),
        ),
        (header::CACHE_CONTROL, "private, max-age=86400".to_owned()),
    ];
    Ok((heads, Body::from(bytes)).into_response())
}
