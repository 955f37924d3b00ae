//! The pages of enquiries.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde_json::json;

use crate::access::{Me, Post, Reach, Start, Thing};
use crate::clients::forms::client_from;
use crate::clients::model::{Enquiry, EnquiryId, EnquiryState};
use crate::clients::store::add_client;
use crate::db::StoreError;
use crate::web::{
    AppState, Choice, Fields, Form, ListQuery, Page, Paging, Sort, WebError, html, ok,
};

use super::forms::{enquiry as read, enquiry_fields};
use super::store;

const SORTS: &[Sort] = &[
    Sort {
        name: "day",
        words: "Newest call",
    },
    Sort {
        name: "name",
        words: "Name",
    },
    Sort {
        name: "heard",
        words: "Who sent them",
    },
];

fn states() -> Vec<Choice> {
    EnquiryState::ALL
        .iter()
        .map(|state| Choice::new(state.code(), state.words()))
        .collect()
}

#[derive(Template)]
#[template(path = "clients/enquiries.html")]
struct List {
    page: Page,
    query: ListQuery,
    sorts: &'static [Sort],
    states: Vec<Choice>,
    paging: Paging,
    enquiries: Vec<Enquiry>,
}

/// All first calls, the newest first.
pub async fn list(
    State(app): State<AppState>,
    me: Me,
    Query(query): Query<ListQuery>,
) -> Result<Response, WebError> {
    let state = EnquiryState::from_code(&query.only).map_or("", EnquiryState::code);
    let mut enquiries = store::enquiries(app.db().read(), &query, state).await?;
    ok(&List {
        page: me.page("Enquiries").under("/clients", "Clients"),
        paging: query.paging(&mut enquiries),
        sorts: SORTS,
        states: states(),
        query,
        enquiries,
    })
}

#[derive(Template)]
#[template(path = "clients/enquiry.html")]
struct Show {
    page: Page,
    enquiry: Enquiry,
    make: Form,
    away: Form,
    may_write: bool,
}

fn under(page: Page) -> Page {
    page.under("/clients", "Clients")
        .under("/clients/enquiries", "Enquiries")
}

/// One call and what to do about it.
pub async fn show(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<EnquiryId>,
) -> Result<Response, WebError> {
    let enquiry = store::enquiry(app.db().read(), id).await?;
    let form = |what: &str| me.form(&app, format!("/clients/enquiries/{id}/{what}"));
    let may_write = me.may_write(Thing::Clients) != Reach::None;
    let page = me.page(&enquiry.facts.name);
    ok(&Show {
        page: if may_write {
            under(page)
        } else {
            page.under("/clients", "Clients")
        },
        make: form("client")?.at_version(enquiry.version),
        away: form("archive")?.at_version(enquiry.version),
        may_write,
        enquiry,
    })
}

#[derive(Template)]
#[template(path = "clients/enquiry_form.html")]
struct EnquiryForm {
    page: Page,
    form: Form,
    states: Vec<Choice>,
}

fn draw_new(me: &Me, form: Form) -> Result<Response, WebError> {
    let page = under(me.page("New enquiry"));
    html(
        form.status(),
        &EnquiryForm {
            page,
            form,
            states: states(),
        },
    )
}

async fn draw_edit(
    app: &AppState,
    me: &Me,
    id: EnquiryId,
    form: Form,
) -> Result<Response, WebError> {
    let enquiry = store::enquiry(app.db().read(), id).await?;
    let page = under(me.page(format!("Change the call of {}", enquiry.facts.name)))
        .under(format!("/clients/enquiries/{id}"), &enquiry.facts.name);
    html(
        form.status(),
        &EnquiryForm {
            page,
            form,
            states: states(),
        },
    )
}

/// The form with today's date.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let today = app.now().date(app.firm().zone);
    let fields = Fields::default()
        .with("day", today)
        .with("state", EnquiryState::New.code());
    draw_new(&me, me.form(&app, "/clients/enquiries/new")?.filled(fields))
}

/// Takes a first call.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let facts = match read(&post.fields) {
        Ok(facts) => facts,
        Err(errors) => return draw_new(&me, post.again("/clients/enquiries/new").wrong(errors)),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = store::add_enquiry(&mut work.tx, work.made, &facts).await?;
    work.audit("enquiry.added", "enquiry", id.get(), json!({}))
        .await?;
    work.done(format!("/clients/enquiries/{id}?saved")).await
}

/// The form, filled.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<EnquiryId>,
) -> Result<Response, WebError> {
    let enquiry = store::enquiry(app.db().read(), id).await?;
    let form = me.form(&app, format!("/clients/enquiries/{id}/edit"))?;
    let form = form
        .filled(enquiry_fields(&enquiry.facts))
        .at_version(enquiry.version);
    draw_edit(&app, &me, id, form).await
}

/// Takes a changed call.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<EnquiryId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/clients/enquiries/{id}/edit"));
    let facts = match read(&post.fields) {
        Ok(facts) => facts,
        Err(errors) => return draw_edit(&app, &me, id, again.wrong(errors)).await,
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_enquiry(&mut work.tx, id, post.version()?, &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::enquiry(app.db().read(), id).await?;
            let form = again.conflict(enquiry_fields(&now.facts), now.version);
            return draw_edit(&app, &me, id, form).await;
        }
        Err(error) => return Err(error.into()),
    }
    let state = json!({ "state": facts.state.code() });
    work.audit("enquiry.changed", "enquiry", id.get(), state)
        .await?;
    work.done(format!("/clients/enquiries/{id}?saved")).await
}

/// One press: the caller becomes a client, nothing typed again.
pub async fn make_client(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<EnquiryId>,
    post: Post,
) -> Result<Response, WebError> {
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let enquiry = store::enquiry(app.db().read(), id).await?;
    if let Some(client) = enquiry.client {
        return work.done(format!("/clients/{client}")).await;
    }
    let client = add_client(&mut work.tx, work.made, &client_from(&enquiry)).await?;
    store::tie_enquiry(&mut work.tx, id, post.version()?, client).await?;
    work.audit(
        "client.added",
        "client",
        client.get(),
        json!({ "enquiry": id }),
    )
    .await?;
    work.done(format!("/clients/{client}?saved")).await
}

/// Puts a call away, or brings it back.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<EnquiryId>,
    post: Post,
) -> Result<Response, WebError> {
    let away = post.away();
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::archive_enquiry(&mut work.tx, work.made, id, post.version()?, away).await?;
    let what = ("enquiry", "enquiry", id.get());
    work.filed(what, away, format!("/clients/enquiries/{id}?saved"))
        .await
}
