//! Every order, and a new one: choosing heads.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;
use serde_json::json;

use super::only_led;
use crate::access::{Me, Post, Reach, Start, Thing};
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
    let shown = Shown {
        led_by: only_led(&me),
        given_to: (me.reach == Reach::Assigned).then(|| me.id.get()),
    };
    let mut orders = store::orders(app.db().read(), shown, query.window()).await?;
    let paging = query.paging(&mut orders);
    let zone = app.firm().zone;
    let may_write = me.may_write(Thing::Orders) != Reach::None;
    ok(&List {
        page: me.page("Lumber orders"),
        paging,
        orders: orders
            .into_iter()
            .filter(|card| may_write || card.placed)
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

/// GET `/orders/new`.
///
/// # Errors
/// The database's.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let heads = store::choosable(app.db().read(), only_led(&me)).await?;
    let today = app.now().date(app.firm().zone);
    let mut fields = Fields::default()
        .with("name", format!("Lumber of {today}"))
        .with("spare", 5)
        .with("end_trim", "1/4 in")
        .with("seconds", 20);
    // What is drawn and approved waits for its wood.
    for head in heads.iter().filter(|h| h.step == "approved" && !h.ordered) {
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
