//! Everyone of the firm, and inviting someone new.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;

use crate::access::{self, InviteId, Me, Person, Post, Start};
use crate::web::{AppState, Choice, Fields, Form, Page, WebError, html};

use super::super::forms;
use super::roles;

#[derive(Template)]
#[template(path = "firm/people.html")]
struct People {
    page: Page,
    people: Vec<Person>,
    invites: Vec<Open>,
    form: Form,
    roles: Vec<Choice>,
    /// The link of the invite just made, shown this once.
    link: Option<String>,
}

struct Open {
    name: String,
    role: &'static str,
    ends: String,
    form: Form,
}

async fn draw(
    app: &AppState,
    me: &Me,
    (status, form): (StatusCode, Option<Form>),
    link: Option<String>,
) -> Result<Response, WebError> {
    let zone = app.firm().zone;
    let mut invites = Vec::new();
    for invite in access::invites(app.db().read(), app.now()).await? {
        invites.push(Open {
            ends: invite.ends_at.local(zone),
            role: invite.role.word(),
            form: me.form(app, format!("/firm/invites/{}/withdraw", invite.id))?,
            name: invite.name,
        });
    }
    let fresh = me
        .form(app, "/firm/people")?
        .filled(Fields::default().with("role", "carpenter"));
    let page = People {
        page: me.page("People").under("/firm", "Firm"),
        people: access::people(app.db().read()).await?,
        invites,
        form: form.unwrap_or(fresh),
        roles: roles(),
        link,
    };
    html(status, &page)
}

/// The list.
pub async fn list(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    draw(&app, &me, (StatusCode::OK, None), None).await
}

/// Makes an invite and shows its link once. A replay shows the same link: the
/// code comes from the form and the session, not from chance.
pub async fn invite(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let (name, role) = match forms::invite(&post.fields) {
        Ok(new) => new,
        Err(errors) => {
            let form = post.again("/firm/people").wrong(errors);
            return draw(
                &app,
                &me,
                (StatusCode::UNPROCESSABLE_ENTITY, Some(form)),
                None,
            )
            .await;
        }
    };
    let code = post.secret("invite");
    if let Start::First(mut work) = post.begin(&app, &me).await? {
        let sha = access::sha(code.as_bytes());
        access::invite(&mut work.tx, (&name, role), &sha, work.made).await?;
        let detail = serde_json::json!({ "role": role.word() });
        work.audit("invite.made", "person", me.id.get(), detail)
            .await?;
        work.done("/firm/people").await?;
    }
    draw(
        &app,
        &me,
        (StatusCode::OK, None),
        Some(format!("/join/{code}")),
    )
    .await
}

/// Takes an open invite back.
pub async fn withdraw(
    State(app): State<AppState>,
    Path(id): Path<InviteId>,
    me: Me,
    post: Post,
) -> Result<Response, WebError> {
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    access::withdraw_invite(&mut work.tx, id, work.made.at).await?;
    work.audit(
        "invite.withdrawn",
        "invite",
        id.get(),
        serde_json::json!({}),
    )
    .await?;
    work.done("/firm/people?saved").await
}
