//! The rack: real sticks with their length, place, mill run and bad
//! stretches, and what happened to each.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde_json::json;

use crate::access::{Me, Post, Role, Start};
use crate::db::StoreError;
use crate::stock::forms::{offcut as read, offcut_fields};
use crate::stock::model::{Offcut, OffcutId, RackState, StockItemId, StockMove, defects_text};
use crate::stock::store::{self, rack};
use crate::web::{
    AppState, Choice, Errors, Form, ListQuery, Page, Paging, Sort, WebError, html, ok,
};

const SORTS: &[Sort] = &[
    Sort {
        name: "item",
        words: "What it is",
    },
    Sort {
        name: "place",
        words: "Place",
    },
    Sort {
        name: "long",
        words: "Longest first",
    },
];

#[derive(Template)]
#[template(path = "stock/rack.html")]
struct List {
    page: Page,
    query: ListQuery,
    sorts: &'static [Sort],
    states: &'static [RackState],
    paging: Paging,
    offcuts: Vec<Offcut>,
}

/// GET `/stock/rack`.
///
/// # Errors
/// The database's.
pub async fn list(
    State(app): State<AppState>,
    me: Me,
    Query(query): Query<ListQuery>,
) -> Result<Response, WebError> {
    let mut offcuts = rack::rack(app.db().read(), &query).await?;
    ok(&List {
        page: me.page("Rack"),
        paging: query.paging(&mut offcuts),
        sorts: SORTS,
        states: RackState::ALL,
        query,
        offcuts,
    })
}

/// What a stick's form may choose from.
struct Choices {
    items: Vec<(StockItemId, String)>,
    jobs: Vec<(i64, String)>,
}

impl Choices {
    async fn read(app: &AppState, me: &Me) -> Result<Self, WebError> {
        let pool = app.db().read();
        let items = store::live_items(pool).await?;
        let mut jobs = rack::job_choices(pool).await?;
        if me.role == Role::Carpenter {
            // The code stands on every label; the title is the job's page.
            for (_, words) in &mut jobs {
                *words = words.split(" · ").next().unwrap_or_default().to_owned();
            }
        }
        Ok(Self {
            items: items.into_iter().map(|i| (i.id, i.facts.name)).collect(),
            jobs,
        })
    }

    /// With what this stick holds, though it was put away since: a change of
    /// something else must not change that.
    fn holding(mut self, offcut: &Offcut) -> Self {
        let item = offcut.facts.item;
        if !self.items.iter().any(|(id, _)| *id == item) {
            self.items
                .push((item, format!("{} (put away)", offcut.item_name)));
        }
        if let (Some(job), Some(code)) = (offcut.facts.job, &offcut.job_code)
            && !self.jobs.iter().any(|(id, _)| *id == job)
        {
            self.jobs.push((job, format!("{code} (put away)")));
        }
        self
    }
}

#[derive(Template)]
#[template(path = "stock/offcut_form.html")]
struct Edit {
    page: Page,
    form: Form,
    items: Vec<Choice>,
    jobs: Vec<Choice>,
}

fn draw(page: Page, form: Form, choices: Choices) -> Result<Response, WebError> {
    let anyone = Choice::new("", "anyone");
    let jobs = choices.jobs.into_iter();
    let view = Edit {
        page,
        items: choices
            .items
            .into_iter()
            .map(|(id, name)| Choice::new(id, name))
            .collect(),
        jobs: std::iter::once(anyone)
            .chain(jobs.map(|(id, words)| Choice::new(id, words)))
            .collect(),
        form,
    };
    html(view.form.status(), &view)
}

fn new_page(me: &Me) -> Page {
    me.page("Put a stick on the rack")
        .under("/stock/rack", "Rack")
}

/// GET `/stock/rack/new`.
///
/// # Errors
/// The database's.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let choices = Choices::read(&app, &me).await?;
    draw(new_page(&me), me.form(&app, "/stock/rack/new")?, choices)
}

fn typed(
    post: &Post,
    choices: &Choices,
    app: &AppState,
) -> Result<crate::stock::model::OffcutFacts, Errors> {
    let items: Vec<_> = choices.items.iter().map(|(id, _)| *id).collect();
    let jobs: Vec<_> = choices.jobs.iter().map(|(id, _)| *id).collect();
    read(&post.fields, &items, &jobs, app.firm().unit)
}

/// POST `/stock/rack/new`.
///
/// # Errors
/// The database's.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let choices = Choices::read(&app, &me).await?;
    let facts = match typed(&post, &choices, &app) {
        Ok(facts) => facts,
        Err(errors) => {
            let form = post.again("/stock/rack/new").wrong(errors);
            return draw(new_page(&me), form, choices);
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = rack::add_offcut(&mut work.tx, work.made, &facts, None).await?;
    work.audit("rack.added", "offcut", id.get(), json!({}))
        .await?;
    work.done(format!("/stock/rack/{id}?saved")).await
}

/// One line of a stick's record.
struct Past {
    at: String,
    who: String,
    words: String,
}

#[derive(Template)]
#[template(path = "stock/offcut.html")]
struct Show {
    page: Page,
    offcut: Offcut,
    defects: String,
    past: Vec<Past>,
    form: Form,
    orders: bool,
}

/// GET `/stock/rack/{id}`.
///
/// # Errors
/// `Missing`; the database's.
pub async fn show(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OffcutId>,
) -> Result<Response, WebError> {
    let form = me.form(&app, format!("/stock/rack/{id}/move"))?;
    shown(&app, &me, id, form).await
}

async fn shown(app: &AppState, me: &Me, id: OffcutId, form: Form) -> Result<Response, WebError> {
    let pool = app.db().read();
    let offcut = rack::offcut(pool, id).await?;
    let zone = app.firm().zone;
    let past = rack::moves(pool, id).await?.into_iter().map(|m| {
        let order = m.order.map_or_else(String::new, |o| format!(", order {o}"));
        let reason = if m.reason.is_empty() {
            String::new()
        } else {
            format!(": {}", m.reason)
        };
        Past {
            at: m.at.local(zone),
            who: m.who.unwrap_or_else(|| "the program".into()),
            words: format!("{}{order}{reason}", m.what.words()),
        }
    });
    let view = Show {
        page: me
            .page(format!("Stick {}", offcut.code()))
            .under("/stock/rack", "Rack")
            .titled("Stick", offcut.code()),
        defects: defects_text(&offcut.facts.defects, app.firm().unit),
        past: past.collect(),
        orders: me.role != Role::Carpenter,
        offcut,
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/stock/rack/{id}/edit`.
///
/// # Errors
/// `Missing`; the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OffcutId>,
) -> Result<Response, WebError> {
    let offcut = rack::offcut(app.db().read(), id).await?;
    let choices = Choices::read(&app, &me).await?.holding(&offcut);
    let form = me.form(&app, format!("/stock/rack/{id}/edit"))?;
    let form = form
        .filled(offcut_fields(&offcut.facts, app.firm().unit))
        .at_version(offcut.version);
    draw(edit_page(&me, &offcut), form, choices)
}

fn edit_page(me: &Me, offcut: &Offcut) -> Page {
    me.page(format!("Change stick {}", offcut.code()))
        .under("/stock/rack", "Rack")
        .under(format!("/stock/rack/{}", offcut.id), offcut.code())
}

/// POST `/stock/rack/{id}/edit`.
///
/// # Errors
/// `Missing`; `NotNow` if the stick is spoken for; the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OffcutId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/stock/rack/{id}/edit"));
    let now = rack::offcut(app.db().read(), id).await?;
    let choices = Choices::read(&app, &me).await?.holding(&now);
    let facts = match typed(&post, &choices, &app) {
        Ok(facts) => facts,
        Err(errors) => return draw(edit_page(&me, &now), again.wrong(errors), choices),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match rack::change_offcut(&mut work.tx, id, post.version()?, &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = rack::offcut(app.db().read(), id).await?;
            if now.state != RackState::Free {
                let words = "This stick is no longer free, so it cannot be changed.";
                return draw(
                    edit_page(&me, &now),
                    again.wrong(Errors::one("", words)),
                    choices,
                );
            }
            let theirs = offcut_fields(&now.facts, app.firm().unit);
            let form = again.conflict(theirs, now.version);
            return draw(edit_page(&me, &now), form, choices);
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("rack.changed", "offcut", id.get(), json!({}))
        .await?;
    work.done(format!("/stock/rack/{id}?saved")).await
}

/// POST `/stock/rack/{id}/move`: used for something, scrapped, or back again.
/// What an order reserves, the order frees.
///
/// # Errors
/// `Missing`; the database's.
pub async fn moved(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OffcutId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/stock/rack/{id}/move"));
    let mut check = crate::web::Check::of(&post.fields);
    let what = check.one_of("do", |text| {
        StockMove::from_code(text)
            .filter(|m| matches!(m, StockMove::Used | StockMove::Scrapped | StockMove::Racked))
    });
    let reason = check.line("reason", 200);
    let (what, reason) = match check.finish_some(what.map(|what| (what, reason))) {
        Ok(both) => both,
        Err(errors) => return shown(&app, &me, id, again.wrong(errors)).await,
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match rack::move_offcut(&mut work.tx, work.made, id, what, None, &reason).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let words = "This stick stands otherwise by now: look below, then choose again.";
            let form = again.wrong(Errors::one("", words));
            return shown(&app, &me, id, form).await;
        }
        Err(error) => return Err(error.into()),
    }
    let detail = json!({ "to": what.code() });
    work.audit("rack.moved", "offcut", id.get(), detail).await?;
    work.done(format!("/stock/rack/{id}?saved")).await
}
