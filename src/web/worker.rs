//! The script that keeps pages on a phone, and what makes the program
//! installable there. Both stand at the root: a worker governs what lies
//! below its own address.

use axum::http::header;
use axum::response::{IntoResponse as _, Response};

use super::{WebError, asset, assets};

const SOURCE: &str = "worker.js";

/// GET `/sw.js`: the worker, with the list of files that pages need.
///
/// # Errors
/// The file is not in the program.
pub async fn serve_worker() -> Result<Response, WebError> {
    let found = assets().iter().find(|a| a.name == SOURCE);
    let found = found.ok_or_else(|| WebError::internal("no worker.js"))?;
    let text = std::str::from_utf8(found.bytes).map_err(WebError::internal)?;
    let files: Vec<String> = assets()
        .iter()
        .filter(|a| a.name.ends_with(".css") || a.name.ends_with(".js") || a.name.ends_with(".svg"))
        .filter(|a| a.name != SOURCE)
        .map(|a| asset(a.name))
        .collect();
    let list = serde_json::to_string(&files).map_err(WebError::internal)?;
    let body = format!("\"use strict\";\nconst FILES = {list};\n{text}");
    let kind = (header::CONTENT_TYPE, "text/javascript; charset=utf-8");
    Ok(([kind], body).into_response())
}

/// GET `/manifest.webmanifest`: name, mark and colours on a home screen.
///
/// # Errors
/// None to speak of: the text is plain.
pub async fn serve_manifest() -> Result<Response, WebError> {
    let manifest = serde_json::json!({
        "name": "Headwright",
        "short_name": "Headwright",
        "description": "Cut sheets at the saw, with or without a signal.",
        "start_url": "/site",
        "scope": "/",
        "display": "standalone",
        "background_color": "#f7f3e9",
        "theme_color": "#f7f3e9",
        "icons": [{ "src": asset("icon.svg"), "sizes": "any", "type": "image/svg+xml" }],
    });
    let kind = (
        header::CONTENT_TYPE,
        "application/manifest+json; charset=utf-8",
    );
    Ok(([kind], manifest.to_string()).into_response())
}
