//! One person, as the owner sees them: role, devices, shut out or let in.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;

use crate::access::{self, Me, Person, Post, SessionId, Start, UserId, Work};
use crate::db::StoreError;
use crate::web::{AppState, Choice, Form, Page, WebError, html};

use super::super::forms;
use super::{Device, devices, roles};

#[derive(Template)]
#[template(path = "firm/person.html")]
struct Shown {
    page: Page,
    person: Person,
    form: Form,
    door: Form,
    roles: Vec<Choice>,
    devices: Vec<Device>,
}

async fn draw(
    app: &AppState,
    me: &Me,
    person: Person,
    (status, form): (StatusCode, Option<Form>),
) -> Result<Response, WebError> {
    let action = format!("/firm/people/{}", person.id);
    let fresh = me.form(app, action.as_str())?;
    let fresh = fresh
        .filled(forms::person_fields(&person))
        .at_version(person.version);
    let rows = access::sessions(app.db().read(), person.id).await?;
    let page = Shown {
        page: me
            .page(&person.name)
            .under("/firm", "Firm")
            .under("/firm/people", "People"),
        form: form.unwrap_or(fresh),
        door: me
            .form(app, format!("{action}/door"))?
            .at_version(person.version),
        roles: roles(),
        devices: devices(app, me, rows, &format!("{action}/sessions"))?,
        person,
    };
    html(status, &page)
}

/// The page.
pub async fn form(
    State(app): State<AppState>,
    Path(id): Path<UserId>,
    me: Me,
) -> Result<Response, WebError> {
    let person = access::person(app.db().read(), id).await?;
    draw(&app, &me, person, (StatusCode::OK, None)).await
}

/// The firm must keep one owner who can sign in.
async fn keep_an_owner(work: &mut Work) -> Result<(), WebError> {
    if access::count_owners(&mut work.tx).await? > 0 {
        return Ok(());
    }
    Err(WebError::NotNow(
        "The firm needs at least one owner who can sign in. Make another person owner first."
            .to_owned(),
    ))
}

/// Takes name, telephone, role. A new role signs the person out everywhere.
pub async fn save(
    State(app): State<AppState>,
    Path(id): Path<UserId>,
    me: Me,
    post: Post,
) -> Result<Response, WebError> {
    let action = format!("/firm/people/{id}");
    let (name, phone, role) = match forms::person(&post.fields) {
        Ok(new) => new,
        Err(errors) => {
            let person = access::person(app.db().read(), id).await?;
            let form = post.again(action).wrong(errors);
            return draw(
                &app,
                &me,
                person,
                (StatusCode::UNPROCESSABLE_ENTITY, Some(form)),
            )
            .await;
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let new = (name.as_str(), phone.as_str(), role);
    match access::save_person(&mut work.tx, id, post.version()?, new).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = access::person(app.db().read(), id).await?;
            let form = post
                .again(action)
                .conflict(forms::person_fields(&now), now.version);
            return draw(&app, &me, now, (StatusCode::CONFLICT, Some(form))).await;
        }
        Err(error) => return Err(error.into()),
    }
    keep_an_owner(&mut work).await?;
    let detail = serde_json::json!({ "role": role.word() });
    work.audit("person.saved", "person", id.get(), detail)
        .await?;
    work.done(format!("{action}?saved")).await
}

/// Shuts a person out at once, or lets them in again.
pub async fn door(
    State(app): State<AppState>,
    Path(id): Path<UserId>,
    me: Me,
    post: Post,
) -> Result<Response, WebError> {
    let shut = post.fields.get("shut") == "yes";
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let since = shut.then_some(work.made.at);
    access::set_disabled(&mut work.tx, id, post.version()?, since).await?;
    keep_an_owner(&mut work).await?;
    let event = if shut {
        "person.shut_out"
    } else {
        "person.let_in"
    };
    work.audit(event, "person", id.get(), serde_json::json!({}))
        .await?;
    work.done(format!("/firm/people/{id}?saved")).await
}

/// Ends one of the person's devices: a lost phone.
pub async fn end_session(
    State(app): State<AppState>,
    Path(id): Path<UserId>,
    me: Me,
    post: Post,
) -> Result<Response, WebError> {
    let session: SessionId = post
        .fields
        .get("session")
        .parse()
        .map_err(|_| WebError::Missing)?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    access::end_session(&mut work.tx, id, session).await?;
    work.audit("session.ended", "person", id.get(), serde_json::json!({}))
        .await?;
    work.done(format!("/firm/people/{id}?saved")).await
}
