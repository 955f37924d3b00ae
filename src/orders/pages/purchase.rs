//! The purchase list: what is bought of whom, for the telephone and on paper.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;

use super::{block, money};
use crate::access::Me;
use crate::orders::model::{LumberOrder, OrderId, Purchase};
use crate::orders::store::{self, plans};
use crate::web::{AppState, Page, WebError, ok};

/// A stick that the rack gives.
struct FromRack {
    code: String,
    words: String,
    item: String,
    place: String,
}

#[derive(Template)]
#[template(path = "orders/purchase.html")]
struct List {
    page: Page,
    order: LumberOrder,
    purchases: Vec<Purchase>,
    rack: Vec<FromRack>,
    total: String,
    placed: String,
}

/// GET `/orders/{id}/purchase`.
///
/// # Errors
/// `NotNow` before the order is placed; the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OrderId>,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let order = store::order(pool, id).await?;
    let Some(placed) = order.placed.clone() else {
        return Err(WebError::NotNow(
            "This order is not placed yet, so there is no purchase list.".into(),
        ));
    };
    let purchases = plans::purchases(pool, placed.event).await?;
    let solves = plans::solves(pool, id, placed.round).await?;
    let mut rack = Vec::new();
    for solve in &solves {
        let buys = solve.outcome().map(|o| o.plan.buy.as_slice());
        for buy in buys.unwrap_or_default() {
            if let Some(stock) = solve.stock(&buy.stock).filter(|s| s.offcut.is_some()) {
                rack.push(FromRack {
                    code: stock.id.clone(),
                    words: stock.words.clone(),
                    item: solve.item_name.clone(),
                    place: stock.place.clone(),
                });
            }
        }
    }
    let total: i64 = purchases.iter().map(|p| p.sum().cents()).sum();
    let who = placed.by.as_deref().unwrap_or("somebody");
    ok(&List {
        page: block(
            &app,
            &order,
            me.page(format!("Purchase list: {}", order.facts.name)),
        )
        .under("/orders", "Orders")
        .under(format!("/orders/{id}"), &order.facts.name),
        placed: format!("{who}, {}", placed.at.local(app.firm().zone)),
        total: money(total),
        purchases,
        rack,
        order,
    })
}
