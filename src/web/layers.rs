//! What wraps every request: id, log line, security headers, error pages.

use std::sync::Arc;

use askama::Template;
use axum::extract::{MatchedPath, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::{AppState, Chrome, Fault, Page, html};

/// Who made the request, left on the response for the log.
#[derive(Debug, Clone, Copy)]
pub struct LogUser(pub i64);

#[derive(Template)]
#[template(path = "errors/error.html")]
struct ErrorPage {
    page: Page,
    words: String,
    reference: String,
    status: u16,
}

const CSP: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
    connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; \
    base-uri 'none'; object-src 'none'; frame-ancestors 'none'";

/// The outermost layer. Gives the request an id, runs it, draws the error page
/// where there is an error, sets the headers of every reply and writes one
/// line to the log: never a body, a cookie, an address with its values.
pub async fn dress(State(app): State<AppState>, request: Request, next: Next) -> Response {
    let begun = app.now();
    let id = app.random::<8>().map_or_else(
        |_| "none".to_owned(),
        |b| data_encoding::HEXLOWER.encode(&b),
    );
    let method = request.method().clone();
    let route = request
        .extensions()
        .get::<MatchedPath>()
        .map(|m| m.as_str().to_owned());
    let response = if method == Method::TRACE {
        StatusCode::METHOD_NOT_ALLOWED.into_response()
    } else {
        next.run(request).await
    };
    let fault = fault_of(&response);
    let mut response = match &fault {
        Some(fault) => error_page(&app, fault, &id, response),
        None => response,
    };
    set_headers(response.headers_mut(), &id, app.rules().tls);
    let user = response.extensions().get::<LogUser>().map(|u| u.0);
    log(
        &Line {
            id: &id,
            method: &method,
            route: route.as_deref(),
            status: response.status(),
            user,
        },
        app.now().since(begun).as_millis(),
        fault.as_deref(),
    );
    response
}

struct Line<'a> {
    id: &'a str,
    method: &'a Method,
    route: Option<&'a str>,
    status: StatusCode,
    user: Option<i64>,
}

fn log(line: &Line<'_>, millis: u128, fault: Option<&Fault>) {
    let (id, status, user) = (line.id, line.status.as_u16(), line.user);
    let method = line.method.as_str();
    let route = line.route.unwrap_or("-");
    match fault.and_then(|f| f.cause.as_deref()) {
        Some(cause) if line.status.is_server_error() => {
            tracing::error!(id, method, route, status, user, millis = %millis, cause, "request");
        }
        Some(cause) => {
            tracing::warn!(id, method, route, status, user, millis = %millis, cause, "request");
        }
        None => tracing::info!(id, method, route, status, user, millis = %millis, "request"),
    }
}

/// The fault a response carries; a bare error status of a library gets the usual words.
fn fault_of(response: &Response) -> Option<Arc<Fault>> {
    if let Some(fault) = response.extensions().get::<Arc<Fault>>() {
        return Some(Arc::clone(fault));
    }
    let drawn = response
        .headers()
        .get(header::CONTENT_TYPE)
        .is_some_and(|kind| kind.as_bytes().starts_with(b"text/html"));
    let status = response.status();
    let bad = status.is_client_error() || status.is_server_error();
    (bad && !drawn).then(|| Arc::new(Fault::plain(status)))
}

fn error_page(app: &AppState, fault: &Fault, id: &str, bare: Response) -> Response {
    let chrome = bare.extensions().get::<Arc<Chrome>>().map_or_else(
        || {
            Arc::new(Chrome {
                firm: app.firm().name.clone(),
                ..Chrome::default()
            })
        },
        Arc::clone,
    );
    let drawn = html(
        fault.status,
        &ErrorPage {
            page: Page::new(fault.title, chrome),
            words: fault.words.clone(),
            reference: id.to_owned(),
            status: fault.status.as_u16(),
        },
    );
    let mut response = match drawn {
        Ok(drawn) => drawn,
        Err(_) => return bare,
    };
    for name in [header::RETRY_AFTER, header::ALLOW, header::SET_COOKIE] {
        if let Some(value) = bare.headers().get(&name) {
            response.headers_mut().insert(name, value.clone());
        }
    }
    if let Some(user) = bare.extensions().get::<LogUser>() {
        response.extensions_mut().insert(*user);
    }
    response
}

fn set_headers(headers: &mut HeaderMap, id: &str, tls: bool) {
    let fixed: [(HeaderName, &'static str); 5] = [
        (header::CONTENT_SECURITY_POLICY, CSP),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
    ];
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if tls {
        let value = HeaderValue::from_static("max-age=31536000; includeSubDomains");
        headers.insert(header::STRICT_TRANSPORT_SECURITY, value);
    }
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    if let Ok(value) = HeaderValue::from_str(id) {
        headers.insert(HeaderName::from_static("x-request-id"), value);
    }
}
