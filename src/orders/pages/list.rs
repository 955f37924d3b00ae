//! Every order, and a new one: choosing heads.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;
use serde_json::json;

use super::only_led;
use crate::access::{Me, Post, Reach, Start, Thing};
use crate::heads::{self, GateKind, Step, Steps};
use crate::orders::forms::order as read;
use crate::orders::model::{Choosable, OrderCard};
use crate::orders::store::{self, Shown};
use crate::web::{AppState, Fields, Form, ListQuery, Page, Paging, WebError, html, ok};

#[derive(Template)]
#[template(path = "orders/list.html")]
struct List {
    page: Page,
    paging: Paging,
    orders: Vec<(OrderCard, String)>,
    /// Where an order's name leads: the order, or the stick plan.
    more: &'static str,
    may_write: bool,
}

/// GET `/orders`.
///
/// # Errors
/// The database's.
pub async fn list(
    State(app): State<AppState>,
    me: Me,
    Query(query): Query<ListQuery>,
) -> Result<Response, WebError> {
    let may_write = me.may_write(Thing::Orders) != Reach::None;
    let shown = Shown {
        led_by: only_led(&me),
        given_to: (me.reach == Reach::Assigned).then(|| me.id.get()),
        placed: !may_write,
    };
    let mut orders = store::orders(app.db().read(), shown, query.window()).await?;
    let paging = query.paging(&mut orders);
    let zone = app.firm().zone;
    ok(&List {
        page: me.page("Lumber orders"),
        paging,
        orders: orders
            .into_iter()
            .map(|card| {
                let day = card.at.date(zone).to_string();
                (card, day)
            })
            .collect(),
        more: if may_write { "" } else { "/sticks" },
        may_write,
    })
}

/// A job with its heads, to be ticked.
struct JobHeads {
    words: String,
    heads: Vec<Choosable>,
}

#[derive(Template)]
#[template(path = "orders/new.html")]
struct New {
    page: Page,
    form: Form,
    jobs: Vec<JobHeads>,
}

fn by_job(heads: Vec<Choosable>) -> Vec<JobHeads> {
    let mut jobs: BTreeMap<(String, i64), Vec<Choosable>> = BTreeMap::new();
    for head in heads {
        jobs.entry((head.job_words.clone(), head.job))
            .or_default()
            .push(head);
    }
    jobs.into_iter()
        .map(|((words, _), heads)| JobHeads { words, heads })
        .collect()
}

fn draw(me: &Me, form: Form, heads: Vec<Choosable>) -> Result<Response, WebError> {
    let view = New {
        page: me.page("New lumber order").under("/orders", "Orders"),
        jobs: by_job(heads),
        form,
    };
    html(view.form.status(), &view)
}

/// Whether a head at this step waits for its wood: its drawing is approved, and
/// no later step is reached that asks for the permit or the wood.
pub(crate) fn due(steps: &Steps, at: &str) -> bool {
    let first = |kinds: &[GateKind]| {
        let asks = |step: &Step| step.gates.iter().any(|gate| kinds.contains(gate));
        steps.iter().position(asks)
    };
    let from = first(&[GateKind::Approval]).unwrap_or(0);
    let to = first(&[GateKind::Permit, GateKind::Material]);
    let place = steps.iter().position(|s| s.name == at);
    place.is_some_and(|p| p >= from && to.is_none_or(|to| p < to))
}

/// GET `/orders/new`.
///
/// # Errors
/// The database's.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let heads = store::choosable(app.db().read(), only_led(&me)).await?;
    let steps = heads::steps(app.db().read()).await?;
    let today = app.now().date(app.firm().zone);
    let mut fields = Fields::default()
        .with("name", format!("Lumber of {today}"))
        .with("spare", 5)
        .with("end_trim", "1/4 in")
        .with("seconds", 20);
    for head in heads.iter().filter(|h| due(&steps, &h.step) && !h.ordered) {
        fields = fields.with("head", head.id);
    }
    draw(&me, me.form(&app, "/orders/new")?.filled(fields), heads)
}

/// POST `/orders/new`.
///
/// # Errors
/// The database's.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let heads = store::choosable(app.db().read(), only_led(&me)).await?;
    let known: Vec<i64> = heads.iter().map(|h| h.id).collect();
    let facts = match read(&post.fields, &known, app.firm().unit) {
        Ok(facts) => facts,
        Err(errors) => return draw(&me, post.again("/orders/new").wrong(errors), heads),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = store::add_order(&mut work.tx, work.made, &facts).await?;
    let detail = json!({ "heads": facts.heads.len() });
    work.audit("order.begun", "lumber order", id.get(), detail)
        .await?;
    work.done(format!("/orders/{id}")).await
}
