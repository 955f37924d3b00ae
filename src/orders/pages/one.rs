//! One order: its take-off, working it out, placing it, taking it back.

use std::collections::{BTreeMap, BTreeSet};

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use serde_json::json;

use super::{groups, show, taken};
use crate::access::{Me, Post, Start, Work};
use crate::db::StoreError;
use crate::orders::build::{Source, Terms, request};
use crate::orders::desk::Desk;
use crate::orders::hooks::held;
use crate::orders::model::{LumberOrder, OrderId, Request, SoldRef, Solve, SolveId};
use crate::orders::store::{self, plans};
use crate::stock::{self, StockItemId, StockMove, SupplierId};
use crate::web::{AppState, Errors, WebError};

pub(super) fn desk(app: &AppState) -> Result<&Desk, WebError> {
    app.hook::<Desk>()
        .ok_or_else(|| WebError::internal("no desk to work orders out"))
}

/// GET `/orders/{id}`.
///
/// # Errors
/// `Missing`; the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OrderId>,
) -> Result<Response, WebError> {
    show::page(&app, &me, id, Errors::default()).await
}

/// One group to be worked out.
struct Asked {
    name: String,
    item: StockItemId,
    request: Request,
}

/// What was chosen for each group, made into requests; words for what cannot
/// be.
async fn asked(
    app: &AppState,
    order: &LumberOrder,
    post: &Post,
) -> Result<Result<Vec<Asked>, Errors>, WebError> {
    let pool = app.db().read();
    let (heads, kerf) = taken(app, order).await?;
    let terms = Terms {
        kerf,
        end_trim: order.facts.end_trim,
        spare: order.facts.spare,
    };
    let chosen: BTreeMap<&str, &str> = post
        .fields
        .all("key")
        .zip(post.fields.all("item"))
        .collect();
    let (mut out, mut errors) = (Vec::new(), Errors::default());
    // Two groups cut from one item: a stick of the rack is offered to one only.
    let mut offered: BTreeSet<i64> = BTreeSet::new();
    for group in groups(&heads) {
        let Some(item) = chosen
            .get(group.key.as_str())
            .and_then(|text| text.parse::<StockItemId>().ok())
        else {
            continue;
        };
        let item = stock::item(pool, item).await?;
        let sold = stock::lengths(pool, Some(item.id)).await?;
        let mut rack = stock::free_of(pool, item.id).await?;
        rack.retain(|stick| !offered.contains(&stick.id.get()));
        let source = Source {
            sold: sold.into_iter().map(|(_, length)| length).collect(),
            rack,
            item: &item,
        };
        match request(&group, &heads, &source, &terms) {
            Some(request) => match crate::cutting::from_json(&request.order) {
                Ok(_) => {
                    offered.extend(
                        request
                            .stock
                            .iter()
                            .filter_map(|stick| stick.offcut.map(|id| id.get())),
                    );
                    out.push(Asked {
                        name: group.name.clone(),
                        item: item.id,
                        request,
                    });
                }
                Err(wrong) => errors.add("", format!("{}: {wrong}", group.name)),
            },
            None => errors.add(
                "",
                format!("{} cannot be got out of {}.", group.name, item.facts.name),
            ),
        }
    }
    if out.is_empty() && errors.is_empty() {
        errors.add(
            "",
            "Choose from the shelf what at least one of these is cut from.",
        );
    }
    Ok(if errors.is_empty() {
        Ok(out)
    } else {
        Err(errors)
    })
}

const MEANWHILE: &str =
    "Someone else placed this order or worked it out again meanwhile. Look at it again.";

/// POST `/orders/{id}/solve`: works every chosen moulding out, in the
/// background.
///
/// # Errors
/// `NotNow` while it is placed; the database's.
pub async fn solve(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OrderId>,
    post: Post,
) -> Result<Response, WebError> {
    let order = store::order(app.db().read(), id).await?;
    if let Some(earlier) = post.earlier(&app, &me).await? {
        return Ok(earlier);
    }
    if order.placed.is_some() {
        return Err(WebError::NotNow(
            "This order is placed. Take it back before working it out again.".into(),
        ));
    }
    let asked = match asked(&app, &order, &post).await? {
        Ok(asked) => asked,
        Err(errors) => return show::page(&app, &me, id, errors).await,
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let round = match plans::next_round(&mut work.tx, id, order.round).await {
        Ok(round) => round,
        Err(StoreError::Stale(_)) => {
            drop(work);
            return show::page(&app, &me, id, Errors::one("", MEANWHILE)).await;
        }
        Err(error) => return Err(error.into()),
    };
    let mut begun: Vec<(SolveId, Request)> = Vec::new();
    for one in asked {
        let name = (one.name.as_str(), one.item);
        let at = (id, round);
        let solve = plans::add_solve(&mut work.tx, work.made, at, name, &one.request).await?;
        begun.push((solve, one.request));
    }
    let detail = json!({ "round": round, "mouldings": begun.len() });
    work.audit("order.asked", "lumber order", id.get(), detail)
        .await?;
    let reply = work.done(format!("/orders/{id}#plans")).await?;
    // Only what is kept is worked out.
    let desk = desk(&app)?;
    for (solve, request) in begun {
        desk.start(app.clone(), solve, request, order.facts.seconds);
    }
    Ok(reply)
}

/// POST `/orders/{id}/stop`: ends the search with the best so far.
///
/// # Errors
/// The database's.
pub async fn stop(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OrderId>,
    post: Post,
) -> Result<Response, WebError> {
    let order = store::order(app.db().read(), id).await?;
    let solves = plans::solves(app.db().read(), id, order.round).await?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    work.audit("order.stopped", "lumber order", id.get(), json!({}))
        .await?;
    let reply = work.done(format!("/orders/{id}#plans")).await?;
    for solve in solves {
        desk(&app)?.stop(solve.id);
    }
    Ok(reply)
}

/// GET `/orders/{id}/progress`: how far each search has come, for the page's
/// script.
///
/// # Errors
/// `Missing`; the database's.
pub async fn progress(
    State(app): State<AppState>,
    Path(id): Path<OrderId>,
) -> Result<Response, WebError> {
    let order = store::order(app.db().read(), id).await?;
    let solves = plans::solves(app.db().read(), id, order.round).await?;
    let lines: Vec<_> = solves
        .iter()
        .map(|solve| json!({ "id": solve.id, "words": show::standing(&app, solve) }))
        .collect();
    let running = solves.iter().filter(|s| show::runs(&app, s)).count();
    let body = json!({ "running": running, "lines": lines }).to_string();
    Ok(([(header::CONTENT_TYPE, "application/json")], body).into_response())
}

/// Every moulding with a plan to buy and cut; words for what keeps the order
/// from being placed.
fn ready(solves: &[Solve]) -> Result<(), String> {
    let lacking: Vec<&str> = solves
        .iter()
        .filter(|s| s.outcome().is_none())
        .map(|s| s.name.as_str())
        .collect();
    if solves.is_empty() {
        return Err("Work the order out first.".into());
    }
    if lacking.is_empty() {
        return Ok(());
    }
    Err(format!("There is no plan yet for {}.", lacking.join("; ")))
}

/// POST `/orders/{id}/place`: reserves the rack's sticks and makes the
/// purchase list, all or nothing.
///
/// # Errors
/// The database's.
pub async fn place(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OrderId>,
    post: Post,
) -> Result<Response, WebError> {
    let order = store::order(app.db().read(), id).await?;
    if let Some(earlier) = post.earlier(&app, &me).await? {
        return Ok(earlier);
    }
    let solves = plans::solves(app.db().read(), id, order.round).await?;
    if let Err(words) = ready(&solves) {
        return show::page(&app, &me, id, Errors::one("", words)).await;
    }
    let mut kept_back = Errors::default();
    for words in held(&app, &order).await? {
        kept_back.add("", words);
    }
    if !kept_back.is_empty() {
        return show::page(&app, &me, id, kept_back).await;
    }
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match placed(&mut work, id, order.round, &solves).await {
        Ok(()) => {}
        Err(StoreError::Stale("offcut")) => {
            drop(work);
            let words = "A stick of the rack that this order counts on is gone or spoken for by now. Work the order out again.";
            return show::page(&app, &me, id, Errors::one("", words)).await;
        }
        Err(StoreError::Stale(_)) => {
            drop(work);
            return show::page(&app, &me, id, Errors::one("", MEANWHILE)).await;
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("order.placed", "lumber order", id.get(), json!({}))
        .await?;
    work.done(format!("/orders/{id}/purchase")).await
}

async fn placed(
    work: &mut Work,
    id: OrderId,
    round: i64,
    solves: &[Solve],
) -> Result<(), StoreError> {
    let event = plans::add_event(&mut work.tx, work.made, (id, round), true).await?;
    let mut bought: BTreeMap<SupplierId, Vec<(StockItemId, SoldRef, i64)>> = BTreeMap::new();
    for solve in solves {
        let Some(outcome) = solve.outcome() else {
            continue;
        };
        for buy in &outcome.plan.buy {
            let Some(stock) = solve.stock(&buy.stock) else {
                continue;
            };
            if let Some(offcut) = stock.offcut {
                let what = StockMove::Reserved;
                let order = Some(id.get());
                stock::move_offcut(&mut work.tx, work.made, offcut, what, order, "").await?;
            }
            if let Some(sold) = &stock.sold {
                let lines = bought.entry(sold.supplier).or_default();
                lines.push((solve.item, sold.clone(), buy.qty));
            }
        }
    }
    for (supplier, lines) in bought {
        plans::add_purchase(&mut work.tx, work.made, event, supplier, &lines).await?;
    }
    Ok(())
}

/// POST `/orders/{id}/back`: takes a placed order back and frees its sticks,
/// while none is cut.
///
/// # Errors
/// `NotNow` once a stick is cut; the database's.
pub async fn back(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OrderId>,
    post: Post,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let order = store::order(pool, id).await?;
    if let Some(earlier) = post.earlier(&app, &me).await? {
        return Ok(earlier);
    }
    let Some(placed) = &order.placed else {
        return Err(WebError::NotNow("This order is not placed.".into()));
    };
    let solves = plans::solves(pool, id, placed.round).await?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    // Asked again inside the transaction: nobody can cut a stick meanwhile.
    if plans::any_cut(&mut work.tx, id, placed.round).await? {
        return Err(WebError::NotNow(
            "A stick of this order is cut already, so it cannot be taken back.".into(),
        ));
    }
    plans::add_event(&mut work.tx, work.made, (id, placed.round), false).await?;
    let held: BTreeSet<_> = solves
        .iter()
        .filter_map(|solve| Some((solve, solve.outcome()?)))
        .flat_map(|(solve, outcome)| {
            let buys = outcome.plan.buy.iter();
            buys.filter_map(|buy| solve.stock(&buy.stock)?.offcut)
        })
        .collect();
    for offcut in held {
        let (what, order) = (StockMove::Released, Some(id.get()));
        match stock::move_offcut(&mut work.tx, work.made, offcut, what, order, "").await {
            // Scrapped or used meanwhile: nothing to free.
            Ok(()) | Err(StoreError::Stale(_)) => {}
            Err(error) => return Err(error.into()),
        }
    }
    work.audit("order.taken-back", "lumber order", id.get(), json!({}))
        .await?;
    work.done(format!("/orders/{id}?saved")).await
}
