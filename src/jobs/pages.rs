//! The pages of jobs.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;
use serde_json::json;

use crate::access::{self, Me, Post, Reach, Role, Start, Thing};
use crate::clients::{self, ClientId, EnquiryState, Visit};
use crate::db::StoreError;
use crate::web::{
    AppState, Choice, Errors, Fields, Form, Fragment, ListQuery, Page, Paging, Sort, WebError,
    html, ok,
};

use super::forms::{JobChoices, job as read, job_fields};
use super::hooks::{JobParts, Missing, assigned};
use super::model::{Job, JobFacts, JobId};
use super::store::{self, Shown};

const SORTS: &[Sort] = &[
    Sort {
        name: "begins",
        words: "Latest start",
    },
    Sort {
        name: "code",
        words: "Code",
    },
    Sort {
        name: "title",
        words: "Title",
    },
];

#[derive(Template)]
#[template(path = "jobs/list.html")]
struct List {
    page: Page,
    query: ListQuery,
    sorts: &'static [Sort],
    paging: Paging,
    jobs: Vec<Job>,
    sees_client: bool,
    may_add: bool,
}

/// The jobs this person may see.
pub async fn list(
    State(app): State<AppState>,
    me: Me,
    Query(query): Query<ListQuery>,
) -> Result<Response, WebError> {
    let sees_client = me.may_read(Thing::Clients) == Reach::All;
    let only = match me.reach {
        Reach::All => None,
        _ => Some(assigned(&app, me.id).await?),
    };
    let led_by = (query.only == "mine").then_some(me.id);
    let shown = Shown {
        only,
        led_by,
        by_client: sees_client,
    };
    let mut jobs = store::jobs(app.db().read(), &query, &shown).await?;
    ok(&List {
        page: me.page("Jobs"),
        paging: query.paging(&mut jobs),
        sorts: SORTS,
        query,
        jobs,
        sees_client,
        may_add: me.may_write(Thing::Clients) == Reach::All,
    })
}

#[derive(Template)]
#[template(path = "jobs/show.html")]
struct Show {
    page: Page,
    job: Site,
    office: Option<OfficeView>,
    above: Vec<Fragment>,
    below: Vec<Fragment>,
    missing: Vec<Missing>,
    away: Form,
    may_write: bool,
}

/// What everyone on the job may read: no person outside the firm, no money.
struct Site {
    id: JobId,
    address: String,
    access: String,
    year_built: Option<i64>,
    historic: bool,
    zone: String,
    foreman: Option<String>,
    days: String,
    lead: bool,
    archived: bool,
}

/// What the office, the owner and the job's own foreman read besides.
struct OfficeView {
    client: ClientId,
    client_name: String,
    site_contact: String,
    terms: String,
    note: String,
    visits: Vec<Visit>,
}

impl Site {
    fn of(job: &Job) -> Self {
        let facts = &job.facts;
        let days = match (facts.first_day, facts.last_day) {
            (Some(first), Some(last)) => format!("{first} to {last}"),
            (Some(first), None) => format!("from {first}"),
            (None, Some(last)) => format!("until {last}"),
            (None, None) => String::new(),
        };
        Self {
            id: job.id,
            address: facts.site_address.clone(),
            access: facts.access.clone(),
            year_built: facts.year_built,
            historic: facts.historic,
            zone: facts.zone.clone(),
            foreman: job.foreman_name.clone(),
            days,
            lead: facts.may_hold_lead(),
            archived: job.archived_at.is_some(),
        }
    }
}

/// Whether this person may know the job's client, and change the job.
fn knows_client(me: &Me, job: &Job) -> bool {
    match me.may_read(Thing::Clients) {
        Reach::All => true,
        Reach::Own => job.facts.foreman == Some(me.id),
        Reach::Assigned | Reach::None => false,
    }
}

fn may_change(me: &Me, job: &Job) -> bool {
    match me.may_write(Thing::Jobs) {
        Reach::All => true,
        Reach::Own => job.facts.foreman == Some(me.id),
        Reach::Assigned | Reach::None => false,
    }
}

/// One job: façade, what is missing, facts, openings.
pub async fn show(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let job = store::job(app.db().read(), id).await?;
    let office = match knows_client(&me, &job) {
        true => Some(office_view(&app, &job).await?),
        false => None,
    };
    let may_write = may_change(&me, &job);
    let mut missing = if may_write { lacks(&job) } else { Vec::new() };
    let (mut above, mut below) = (Vec::new(), Vec::new());
    if let Some(parts) = app.hook::<JobParts>() {
        for part in &parts.0 {
            let part = part(app.clone(), me.clone(), id).await?;
            above.push(part.above);
            below.push(part.below);
            missing.extend(part.missing);
        }
    }
    let page = me
        .page(format!("{} · {}", job.facts.code, job.facts.title))
        .under("/jobs", "Jobs")
        .titled("Job", &job.facts.code)
        .titled("Version", job.version);
    ok(&Show {
        page,
        away: me
            .form(&app, format!("/jobs/{id}/archive"))?
            .at_version(job.version),
        job: Site::of(&job),
        office,
        above,
        below,
        missing,
        may_write,
    })
}

async fn office_view(app: &AppState, job: &Job) -> Result<OfficeView, WebError> {
    let facts = &job.facts;
    let visits = clients::visits_of(app.db().read(), facts.client, Some(job.id.get())).await?;
    Ok(OfficeView {
        client: facts.client,
        client_name: job.client_name.clone(),
        site_contact: facts.site_contact.clone(),
        terms: facts.terms.clone(),
        note: facts.note.clone(),
        visits,
    })
}

/// What the job's own form leaves open.
fn lacks(job: &Job) -> Vec<Missing> {
    let edit = |field: &str| format!("/jobs/{}/edit#{field}", job.id);
    let facts = &job.facts;
    [
        (facts.foreman.is_none(), "No foreman yet.", "foreman"),
        (facts.first_day.is_none(), "No first day yet.", "first_day"),
        (
            facts.year_built.is_none(),
            "Year built not known: before 1978 the paint may hold lead.",
            "year_built",
        ),
    ]
    .into_iter()
    .filter(|(lacking, ..)| *lacking)
    .map(|(_, words, field)| Missing::new(words, edit(field)))
    .collect()
}

#[derive(Template)]
#[template(path = "jobs/form.html")]
struct JobForm {
    page: Page,
    form: Form,
    clients: Vec<Choice>,
    foremen: Vec<Choice>,
}

/// What the form may choose from: live clients, and foremen and the owner; the
/// job's own stay in even when put away. A foreman may not hand the job to
/// another client or foreman.
async fn choices(app: &AppState, me: &Me, held: Option<&Job>) -> Result<JobChoices, WebError> {
    let pool = app.db().read();
    let all = me.may_write(Thing::Jobs) == Reach::All;
    let held_client = held.map(|job| (job.facts.client, job.client_name.clone()));
    let mut clients = if all {
        clients::client_choices(pool).await?
    } else {
        Vec::new()
    };
    if let Some((id, name)) = held_client
        && !clients.iter().any(|(known, _)| *known == id)
    {
        clients.push((id, name));
    }
    let foremen = access::people(pool)
        .await?
        .into_iter()
        .filter(|p| matches!(p.role, Role::Foreman | Role::Owner))
        .filter(|p| {
            let holds = held.is_some_and(|job| job.facts.foreman == Some(p.id));
            holds || (all && p.disabled_at.is_none())
        })
        .map(|p| (p.id, p.name))
        .collect();
    Ok(JobChoices { clients, foremen })
}

fn draw(page: Page, form: Form, choices: &JobChoices) -> Result<Response, WebError> {
    let mut clients = vec![Choice::new("", "Choose…")];
    clients.extend(
        choices
            .clients
            .iter()
            .map(|(id, words)| Choice::new(id, words)),
    );
    let mut foremen = vec![Choice::new("", "Not settled")];
    foremen.extend(
        choices
            .foremen
            .iter()
            .map(|(id, name)| Choice::new(id, name)),
    );
    html(
        form.status(),
        &JobForm {
            page,
            form,
            clients,
            foremen,
        },
    )
}

/// The client may be named in the address, by its page.
#[derive(Debug, Default, Deserialize)]
pub struct ForClient {
    #[serde(default)]
    client: String,
}

fn new_page(me: &Me) -> Page {
    me.page("New job").under("/jobs", "Jobs")
}

/// The form, with the client's name and address filled in if one is named.
pub async fn new(
    State(app): State<AppState>,
    me: Me,
    Query(asked): Query<ForClient>,
) -> Result<Response, WebError> {
    let choices = choices(&app, &me, None).await?;
    let mut fields = Fields::default();
    if let Some((id, _)) = choices
        .clients
        .iter()
        .find(|(id, _)| id.to_string() == asked.client)
    {
        let client = clients::client(app.db().read(), *id).await?;
        fields = fields
            .with("client", id)
            .with("site_address", &client.facts.address);
    }
    draw(
        new_page(&me),
        me.form(&app, "/jobs/new")?.filled(fields),
        &choices,
    )
}

fn code_taken() -> Errors {
    Errors::one(
        "code",
        "Another job has this code. Choose another; archived jobs count too.",
    )
}

/// Takes a new job; the client's enquiries are won.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let choices = choices(&app, &me, None).await?;
    let again = post.again("/jobs/new");
    let facts = match read(&post.fields, &choices) {
        Ok(facts) => facts,
        Err(errors) => return draw(new_page(&me), again.wrong(errors), &choices),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = match store::add_job(&mut work.tx, work.made, &facts).await {
        Ok(id) => id,
        Err(StoreError::Taken(_)) => {
            return draw(new_page(&me), again.wrong(code_taken()), &choices);
        }
        Err(error) => return Err(error.into()),
    };
    clients::move_enquiries_on(&mut work.tx, facts.client, EnquiryState::Won).await?;
    work.audit("job.added", "job", id.get(), json!({})).await?;
    work.done(format!("/jobs/{id}?saved")).await
}

fn edit_page(me: &Me, job: &Job) -> Page {
    me.page(format!("Change job {}", job.facts.code))
        .under("/jobs", "Jobs")
        .under(format!("/jobs/{}", job.id), job.facts.code.as_str())
}

/// The form, filled.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let job = store::job(app.db().read(), id).await?;
    let choices = choices(&app, &me, Some(&job)).await?;
    let form = me.form(&app, format!("/jobs/{id}/edit"))?;
    let form = form.filled(job_fields(&job.facts)).at_version(job.version);
    draw(edit_page(&me, &job), form, &choices)
}

/// Takes a changed job.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
    post: Post,
) -> Result<Response, WebError> {
    let job = store::job(app.db().read(), id).await?;
    let choices = choices(&app, &me, Some(&job)).await?;
    let again = post.again(format!("/jobs/{id}/edit"));
    let facts = match read(&post.fields, &choices) {
        Ok(facts) => kept_by_foreman(&me, &job, facts),
        Err(errors) => return draw(edit_page(&me, &job), again.wrong(errors), &choices),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_job(&mut work.tx, id, post.version()?, &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::job(app.db().read(), id).await?;
            let form = again.conflict(job_fields(&now.facts), now.version);
            return draw(edit_page(&me, &now), form, &choices);
        }
        Err(StoreError::Taken(_)) => {
            return draw(edit_page(&me, &job), again.wrong(code_taken()), &choices);
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("job.changed", "job", id.get(), json!({}))
        .await?;
    work.done(format!("/jobs/{id}?saved")).await
}

/// A foreman stays the job's foreman: he cannot give the job away unseen.
fn kept_by_foreman(me: &Me, job: &Job, facts: JobFacts) -> JobFacts {
    if me.may_write(Thing::Jobs) == Reach::All {
        return facts;
    }
    JobFacts {
        foreman: job.facts.foreman,
        ..facts
    }
}

/// Puts a job away, or brings it back.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
    post: Post,
) -> Result<Response, WebError> {
    let away = post.away();
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::archive_job(&mut work.tx, work.made, id, post.version()?, away).await?;
    let what = ("job", "job", id.get());
    work.filed(what, away, format!("/jobs/{id}?saved")).await
}
