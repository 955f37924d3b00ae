//! The guard before every route: who is it, may they, is the record theirs.

use std::sync::Arc;

use axum::extract::{RawPathParams, Request, State};
use axum::http::{Method, Uri};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse as _, Response};
use axum::routing::MethodRouter;

use crate::web::{AppState, Chrome, LogUser, WebError, see_other};

use super::model::{ASKED_LIFE, TOUCH_EVERY};
use super::store::{self, Held};
use super::{Me, Need, Object, Reach, Route, Site, cookies, pages, tokens};

#[derive(Clone)]
struct Gate {
    app: AppState,
    site: Arc<Site>,
    need: Need,
    object: Option<Object>,
    fresh: bool,
}

/// The route's handler behind its guard.
pub fn guarded(app: &AppState, site: &Arc<Site>, route: Route) -> MethodRouter<AppState> {
    let gate = Gate {
        app: app.clone(),
        site: Arc::clone(site),
        need: route.need,
        object: route.object,
        fresh: route.fresh,
    };
    route.handler.layer(from_fn_with_state(gate, stand))
}

/// What the guard needs of a request: its body may not be held across a wait.
struct Asked {
    method: Method,
    uri: Uri,
}

async fn stand(
    State(gate): State<Gate>,
    params: RawPathParams,
    mut request: Request,
    next: Next,
) -> Response {
    let cookie = cookies::session(&gate.app, request.headers());
    let asked = Asked {
        method: request.method().clone(),
        uri: request.uri().clone(),
    };
    let held = match session(&gate.app, cookie).await {
        Ok(held) => held,
        Err(error) => return error.into_response(),
    };
    let Some((token, held)) = held else {
        if let Need::Anyone(_) = gate.need {
            return next.run(request).await;
        }
        return pages::sign_in_first(&gate.app, request).await;
    };
    let me = person(&gate, &token, &held, &asked.uri);
    let (chrome, user) = (Arc::clone(&me.chrome), LogUser(me.id.get()));
    let mut response = match admit(&gate, &me, &held, &params).await {
        Ok(Go::On) => {
            request.extensions_mut().insert(me);
            next.run(request).await
        }
        Ok(Go::AskAgain) if asked.method.is_safe() => {
            see_other(&format!("/sign-in/again?next={}", asked.uri.path()))
        }
        Ok(Go::AskAgain) => pages::again::ask_first(&gate.app, &me, request).await,
        Err(error) => error.into_response(),
    };
    response.extensions_mut().insert(chrome);
    response.extensions_mut().insert(user);
    response
}

/// The session of the request's cookie, if it is live.
async fn session(
    app: &AppState,
    cookie: Option<String>,
) -> Result<Option<(String, Held)>, WebError> {
    let Some(token) = cookie else { return Ok(None) };
    let sha = tokens::sha(token.as_bytes());
    let held = store::session_of(app.db().read(), &sha).await?;
    let now = app.now();
    Ok(held
        .filter(|held| held.session.is_live(held.role, now))
        .map(|held| (token, held)))
}

fn person(gate: &Gate, token: &str, held: &Held, uri: &Uri) -> Me {
    let chrome = chrome(&gate.app, &gate.site, (token, held), uri);
    Me {
        id: held.session.user,
        name: held.name.clone(),
        role: held.role,
        session: held.session.id,
        reach: gate.need.reach(held.role),
        csrf: chrome.csrf.clone(),
        chrome: Arc::new(chrome),
    }
}

fn chrome(app: &AppState, site: &Site, (token, held): (&str, &Held), uri: &Uri) -> Chrome {
    let saved = uri
        .query()
        .is_some_and(|q| q.split('&').any(|part| part == "saved"));
    Chrome {
        firm: app.firm().name.clone(),
        who: Some(held.name.clone()),
        role: held.role.word(),
        nav: site.nav(held.role, uri.path()),
        csrf: tokens::csrf_of(token),
        saved,
    }
}

/// An address that no route has: nothing here, with the navigation of whoever
/// is signed in.
pub async fn nowhere(app: AppState, site: Arc<Site>, request: Request) -> Response {
    let mut response = WebError::Missing.into_response();
    let cookie = cookies::session(&app, request.headers());
    if let Ok(Some((token, held))) = session(&app, cookie).await {
        let chrome = chrome(&app, &site, (&token, &held), request.uri());
        let user = LogUser(held.session.user.get());
        response.extensions_mut().insert(Arc::new(chrome));
        response.extensions_mut().insert(user);
    }
    response
}

/// Where an admitted request goes.
enum Go {
    On,
    /// The password was given too long ago.
    AskAgain,
}

async fn admit(gate: &Gate, me: &Me, held: &Held, params: &RawPathParams) -> Result<Go, WebError> {
    let app = &gate.app;
    let now = app.now();
    if let Some(seconds) = gate
        .site
        .limiter
        .count(me.session.get(), now, app.rules().per_minute)
    {
        return Err(WebError::TooMany(seconds));
    }
    if now.since(held.session.seen_at) >= TOUCH_EVERY {
        let mut tx = app.db().write().await?;
        store::touch_session(&mut tx, me.session, now).await?;
        tx.commit().await?;
    }
    if me.reach == Reach::None {
        return Err(WebError::Missing);
    }
    if let Some(object) = gate.object {
        check_object(gate, me, object, params).await?;
    }
    if gate.fresh && now.since(held.session.asked_at) >= ASKED_LIFE {
        return Ok(Go::AskAgain);
    }
    Ok(Go::On)
}

/// A record that is missing and one that is another's end in the same 404.
async fn check_object(
    gate: &Gate,
    me: &Me,
    object: Object,
    params: &RawPathParams,
) -> Result<(), WebError> {
    let kind = gate
        .site
        .kind(object.kind)
        .ok_or_else(|| WebError::internal(format_args!("no kind {}", object.kind)))?;
    let id = params
        .iter()
        .find(|(name, _)| *name == object.param)
        .and_then(|(_, value)| value.parse::<i64>().ok())
        .ok_or(WebError::Missing)?;
    let ties = (kind.ties)(gate.app.clone(), me.id, id)
        .await?
        .ok_or(WebError::Missing)?;
    if ties.within(me.reach) {
        Ok(())
    } else {
        Err(WebError::Missing)
    }
}
