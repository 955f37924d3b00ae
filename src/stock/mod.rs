//! What can be bought (the shelf) and what is there already (the rack).
//!
//! Prices are for whoever orders; a carpenter sees sizes and lengths only.

mod forms;
mod model;
mod pages;
mod seed;
mod store;

use crate::access::{Area, BoxFuture, Kind, Nav, Need, Route, Thing, Ties, UserId};
use crate::db::StoreError;
use crate::web::AppState;

pub use model::{
    Defect, Flip, ItemFacts, MoveRow, Offcut, OffcutFacts, OffcutId, RackState, Sold, StockForm,
    StockItem, StockItemId, StockLength, StockLengthId, StockMove, Supplier, SupplierFacts,
    SupplierId, defects_text, long_words, parse_defects,
};
pub use store::rack::{add_offcut, change_offcut, free_of, move_offcut, moves, offcut, rack};
pub use store::{
    add_item, add_supplier, archive_item, change_item, change_supplier, drop_length, item, items,
    lengths, live_items, put_length, supplier, suppliers,
};

/// Shelf, suppliers, rack.
#[must_use]
pub fn area() -> Area {
    let mut routes = shelf_routes();
    routes.extend(rack_routes());
    Area {
        routes,
        kinds: vec![
            Kind {
                name: "stock item",
                ties: item_ties,
            },
            Kind {
                name: "supplier",
                ties: supplier_ties,
            },
            Kind {
                name: "offcut",
                ties: offcut_ties,
            },
        ],
        nav: vec![
            Nav {
                href: "/stock/shelf",
                word: "Shelf",
                need: Need::Read(Thing::Shelf),
            },
            Nav {
                href: "/stock/rack",
                word: "Rack",
                need: Need::Read(Thing::Rack),
            },
        ],
        keep: None,
        today: None,
        seed: Some(seed::seed),
    }
}

fn shelf_routes() -> Vec<Route> {
    use pages::{shelf, suppliers};
    let (read, write) = (Need::Read(Thing::Shelf), Need::Write(Thing::Shelf));
    let item = "stock item";
    vec![
        Route::get("/stock/shelf", read, shelf::list),
        Route::get("/stock/shelf/new", write, shelf::new),
        Route::post("/stock/shelf/new", write, shelf::add),
        Route::get("/stock/shelf/{id}", read, shelf::show).on(item),
        Route::get("/stock/shelf/{id}/edit", write, shelf::edit).on(item),
        Route::post("/stock/shelf/{id}/edit", write, shelf::save).on(item),
        Route::post("/stock/shelf/{id}/length", write, shelf::put_length).on(item),
        Route::post("/stock/shelf/{id}/drop", write, shelf::drop_length).on(item),
        Route::post("/stock/shelf/{id}/archive", write, shelf::archive).on(item),
        Route::get("/stock/suppliers", write, suppliers::list),
        Route::get("/stock/suppliers/new", write, suppliers::new),
        Route::post("/stock/suppliers/new", write, suppliers::add),
        Route::get("/stock/suppliers/{id}", write, suppliers::edit).on("supplier"),
        Route::post("/stock/suppliers/{id}", write, suppliers::save).on("supplier"),
    ]
}

fn rack_routes() -> Vec<Route> {
    use pages::rack;
    let (read, write) = (Need::Read(Thing::Rack), Need::Write(Thing::Rack));
    vec![
        Route::get("/stock/rack", read, rack::list),
        Route::get("/stock/rack/new", write, rack::new),
        Route::post("/stock/rack/new", write, rack::add),
        Route::get("/stock/rack/{id}", read, rack::show).on("offcut"),
        Route::get("/stock/rack/{id}/edit", write, rack::edit).on("offcut"),
        Route::post("/stock/rack/{id}/edit", write, rack::save).on("offcut"),
        Route::post("/stock/rack/{id}/move", write, rack::moved).on("offcut"),
    ]
}

/// Stock belongs to no job: there is a record or there is none.
fn there<T>(found: Result<T, StoreError>) -> Result<Option<Ties>, StoreError> {
    match found {
        Ok(_) => Ok(Some(Ties::default())),
        Err(StoreError::Missing(_)) => Ok(None),
        Err(error) => Err(error),
    }
}

type TiesFound = BoxFuture<Result<Option<Ties>, StoreError>>;

fn item_ties(app: AppState, _: UserId, row: i64) -> TiesFound {
    Box::pin(async move { there(item(app.db().read(), StockItemId::new(row)).await) })
}

fn supplier_ties(app: AppState, _: UserId, row: i64) -> TiesFound {
    Box::pin(async move { there(supplier(app.db().read(), SupplierId::new(row)).await) })
}

fn offcut_ties(app: AppState, _: UserId, row: i64) -> TiesFound {
    Box::pin(async move { there(offcut(app.db().read(), OffcutId::new(row)).await) })
}
