//! The stick plan: which stick to take and how to cut it, for the phone and on
//! paper. No prices. A carpenter sees the sticks that hold pieces of own heads.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::show::{StickRow, sticks};
use super::{block, changed};
use crate::access::{Me, Post, Reach, Start, Thing, Work};
use crate::db::StoreError;
use crate::heads::{self, HeadId};
use crate::measure::{Length, Unit};
use crate::orders::model::{OrderId, PlanStick, Solve, SolveId};
use crate::orders::store::{self, plans};
use crate::stock::{self, OffcutFacts, StockMove};
use crate::web::{AppState, Check, Form, Page, WebError, ok};

/// One moulding of the plan.
struct Part {
    id: i64,
    name: String,
    item: String,
    match_runs: bool,
    sticks: Vec<StickRow>,
    hidden: usize,
}

#[derive(Template)]
#[template(path = "orders/sticks.html")]
struct Plan {
    page: Page,
    parts: Vec<Part>,
    changed: Vec<String>,
    tick: Option<Form>,
    own_only: bool,
    placed: bool,
    total: usize,
    done: usize,
}

/// GET `/orders/{id}/sticks`.
///
/// # Errors
/// `Missing`; the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OrderId>,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let order = store::order(pool, id).await?;
    let own_only = me.reach == Reach::Assigned;
    let mine = store::heads_given(pool, me.id).await?;
    let round = order.placed.as_ref().map(|p| p.round);
    let solves = match round {
        Some(round) => plans::solves(pool, id, round).await?,
        None => Vec::new(),
    };
    let cut = plans::cut_sticks(pool, id, round.unwrap_or(0)).await?;
    let mut parts = Vec::new();
    for solve in &solves {
        let done = |nth| cut.get(&(solve.id, nth)).cloned();
        let mut rows = sticks(solve, done, (&mine, app.firm().rounding));
        let whole = rows.len();
        if own_only {
            rows.retain(|row| row.cuts.iter().any(|cut| cut.mine));
        }
        parts.push(Part {
            id: solve.id.get(),
            name: solve.name.clone(),
            item: solve.item_name.clone(),
            match_runs: solve.request.match_runs,
            hidden: whole - rows.len(),
            sticks: rows,
        });
    }
    let ticks = matches!(me.may_write(Thing::Ticks), Reach::Own | Reach::Assigned);
    let shown = || parts.iter().flat_map(|p| &p.sticks);
    let mut page = me
        .page(format!("Stick plan: {}", order.facts.name))
        .under("/orders", "Orders");
    if me.may_write(Thing::Orders) != Reach::None {
        page = page.under(format!("/orders/{id}"), &order.facts.name);
    }
    let view = Plan {
        page: block(&app, &order, page),
        tick: (ticks && round.is_some())
            .then(|| me.form(&app, format!("/orders/{id}/cut")))
            .transpose()?,
        total: shown().count(),
        done: shown().filter(|s| s.done.is_some()).count(),
        placed: round.is_some(),
        own_only,
        changed: changed(&app, &solves).await?,
        parts,
    };
    ok(&view)
}

/// POST `/orders/{id}/cut`: a stick is cut. Its left-over goes to the rack, a
/// stick of the rack is used up, its pieces are ticked on their heads' sheets;
/// all of it once.
///
/// # Errors
/// `NotNow` if it is cut already or not to be cut; the database's.
pub async fn cut(
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
    let not_now = |words: &str| WebError::NotNow(words.to_owned());
    let placed = order
        .placed
        .as_ref()
        .ok_or_else(|| not_now("This order is not placed: its sticks are not to be cut yet."))?;
    let number = |name: &str| post.fields.get(name).parse::<i64>().ok();
    let place = Check::of(&post.fields).optional_line("place", 120);
    let solves = plans::solves(pool, id, placed.round).await?;
    let found = number("solve")
        .zip(number("stick"))
        .and_then(|(solve, nth)| {
            let solve = solves.iter().find(|s| s.id == SolveId::new(solve))?;
            let at = usize::try_from(nth).ok()?.checked_sub(1)?;
            Some((solve, solve.outcome()?.plan.sticks.get(at)?, nth))
        });
    let (solve, stick, nth) =
        found.ok_or_else(|| not_now("This plan has no such stick. Reload it."))?;
    if me.reach == Reach::Assigned {
        let mine = store::heads_given(pool, me.id).await?;
        let own = |label: &str| {
            let head = solve.piece(label).and_then(|p| p.head);
            head.is_some_and(|h| mine.contains(&h))
        };
        if !stick.cuts.iter().any(|c| own(&c.label)) {
            return Err(WebError::Missing);
        }
    }
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let done = Done {
        order: id,
        round: placed.round,
        solve,
        stick,
        nth,
        place,
    };
    match done.write(&mut work).await {
        Ok(()) => {}
        Err(StoreError::Taken(_)) => return Err(not_now("This stick is cut already.")),
        Err(StoreError::Stale("offcut")) => {
            return Err(not_now(
                "This stick of the rack is gone by now: it was used or scrapped. Tell the office.",
            ));
        }
        Err(StoreError::Stale(_)) => {
            return Err(not_now("This order was taken back meanwhile. Reload it."));
        }
        Err(error) => return Err(error.into()),
    }
    let detail = json!({ "solve": solve.id, "stick": nth });
    work.audit("order.stick-cut", "lumber order", id.get(), detail)
        .await?;
    work.done(format!("/orders/{id}/sticks#stick-{}-{nth}", solve.id))
        .await
}

/// A stick that is cut.
struct Done<'a> {
    order: OrderId,
    round: i64,
    solve: &'a Solve,
    stick: &'a PlanStick,
    nth: i64,
    place: String,
}

impl Done<'_> {
    async fn write(&self, work: &mut Work) -> Result<(), StoreError> {
        plans::still_placed(&mut work.tx, self.order, self.round).await?;
        plans::cut_stick(&mut work.tx, work.made, self.solve.id, self.nth).await?;
        let stock = self.solve.stock(&self.stick.stock);
        if let Some(offcut) = stock.and_then(|s| s.offcut) {
            let (what, order) = (StockMove::Used, Some(self.order.get()));
            stock::move_offcut(&mut work.tx, work.made, offcut, what, order, "").await?;
        }
        self.rack(work).await?;
        self.ticks(work).await
    }

    /// What is left over and worth keeping goes on the rack.
    async fn rack(&self, work: &mut Work) -> Result<(), StoreError> {
        let stock = self.solve.stock(&self.stick.stock);
        let keep = crate::cutting::from_json(&self.solve.request.order)
            .ok()
            .and_then(|order| order.keep_at_least);
        let Some(keep) = keep else {
            return Ok(());
        };
        let batch = match stock {
            Some(s) if s.sold.is_some() => {
                let from = s.sold.as_ref().map_or("", |sold| &sold.supplier_name);
                format!("order {}, {from}", self.order)
            }
            Some(s) => s.batch.clone(),
            None => String::new(),
        };
        let ripped = stock.and_then(|s| s.ripped_nm);
        for left in self.stick.left_overs() {
            let Ok(length) = Length::from_f64(left, Unit::Inch) else {
                continue;
            };
            if length < keep || length <= Length::ZERO {
                continue;
            }
            let facts = OffcutFacts {
                item: self.solve.item,
                length,
                width: ripped.map(Length::from_nanometres),
                place: self.place.clone(),
                job: None,
                batch: batch.chars().take(60).collect(),
                defects: Vec::new(),
                note: format!("Left over from {}", self.stick.stock),
            };
            let order = Some(self.order.get());
            stock::add_offcut(&mut work.tx, work.made, &facts, order).await?;
        }
        Ok(())
    }

    /// Pieces are ticked on the sheets they were ordered from; a sheet that
    /// changed since keeps its own count.
    async fn ticks(&self, work: &mut Work) -> Result<(), StoreError> {
        for cut in &self.stick.cuts {
            let Some(piece) = self.solve.piece(&cut.label) else {
                continue;
            };
            let (Some(head), Some(label)) = (piece.head, &piece.tick) else {
                continue;
            };
            let at = (HeadId::new(head), piece.sheet_version);
            match heads::tick(&mut work.tx, work.made, at, label, true).await {
                Ok(()) | Err(StoreError::Stale(_) | StoreError::Missing(_)) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }
}
