//! The first owner by the console's code; everyone after by invite.

use std::sync::Arc;

use askama::Template;
use axum::Extension;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;

use crate::db::{StoreError, Tx, audit};
use crate::web::{AppState, Check, Errors, Form, Page, WebError, html};

use super::super::store::{self, NewPerson};
use super::super::{Invite, Made, Role, Site, UserId, forms, tokens};
use super::enter::{agent_of, signed_in};
use super::{OpenPost, open_form, with_visitor};

#[derive(Template)]
#[template(path = "access/join.html")]
struct Join {
    page: Page,
    form: Form,
    /// The role an invite gives; none on the set-up page, which asks the code.
    role: Option<&'static str>,
}

fn gone() -> WebError {
    WebError::Gone(
        "This invite was used or its three days are over. Ask the owner for a new one.".to_owned(),
    )
}

fn page(app: &AppState, role: Option<Role>, form: Form) -> Join {
    let title = if role.is_some() {
        "Join the firm"
    } else {
        "Set up the firm"
    };
    Join {
        page: Page::new(title, Site::bare_chrome(app)),
        form,
        role: role.map(Role::word),
    }
}

/// The set-up page, open while the firm is empty.
pub async fn setup_form(
    State(app): State<AppState>,
    Extension(site): Extension<Arc<Site>>,
    headers: HeaderMap,
) -> Result<Response, WebError> {
    if !site.setup_open() {
        return Err(WebError::Missing);
    }
    let (form, visitor) = open_form(&app, &headers, "/setup")?;
    with_visitor(&app, visitor, StatusCode::OK, &page(&app, None, form))
}

/// Makes the first owner.
pub async fn setup(
    State(app): State<AppState>,
    Extension(site): Extension<Arc<Site>>,
    headers: HeaderMap,
    post: OpenPost,
) -> Result<Response, WebError> {
    if !site.setup_open() {
        return Err(WebError::Missing);
    }
    let mut read = read(&app, &post);
    if !site.setup_matches(&tokens::sha(post.fields.get("code").trim().as_bytes())) {
        let words = "Not the code on the console. It stands where the program was started.";
        let mut errors = Errors::one("code", words);
        if let Err(others) = &read {
            others
                .iter()
                .for_each(|(field, words)| errors.add(field, words));
        }
        read = Err(errors);
    }
    let new = match read {
        Ok(new) => new,
        Err(errors) => {
            let form = post.again("/setup").wrong(errors);
            return html(StatusCode::UNPROCESSABLE_ENTITY, &page(&app, None, form));
        }
    };
    let hash = site.hasher.hash(new.password.clone()).await?;
    let mut tx = app.db().write().await?;
    // Two browsers with the code: the writer lets one through, the other finds an owner.
    if store::count_owners(&mut tx).await? > 0 {
        return Err(WebError::Missing);
    }
    let made = Made {
        at: app.now(),
        by: None,
    };
    let id = add(&mut tx, &new, &hash, (Role::Owner, made)).await?;
    let token = begin(&app, &mut tx, id, &headers).await?;
    tx.commit().await?;
    site.close_setup();
    Ok(signed_in(&app, Role::Owner, &token, "/"))
}

async fn open_invite(app: &AppState, code: &str) -> Result<Invite, WebError> {
    let sha = tokens::sha(code.as_bytes());
    store::invite_by_code(app.db().read(), &sha, app.now())
        .await?
        .ok_or_else(gone)
}

/// The page of an invite.
pub async fn invite_form(
    State(app): State<AppState>,
    Path(code): Path<String>,
    headers: HeaderMap,
) -> Result<Response, WebError> {
    let invite = open_invite(&app, &code).await?;
    let (form, visitor) = open_form(&app, &headers, format!("/join/{code}"))?;
    let form = form.filled(crate::web::Fields::default().with("name", &invite.name));
    with_visitor(
        &app,
        visitor,
        StatusCode::OK,
        &page(&app, Some(invite.role), form),
    )
}

/// Answers an invite: a person, a session, and the invite is used up.
pub async fn accept(
    State(app): State<AppState>,
    Extension(site): Extension<Arc<Site>>,
    Path(code): Path<String>,
    headers: HeaderMap,
    post: OpenPost,
) -> Result<Response, WebError> {
    let invite = open_invite(&app, &code).await?;
    let wrong = |errors| {
        let form = post.again(format!("/join/{code}")).wrong(errors);
        html(
            StatusCode::UNPROCESSABLE_ENTITY,
            &page(&app, Some(invite.role), form),
        )
    };
    let new = match read(&app, &post) {
        Ok(new) => new,
        Err(errors) => return wrong(errors),
    };
    let hash = site.hasher.hash(new.password.clone()).await?;
    let made = Made {
        at: app.now(),
        by: None,
    };
    let mut tx = app.db().write().await?;
    let id = match add(&mut tx, &new, &hash, (invite.role, made)).await {
        Ok(id) => id,
        Err(StoreError::Taken(_)) => {
            return wrong(Errors::one(
                "sign_in",
                "Someone already signs in with this. Choose another.",
            ));
        }
        Err(error) => return Err(error.into()),
    };
    if !store::use_invite(&mut tx, invite.id, id, made.at).await? {
        return Err(gone());
    }
    let token = begin(&app, &mut tx, id, &headers).await?;
    tx.commit().await?;
    Ok(signed_in(&app, invite.role, &token, "/"))
}

struct Read {
    sign_in: String,
    name: String,
    password: String,
}

fn read(app: &AppState, post: &OpenPost) -> Result<Read, Errors> {
    let mut check = Check::of(&post.fields);
    let name = check.line("name", 120);
    let sign_in = forms::sign_in_name(&mut check, "sign_in");
    let firm = app.firm();
    let known = [
        name.as_str(),
        sign_in.as_deref().unwrap_or(""),
        firm.name.as_str(),
    ];
    let password = forms::password(&mut check, &post.fields, &known);
    let whole = sign_in.zip(password).map(|(sign_in, password)| Read {
        sign_in,
        name,
        password,
    });
    check.finish_some(whole)
}

async fn add(
    tx: &mut Tx,
    new: &Read,
    hash: &str,
    (role, made): (Role, Made),
) -> Result<UserId, StoreError> {
    let person = NewPerson {
        sign_in: &new.sign_in,
        name: &new.name,
        role,
        hash,
    };
    let id = store::add_person(tx, &person, made).await?;
    let detail = serde_json::json!({ "role": role.word() });
    let thing = ("person", Some(id.get()));
    audit(tx, made.at, Some(id.get()), "person.added", thing, &detail).await?;
    Ok(id)
}

async fn begin(
    app: &AppState,
    tx: &mut Tx,
    id: UserId,
    headers: &HeaderMap,
) -> Result<String, WebError> {
    let token = tokens::fresh_token(app)?;
    let sha = tokens::sha(token.as_bytes());
    store::add_session(tx, id, &sha, &agent_of(headers), app.now()).await?;
    Ok(token)
}
