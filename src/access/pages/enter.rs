//! Signing in.

use std::net::SocketAddr;
use std::sync::Arc;

use askama::Template;
use axum::Extension;
use axum::extract::{ConnectInfo, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::Response;
use serde::Deserialize;

use crate::db::audit;
use crate::web::{AppState, Errors, Fields, Form, Page, WebError, html, see_other};

use super::super::address::client_address;
use super::super::model::session_life;
use super::super::store::{self, Attempt};
use super::super::{Me, Role, Site, UserId, cookies, forms, tokens};
use super::{OpenPost, carry, open_form, with_visitor};

#[derive(Template)]
#[template(path = "access/sign_in.html")]
pub(super) struct SignIn {
    pub page: Page,
    pub form: Form,
    /// A form sent without a session, on its way through.
    pub carried: Vec<(String, String)>,
}

/// Where to go afterwards.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Next {
    next: String,
}

impl Next {
    pub(super) fn local(&self) -> &str {
        forms::next(&self.next)
    }
}

/// The sign-in form; whoever is signed in goes straight on.
pub async fn form(
    State(app): State<AppState>,
    me: Option<Extension<Me>>,
    Query(query): Query<Next>,
    headers: HeaderMap,
) -> Result<Response, WebError> {
    if me.is_some() {
        return Ok(see_other(query.local()));
    }
    let (form, visitor) = open_form(&app, &headers, "/sign-in")?;
    let form = form.filled(Fields::default().with("next", query.local()));
    let page = SignIn {
        page: Page::new("Sign in", Site::bare_chrome(&app)),
        form,
        carried: Vec::new(),
    };
    with_visitor(&app, visitor, StatusCode::OK, &page)
}

/// Takes name and password. The try is counted first and forgiven if right, so
/// that many at once cannot slip past the count.
pub async fn take(
    State(app): State<AppState>,
    Extension(site): Extension<Arc<Site>>,
    ConnectInfo(peer): ConnectInfo<SocketAddr>,
    headers: HeaderMap,
    post: OpenPost,
) -> Result<Response, WebError> {
    let account = forms::folded(post.fields.get("sign_in"));
    let address = client_address(peer.ip(), &headers, &app.rules().trusted_proxies);
    let attempt = count(&app, &account, &address.to_string()).await?;
    let known = store::credentials(app.db().read(), &account).await?;
    let stored = known.as_ref().map(|(_, hash, _)| hash.clone());
    let typed: String = post.fields.get("password").chars().take(1000).collect();
    let verdict = site.hasher.check(stored, typed.clone()).await?;
    let Some((id, _, role)) = known.filter(|_| verdict.right) else {
        let wrong = Errors::one(
            "",
            "This name and password do not belong together. Check both and try again.",
        );
        let page = SignIn {
            page: Page::new("Sign in", Site::bare_chrome(&app)),
            form: post.again("/sign-in").wrong(wrong),
            carried: carry::pack_of(&post.fields),
        };
        return html(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let rehash = if verdict.stale {
        Some(site.hasher.hash(typed).await?)
    } else {
        None
    };
    let old = cookies::session(&app, &headers);
    let token = begin_session(&app, (id, &agent_of(&headers)), &attempt, rehash, old).await?;
    go_on(&app, &post.fields, (role, &token))
}

async fn count(app: &AppState, account: &str, address: &str) -> Result<Attempt, WebError> {
    let mut tx = app.db().write().await?;
    match store::begin_attempt(&mut tx, account, address, app.now()).await? {
        Ok(attempt) => {
            tx.commit().await?;
            Ok(attempt)
        }
        Err(left) => Err(WebError::TooMany(left.as_secs().max(1))),
    }
}

async fn begin_session(
    app: &AppState,
    (id, agent): (UserId, &str),
    attempt: &Attempt,
    rehash: Option<String>,
    old: Option<String>,
) -> Result<String, WebError> {
    let token = tokens::fresh_token(app)?;
    let now = app.now();
    let mut tx = app.db().write().await?;
    store::forgive(&mut tx, attempt).await?;
    if let Some(old) = old {
        store::end_by_token(&mut tx, &tokens::sha(old.as_bytes())).await?;
    }
    if let Some(hash) = rehash {
        store::set_password(&mut tx, id, &hash).await?;
    }
    store::add_session(&mut tx, id, &tokens::sha(token.as_bytes()), agent, now).await?;
    let detail = serde_json::json!({});
    audit(
        &mut tx,
        now,
        Some(id.get()),
        "session.begun",
        ("person", Some(id.get())),
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(token)
}

/// What the browser calls itself, cut short and without control characters.
pub(super) fn agent_of(headers: &HeaderMap) -> String {
    headers
        .get(header::USER_AGENT)
        .and_then(|value| value.to_str().ok())
        .unwrap_or("unnamed")
        .chars()
        .filter(|c| !c.is_control())
        .take(120)
        .collect()
}

/// On to the page asked for, or to the form that was carried along.
pub(super) fn go_on(
    app: &AppState,
    fields: &Fields,
    (role, token): (Role, &str),
) -> Result<Response, WebError> {
    match carry::unpacked(app, fields, (role, token))? {
        Some(page) => Ok(page),
        None => Ok(signed_in(app, role, token, forms::next(fields.get("next")))),
    }
}

pub(super) fn signed_in(app: &AppState, role: Role, token: &str, to: &str) -> Response {
    let mut response = see_other(to);
    cookies::set_session(app, &mut response, token, session_life(role).1.as_secs());
    response
}
