//! The pages of visits.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;
use serde_json::json;

use crate::access::{self, Me, Post, Reach, Role, Start, Thing};
use crate::clients::model::{Client, ClientId, EnquiryState, Visit, VisitFacts, VisitId};
use crate::clients::store::client;
use crate::db::StoreError;
use crate::web::{
    AppState, Choice, Fields, Form, ListQuery, Page, Paging, Sort, WebError, html, ok,
};

use super::forms::{VisitChoices, visit as read, visit_fields};
use super::store;
use crate::clients::enquiries::store::move_enquiries_on;

const SORTS: &[Sort] = &[
    Sort {
        name: "day",
        words: "Next first",
    },
    Sort {
        name: "client",
        words: "Client",
    },
];

#[derive(Template)]
#[template(path = "clients/visits.html")]
struct List {
    page: Page,
    query: ListQuery,
    sorts: &'static [Sort],
    paging: Paging,
    visits: Vec<Visit>,
    today: String,
    may_write: bool,
}

/// The visits this person has to do with, the next first.
pub async fn list(
    State(app): State<AppState>,
    me: Me,
    Query(query): Query<ListQuery>,
) -> Result<Response, WebError> {
    let led_by = (me.reach != Reach::All).then_some(me.id);
    let mut visits = store::visits(app.db().read(), &query, led_by).await?;
    ok(&List {
        page: me.page("Visits").under("/clients", "Clients"),
        paging: query.paging(&mut visits),
        sorts: SORTS,
        query,
        visits,
        today: app.now().date(app.firm().zone).to_string(),
        may_write: me.may_write(Thing::Clients) != Reach::None,
    })
}

#[derive(Template)]
#[template(path = "clients/visit.html")]
struct Show {
    page: Page,
    visit: Visit,
    client: Client,
    away: Form,
    may_write: bool,
}

/// One visit.
pub async fn show(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<VisitId>,
) -> Result<Response, WebError> {
    let visit = store::visit(app.db().read(), id).await?;
    let client = client(app.db().read(), visit.client).await?;
    let page = me
        .page(format!("Visit to {}", visit.client_name))
        .under("/clients", "Clients")
        .under(format!("/clients/{}", visit.client), &visit.client_name);
    ok(&Show {
        page,
        away: me
            .form(&app, format!("/clients/visits/{id}/archive"))?
            .at_version(visit.version),
        may_write: me.may_write(Thing::Jobs) != Reach::None,
        visit,
        client,
    })
}

#[derive(Template)]
#[template(path = "clients/visit_form.html")]
struct VisitForm {
    page: Page,
    form: Form,
    jobs: Vec<Choice>,
    people: Vec<Choice>,
}

/// What the form may choose from: the client's jobs (a foreman's own only) and
/// whoever may go.
async fn choices(
    app: &AppState,
    me: &Me,
    client: ClientId,
    held: Option<&VisitFacts>,
) -> Result<VisitChoices, WebError> {
    let led_by = (me.may_write(Thing::Jobs) == Reach::Own).then_some(me.id);
    let people = access::people(app.db().read()).await?;
    Ok(VisitChoices {
        jobs: store::job_choices(app.db().read(), client, led_by, held.and_then(|v| v.job)).await?,
        people: people
            .into_iter()
            .filter(|p| p.role != Role::Carpenter)
            .filter(|p| p.disabled_at.is_none() || held.is_some_and(|v| v.goes == Some(p.id)))
            .map(|p| (p.id, p.name))
            .collect(),
    })
}

fn draw(page: Page, form: Form, choices: &VisitChoices) -> Result<Response, WebError> {
    let mut jobs = vec![Choice::new("", "No job yet")];
    jobs.extend(
        choices
            .jobs
            .iter()
            .map(|(id, words)| Choice::new(id, words)),
    );
    let mut people = vec![Choice::new("", "Not settled")];
    people.extend(
        choices
            .people
            .iter()
            .map(|(id, name)| Choice::new(id, name)),
    );
    html(
        form.status(),
        &VisitForm {
            page,
            form,
            jobs,
            people,
        },
    )
}

async fn new_page(app: &AppState, me: &Me, id: ClientId) -> Result<Page, WebError> {
    let client = client(app.db().read(), id).await?;
    Ok(me
        .page("New visit")
        .under("/clients", "Clients")
        .under(format!("/clients/{id}"), &client.facts.name))
}

/// A job may be named in the address, by its page.
#[derive(Debug, Default, Deserialize)]
pub struct ForJob {
    #[serde(default)]
    job: String,
}

/// The form for a client, today filled in.
pub async fn new(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<ClientId>,
    Query(asked): Query<ForJob>,
) -> Result<Response, WebError> {
    let choices = choices(&app, &me, id, None).await?;
    let job = choices
        .jobs
        .iter()
        .find(|(row, _)| row.to_string() == asked.job);
    let goes = (me.role == Role::Foreman).then_some(me.id);
    let fields = Fields::default()
        .with("day", app.now().date(app.firm().zone))
        .with_some("job", job.map(|(row, _)| row))
        .with_some("goes", goes);
    let form = me
        .form(&app, format!("/clients/{id}/visits/new"))?
        .filled(fields);
    draw(new_page(&app, &me, id).await?, form, &choices)
}

/// Takes a new visit; the client's new enquiries move on to *visit agreed*.
pub async fn add(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<ClientId>,
    post: Post,
) -> Result<Response, WebError> {
    let choices = choices(&app, &me, id, None).await?;
    let facts = match read(&post.fields, &choices) {
        Ok(facts) => facts,
        Err(errors) => {
            let form = post
                .again(format!("/clients/{id}/visits/new"))
                .wrong(errors);
            return draw(new_page(&app, &me, id).await?, form, &choices);
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let visit = store::add_visit(&mut work.tx, work.made, id, &facts).await?;
    move_enquiries_on(&mut work.tx, id, EnquiryState::VisitAgreed).await?;
    work.audit("visit.added", "visit", visit.get(), json!({}))
        .await?;
    work.done(format!("/clients/visits/{visit}?saved")).await
}

fn edit_page(me: &Me, visit: &Visit) -> Page {
    me.page("Change the visit")
        .under("/clients", "Clients")
        .under(format!("/clients/{}", visit.client), &visit.client_name)
        .under(format!("/clients/visits/{}", visit.id), "Visit")
}

/// The form, filled.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<VisitId>,
) -> Result<Response, WebError> {
    let visit = store::visit(app.db().read(), id).await?;
    let choices = choices(&app, &me, visit.client, Some(&visit.facts)).await?;
    let form = me.form(&app, format!("/clients/visits/{id}/edit"))?;
    let form = form
        .filled(visit_fields(&visit.facts))
        .at_version(visit.version);
    draw(edit_page(&me, &visit), form, &choices)
}

/// Takes a changed visit.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<VisitId>,
    post: Post,
) -> Result<Response, WebError> {
    let visit = store::visit(app.db().read(), id).await?;
    let choices = choices(&app, &me, visit.client, Some(&visit.facts)).await?;
    let again = post.again(format!("/clients/visits/{id}/edit"));
    let facts = match read(&post.fields, &choices) {
        Ok(facts) => facts,
        Err(errors) => return draw(edit_page(&me, &visit), again.wrong(errors), &choices),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_visit(&mut work.tx, id, post.version()?, &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::visit(app.db().read(), id).await?;
            let form = again.conflict(visit_fields(&now.facts), now.version);
            return draw(edit_page(&me, &now), form, &choices);
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("visit.changed", "visit", id.get(), json!({}))
        .await?;
    work.done(format!("/clients/visits/{id}?saved")).await
}

/// Puts a visit away, or brings it back.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<VisitId>,
    post: Post,
) -> Result<Response, WebError> {
    let away = post.away();
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::archive_visit(&mut work.tx, work.made, id, post.version()?, away).await?;
    let what = ("visit", "visit", id.get());
    work.filed(what, away, format!("/clients/visits/{id}?saved"))
        .await
}
