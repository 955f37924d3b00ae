//! Joins every area's routes into one program.
//!
//! Adding an area: one line in `lib.rs`, one line in [`areas`].

mod help;
pub mod seed;
pub mod serve;
mod today;

use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, Request};
use axum::http::header;
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse as _, Response};
use axum::{Extension, Router};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::csrf::CsrfLayer;
use tower_http::timeout::TimeoutLayer;

use crate::access::{self, Area, Nav, Need, Route, Site, guarded};
use crate::web::{self, AppState, Hooks, WebError};
use crate::{
    calendar, clients, crew, firm, heads, jobs, openings, orders, outside, permits, photos, safety,
    sections, site, stock,
};

/// Every area, in the order in which they may use one another.
#[must_use]
pub fn areas() -> Vec<Area> {
    vec![
        own(),
        access::area(),
        clients::area(),
        jobs::area(),
        openings::area(),
        sections::area(),
        heads::area(),
        stock::area(),
        orders::area(),
        site::area(),
        crew::area(),
        safety::area(),
        photos::area(),
        permits::area(),
        outside::area(),
        calendar::area(),
        firm::area(),
    ]
}

/// What belongs to no area: Today, help, static files, health.
fn own() -> Area {
    Area {
        routes: vec![
            Route::get("/", Need::SignedIn, today::page),
            Route::get("/help", Need::SignedIn, help::page),
            Route::get(
                "/health",
                Need::Anyone("says only that the program runs"),
                health,
            ),
            Route::get(
                "/sw.js",
                Need::Anyone("script that keeps pages on a phone, no data"),
                web::serve_worker,
            ),
            Route::get(
                "/manifest.webmanifest",
                Need::Anyone("the program's name and mark, no data"),
                web::serve_manifest,
            ),
            Route::get(
                "/static/{hash}/{name}",
                Need::Anyone("style and script, no data"),
                web::serve_asset,
            ),
        ],
        nav: vec![Nav {
            href: "/",
            word: "Today",
            need: Need::SignedIn,
        }],
        ..Area::default()
    }
}

async fn health() -> &'static str {
    "ok\n"
}

/// What later areas do for earlier ones.
fn hooks() -> Hooks {
    Hooks::default()
        .with(clients::ClientParts(vec![jobs::client_part]))
        .with(jobs::JobParts(vec![
            heads::job_part,
            openings::job_part,
            safety::job_part,
            photos::job_part,
            permits::job_part,
            outside::job_part,
            crew::job_part,
        ]))
        .with(orders::Desk::default())
        .with(heads::jobs_assigned())
        .with(heads::opening_heads())
        .with(heads::Gates::new(vec![
            Arc::new(safety::SafetyGate),
            Arc::new(photos::PhotoGate),
            Arc::new(permits::PermitGate),
            Arc::new(crew::PatternGate),
        ]))
        .with(openings::OpeningParts(vec![photos::opening_part]))
        .with(heads::HeadParts(vec![photos::head_part]))
        .with(photos::Darkroom::default())
        .with(access::Knocks::default())
        .with(orders::BeforeOrder(vec![permits::before_order]))
        .with(keepers())
}

/// What each area lets a phone keep.
fn keepers() -> site::Keepers {
    site::Keepers(areas().into_iter().filter_map(|area| area.keep).collect())
}

/// The whole route table: what the router, the guards and the tests are made from.
#[must_use]
pub fn routes() -> Vec<Route> {
    areas().into_iter().flat_map(|area| area.routes).collect()
}

/// Two megabytes: any form of ours with every field full.
const BODY: usize = 2 * 1024 * 1024;

/// The program's one router, and what its guards share.
///
/// # Errors
/// The hashing rules are out of range.
pub fn router(app: AppState) -> Result<(Router, Arc<Site>), WebError> {
    app.set_hooks(hooks());
    let mut router = Router::new();
    let (mut kinds, mut nav, mut rows) = (Vec::new(), Vec::new(), Vec::new());
    for area in areas() {
        kinds.extend(area.kinds);
        nav.extend(area.nav);
        rows.extend(area.routes);
    }
    let site = Site::new(&app, kinds, nav)?;
    for route in rows {
        router = router.route(route.path, guarded(&app, &site, route));
    }
    let limit = app.rules().request_limit;
    let lost = (app.clone(), Arc::clone(&site));
    let router = router
        .fallback(move |request: Request| {
            access::nowhere(lost.0.clone(), Arc::clone(&lost.1), request)
        })
        .layer(CatchPanicLayer::custom(panicked))
        .layer(DefaultBodyLimit::max(BODY))
        .layer(CsrfLayer::new())
        .layer(from_fn(no_headerless_posts))
        .layer(TimeoutLayer::with_status_code(
            axum::http::StatusCode::GATEWAY_TIMEOUT,
            limit,
        ))
        .layer(Extension(Arc::clone(&site)))
        .layer(from_fn_with_state(app.clone(), web::dress))
        .layer(CompressionLayer::new())
        .with_state(app);
    Ok((router, site))
}

/// A panic is a fault of ours: its page is a 500, the program lives on.
fn panicked(cause: Box<dyn std::any::Any + Send>) -> Response {
    let words = cause
        .downcast_ref::<&str>()
        .map(ToString::to_string)
        .or_else(|| cause.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "panic".to_owned());
    WebError::internal(format_args!("panic: {words}")).into_response()
}

/// The cross-site layer passes requests that carry neither header; every
/// browser that can show our pages sends at least one with a form.
async fn no_headerless_posts(request: Request, next: Next) -> Response {
    let headers = request.headers();
    let bare = !headers.contains_key(header::ORIGIN) && !headers.contains_key("sec-fetch-site");
    if bare && !request.method().is_safe() {
        return WebError::Forged("neither Origin nor Sec-Fetch-Site").into_response();
    }
    next.run(request).await
}
