//! Static files, inside the program, at addresses that change with their content.

use axum::extract::Path;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};

use super::WebError;

/// One embedded file.
#[derive(Debug)]
pub struct Asset {
    /// Its name in `static/`.
    pub name: &'static str,
    /// Fingerprint of its content, 16 hex digits.
    pub hash: &'static str,
    /// Its media type.
    pub kind: &'static str,
    /// Its content.
    pub bytes: &'static [u8],
}

const ASSETS: &[Asset] = include!(concat!(env!("OUT_DIR"), "/assets.rs"));

/// Every embedded file.
#[must_use]
pub const fn assets() -> &'static [Asset] {
    ASSETS
}

/// The address of a file, for templates: `/static/<hash>/<name>`.
#[must_use]
pub fn asset(name: &str) -> String {
    match ASSETS.iter().find(|a| a.name == name) {
        Some(found) => format!("/static/{}/{}", found.hash, found.name),
        None => format!("/static/missing/{name}"),
    }
}

/// Serves `/static/{hash}/{name}`: for ever under its own hash, nothing under another.
///
/// # Errors
/// `Missing` for an unknown name or an old hash.
pub async fn serve_asset(
    Path((hash, name)): Path<(String, String)>,
    headers: HeaderMap,
) -> Result<Response, WebError> {
    let found = ASSETS
        .iter()
        .find(|a| a.name == name && a.hash == hash)
        .ok_or(WebError::Missing)?;
    let tag = format!("\"{}\"", found.hash);
    let same = headers
        .get(header::IF_NONE_MATCH)
        .is_some_and(|held| held.as_bytes() == tag.as_bytes());
    let heads = [
        (header::CONTENT_TYPE, found.kind.to_owned()),
        (
            header::CACHE_CONTROL,
            "public, max-age=31536000, immutable".to_owned(),
        ),
        (header::ETAG, tag),
    ];
    Ok(if same {
        (StatusCode::NOT_MODIFIED, heads).into_response()
    } else {
        (heads, found.bytes).into_response()
    })
}
