//! The pages of clients.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde_json::json;

use crate::access::{Me, Post, Reach, Start, Thing};
use crate::db::StoreError;
use crate::web::{AppState, Form, Fragment, ListQuery, Page, Paging, Sort, WebError, html, ok};

use super::enquiries::store::enquiries_of;
use super::forms::{client as read, client_fields};
use super::hooks::ClientParts;
use super::model::{Client, ClientId, Enquiry, Visit};
use super::store;
use super::visits::store::visits_of;

/// The sorts of the clients' list.
const SORTS: &[Sort] = &[
    Sort {
        name: "name",
        words: "Name",
    },
    Sort {
        name: "newest",
        words: "Newest",
    },
];

#[derive(Template)]
#[template(path = "clients/list.html")]
struct List {
    page: Page,
    query: ListQuery,
    sorts: &'static [Sort],
    paging: Paging,
    clients: Vec<Client>,
    may_write: bool,
}

/// The clients this person may see.
pub async fn list(
    State(app): State<AppState>,
    me: Me,
    Query(query): Query<ListQuery>,
) -> Result<Response, WebError> {
    let led_by = (me.reach != Reach::All).then_some(me.id);
    let mut clients = store::clients(app.db().read(), &query, led_by).await?;
    ok(&List {
        page: me.page("Clients"),
        paging: query.paging(&mut clients),
        sorts: SORTS,
        query,
        clients,
        may_write: me.may_write(Thing::Clients) != Reach::None,
    })
}

#[derive(Template)]
#[template(path = "clients/show.html")]
struct Show {
    page: Page,
    client: Client,
    enquiries: Vec<Enquiry>,
    visits: Vec<Visit>,
    parts: Vec<Fragment>,
    away: Form,
    may_write: bool,
    may_visit: bool,
}

/// One client: how to reach them, what they asked for, visits, jobs.
pub async fn show(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<ClientId>,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let client = store::client(pool, id).await?;
    let mut parts = Vec::new();
    if let Some(hooks) = app.hook::<ClientParts>() {
        for part in &hooks.0 {
            parts.push(part(app.clone(), me.clone(), id).await?);
        }
    }
    let away = me
        .form(&app, format!("/clients/{id}/archive"))?
        .at_version(client.version);
    ok(&Show {
        page: me.page(&client.facts.name).under("/clients", "Clients"),
        enquiries: enquiries_of(pool, id).await?,
        visits: visits_of(pool, id, None).await?,
        parts,
        away,
        may_write: me.may_write(Thing::Clients) != Reach::None,
        may_visit: me.may_write(Thing::Jobs) != Reach::None,
        client,
    })
}

#[derive(Template)]
#[template(path = "clients/form.html")]
struct ClientForm {
    page: Page,
    form: Form,
}

fn draw_new(me: &Me, form: Form) -> Result<Response, WebError> {
    let page = me.page("New client").under("/clients", "Clients");
    html(form.status(), &ClientForm { page, form })
}

async fn draw_edit(
    app: &AppState,
    me: &Me,
    id: ClientId,
    form: Form,
) -> Result<Response, WebError> {
    let client = store::client(app.db().read(), id).await?;
    let page = me
        .page(format!("Change {}", client.facts.name))
        .under("/clients", "Clients")
        .under(format!("/clients/{id}"), &client.facts.name);
    html(form.status(), &ClientForm { page, form })
}

/// The empty form.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    draw_new(&me, me.form(&app, "/clients/new")?)
}

/// Takes a new client.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let facts = match read(&post.fields) {
        Ok(facts) => facts,
        Err(errors) => return draw_new(&me, post.again("/clients/new").wrong(errors)),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = store::add_client(&mut work.tx, work.made, &facts).await?;
    work.audit("client.added", "client", id.get(), json!({}))
        .await?;
    work.done(format!("/clients/{id}?saved")).await
}

/// The form, filled.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<ClientId>,
) -> Result<Response, WebError> {
    let client = store::client(app.db().read(), id).await?;
    let form = me.form(&app, format!("/clients/{id}/edit"))?;
    let form = form
        .filled(client_fields(&client.facts))
        .at_version(client.version);
    draw_edit(&app, &me, id, form).await
}

/// Takes a changed client.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<ClientId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/clients/{id}/edit"));
    let facts = match read(&post.fields) {
        Ok(facts) => facts,
        Err(errors) => return draw_edit(&app, &me, id, again.wrong(errors)).await,
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_client(&mut work.tx, id, post.version()?, &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::client(app.db().read(), id).await?;
            let form = again.conflict(client_fields(&now.facts), now.version);
            return draw_edit(&app, &me, id, form).await;
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("client.changed", "client", id.get(), json!({}))
        .await?;
    work.done(format!("/clients/{id}?saved")).await
}

/// Puts a client away, or brings it back.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<ClientId>,
    post: Post,
) -> Result<Response, WebError> {
    let away = post.away();
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::archive_client(&mut work.tx, work.made, id, post.version()?, away).await?;
    let what = ("client", "client", id.get());
    work.filed(what, away, format!("/clients/{id}?saved")).await
}
