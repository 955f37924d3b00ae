//! Lumber orders: heads chosen, their take-off, what to buy and how to cut it,
//! the purchase list, the stick plan.
//!
//! One search for each moulding or board. What is asked and what came out are
//! frozen; prices stay out of whatever a carpenter sees.

mod build;
mod desk;
mod draw;
mod forms;
mod hooks;
mod model;
mod pages;
mod seed;
mod store;

use crate::access::{Area, BoxFuture, Kind, Nav, Need, Route, Thing, Ties, UserId};
use crate::db::StoreError;
use crate::web::AppState;

pub use build::{Source, Taken, Terms, request};
pub use desk::Desk;
pub use hooks::{BeforeOrder, BeforeOrderFn};
pub use model::{
    How, LumberOrder, OrderFacts, OrderId, Outcome, Plan, Purchase, Request, Solve, SolveId,
};
pub use store::plans::{
    add_event, add_solve, cut_stick, cut_sticks, purchases, put_result, solves,
};
pub use store::{Shown, add_order, choosable, order, orders, ties as order_ties};

/// The kind of record that an order is, for the guard.
pub const ORDER: &str = "lumber order";

/// Lumber orders.
#[must_use]
pub fn area() -> Area {
    use pages::{list, one, purchase, sticks};
    let (read, write) = (Need::Read(Thing::Orders), Need::Write(Thing::Orders));
    let ticks = Need::Write(Thing::Ticks);
    Area {
        routes: vec![
            Route::get("/orders", read, list::list),
            Route::get("/orders/new", write, list::new),
            Route::post("/orders/new", write, list::add),
            // Prices stand on these, so whoever only reads is kept out.
            Route::get("/orders/{id}", write, one::page).on(ORDER),
            Route::get("/orders/{id}/progress", write, one::progress).on(ORDER),
            Route::get("/orders/{id}/purchase", write, purchase::page).on(ORDER),
            Route::post("/orders/{id}/solve", write, one::solve).on(ORDER),
            Route::post("/orders/{id}/stop", write, one::stop).on(ORDER),
            Route::post("/orders/{id}/place", write, one::place).on(ORDER),
            Route::post("/orders/{id}/back", write, one::back).on(ORDER),
            Route::get("/orders/{id}/sticks", read, sticks::page).on(ORDER),
            Route::post("/orders/{id}/cut", ticks, sticks::cut).on(ORDER),
        ],
        kinds: vec![Kind { name: ORDER, ties }],
        nav: vec![Nav {
            href: "/orders",
            word: "Orders",
            need: read,
        }],
        keep: None,
        today: None,
        seed: Some(seed::seed),
    }
}

fn ties(app: AppState, user: UserId, row: i64) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move { store::ties(app.db().read(), user, row).await })
}
