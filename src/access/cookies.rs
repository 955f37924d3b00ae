//! The two cookies: the session's, and the one that binds the sign-in form.

use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::Response;
use cookie::{Cookie, SameSite};

use crate::web::AppState;

/// Over TLS the `__Host-` prefix binds a cookie to this very host. Browsers
/// keep such a cookie only over TLS, so plain http on the loopback goes without.
fn name(app: &AppState, short: &str) -> String {
    if app.rules().tls {
        format!("__Host-{short}")
    } else {
        short.to_owned()
    }
}

fn read(app: &AppState, headers: &HeaderMap, short: &str) -> Option<String> {
    let wanted = name(app, short);
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|line| line.to_str().ok())
        .flat_map(|line| Cookie::split_parse(line.to_owned()).flatten())
        .find(|cookie| cookie.name() == wanted)
        .map(|cookie| cookie.value().to_owned())
        .filter(|value| value.len() <= 64)
}

fn write(app: &AppState, response: &mut Response, short: &str, value: &str, seconds: Option<i64>) {
    let mut built = Cookie::build((name(app, short), value.to_owned()))
        .path("/")
        .http_only(true)
        .secure(app.rules().tls)
        .same_site(SameSite::Lax);
    if let Some(seconds) = seconds {
        built = built.max_age(cookie::time::Duration::seconds(seconds));
    }
    if let Ok(value) = HeaderValue::from_str(&built.build().to_string()) {
        response.headers_mut().append(header::SET_COOKIE, value);
    }
}

/// The session token sent.
pub fn session(app: &AppState, headers: &HeaderMap) -> Option<String> {
    read(app, headers, "s")
}

/// Gives the session token for `seconds`.
pub fn set_session(app: &AppState, response: &mut Response, token: &str, seconds: u64) {
    write(
        app,
        response,
        "s",
        token,
        Some(i64::try_from(seconds).unwrap_or(i64::MAX)),
    );
}

/// Takes the session token back.
pub fn clear_session(app: &AppState, response: &mut Response) {
    write(app, response, "s", "", Some(0));
}

/// The token that binds a form before sign-in.
pub fn visitor(app: &AppState, headers: &HeaderMap) -> Option<String> {
    read(app, headers, "v").filter(|value| value.len() >= 20)
}

/// Gives a token that binds a form before sign-in.
pub fn set_visitor(app: &AppState, response: &mut Response, token: &str) {
    write(app, response, "v", token, None);
}
