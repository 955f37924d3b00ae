//! Giving the password once more before a weighty change, and signing out.

use std::net::SocketAddr;
use std::sync::Arc;

use askama::Template;
use axum::Extension;
use axum::extract::{ConnectInfo, Query, Request, State};
use axum::http::{HeaderName, HeaderValue, StatusCode};
use axum::response::{IntoResponse as _, Response};

use crate::db::audit;
use crate::web::{AppState, Errors, Fields, Form, Page, WebError, html, ok, see_other};

use super::super::{Me, Post, Site, cookies, store, tokens};
use super::carry;
use super::enter::{Next, go_on};

#[derive(Template)]
#[template(path = "access/again.html")]
struct Again {
    page: Page,
    form: Form,
    carried: Vec<(String, String)>,
}

const TITLE: &str = "Your password, once more";

/// A weighty form sent too long after the password: it is carried along.
pub async fn ask_first(app: &AppState, me: &Me, request: Request) -> Response {
    let fields = match carry::packed(request).await {
        Ok(packed) => packed,
        Err(refused) => return refused,
    };
    let drawn = me.form(app, "/sign-in/again").and_then(|form| {
        let carried = carry::pack_of(&fields);
        let page = Again {
            page: me.page(TITLE),
            form: form.filled(fields),
            carried,
        };
        html(StatusCode::UNAUTHORIZED, &page)
    });
    drawn.unwrap_or_else(WebError::into_response)
}

/// Asks the password.
pub async fn form(
    State(app): State<AppState>,
    me: Me,
    Query(query): Query<Next>,
) -> Result<Response, WebError> {
    let form = me.form(&app, "/sign-in/again")?;
    let form = form.filled(Fields::default().with("next", query.local()));
    ok(&Again {
        page: me.page(TITLE),
        form,
        carried: Vec::new(),
    })
}

/// Takes it: the session gets a new token and fifteen minutes.
pub async fn take(
    State(app): State<AppState>,
    Extension(site): Extension<Arc<Site>>,
    ConnectInfo(peer): ConnectInfo<SocketAddr>,
    me: Me,
    post: Post,
) -> Result<Response, WebError> {
    let person = store::person(app.db().read(), me.id).await?;
    let mut tx = app.db().write().await?;
    let counted =
        store::begin_attempt(&mut tx, &person.sign_in, &peer.ip().to_string(), app.now()).await?;
    let attempt = counted.map_err(|left| WebError::TooMany(left.as_secs().max(1)))?;
    tx.commit().await?;
    let stored = store::hash_of(app.db().read(), me.id).await?;
    let typed: String = post.fields.get("password").chars().take(1000).collect();
    if !site.hasher.check(stored, typed).await?.right {
        let form = post.again("/sign-in/again");
        let form = form.wrong(Errors::one(
            "password",
            "This is not your password. Try again.",
        ));
        let carried = carry::pack_of(&post.fields);
        let page = Again {
            page: me.page(TITLE),
            form,
            carried,
        };
        return html(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    let token = tokens::fresh_token(&app)?;
    let mut tx = app.db().write().await?;
    store::forgive(&mut tx, &attempt).await?;
    store::asked_again(
        &mut tx,
        me.session,
        &tokens::sha(token.as_bytes()),
        app.now(),
    )
    .await?;
    tx.commit().await?;
    go_on(&app, &post.fields, (me.role, &token))
}

/// Whether the posted `old_password` is the person's own; counted like a sign-in.
///
/// # Errors
/// Too many tries; the database's.
pub async fn is_own_password(
    app: &AppState,
    site: &Site,
    me: &Me,
    post: &Post,
) -> Result<bool, WebError> {
    let person = store::person(app.db().read(), me.id).await?;
    let mut tx = app.db().write().await?;
    // The session stands for the address: this device is known.
    let address = format!("session {}", me.session);
    let counted = store::begin_attempt(&mut tx, &person.sign_in, &address, app.now()).await?;
    let attempt = counted.map_err(|left| WebError::TooMany(left.as_secs().max(1)))?;
    tx.commit().await?;
    let stored = store::hash_of(app.db().read(), me.id).await?;
    let typed: String = post.fields.get("old_password").chars().take(1000).collect();
    let right = site.hasher.check(stored, typed).await?.right;
    if right {
        let mut tx = app.db().write().await?;
        store::forgive(&mut tx, &attempt).await?;
        tx.commit().await?;
    }
    Ok(right)
}

/// Ends this device's session and wipes what the browser kept.
pub async fn sign_out(
    State(app): State<AppState>,
    me: Me,
    _post: Post,
) -> Result<Response, WebError> {
    let mut tx = app.db().write().await?;
    match store::end_session(&mut tx, me.id, me.session).await {
        Ok(()) | Err(crate::db::StoreError::Missing(_)) => {}
        Err(error) => return Err(error.into()),
    }
    let thing = ("person", Some(me.id.get()));
    audit(
        &mut tx,
        app.now(),
        Some(me.id.get()),
        "session.ended",
        thing,
        &serde_json::json!({}),
    )
    .await?;
    tx.commit().await?;
    let mut response = see_other("/sign-in");
    cookies::clear_session(&app, &mut response);
    response.headers_mut().insert(
        HeaderName::from_static("clear-site-data"),
        HeaderValue::from_static("\"cache\", \"storage\""),
    );
    Ok(response)
}
