//! Whoever sells boards and mouldings: the office's pages.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use crate::access::{Me, Post, Start};
use crate::db::StoreError;
use crate::stock::forms::{supplier as read, supplier_fields};
use crate::stock::model::{Supplier, SupplierId};
use crate::stock::store;
use crate::web::{AppState, Errors, Form, Page, WebError, html, ok};

#[derive(Template)]
#[template(path = "stock/suppliers.html")]
struct List {
    page: Page,
    suppliers: Vec<Supplier>,
}

#[derive(Template)]
#[template(path = "stock/supplier.html")]
struct Edit {
    page: Page,
    form: Form,
}

fn under(page: Page) -> Page {
    page.under("/stock/shelf", "Shelf")
        .under("/stock/suppliers", "Suppliers")
}

fn draw(page: Page, form: Form) -> Result<Response, WebError> {
    html(form.status(), &Edit { page, form })
}

fn taken() -> Errors {
    Errors::one("name", "There is a supplier of this name already.")
}

/// GET `/stock/suppliers`.
///
/// # Errors
/// The database's.
pub async fn list(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    ok(&List {
        page: me.page("Suppliers").under("/stock/shelf", "Shelf"),
        suppliers: store::suppliers(app.db().read()).await?,
    })
}

/// GET `/stock/suppliers/new`.
///
/// # Errors
/// The system's.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    draw(
        under(me.page("New supplier")),
        me.form(&app, "/stock/suppliers/new")?,
    )
}

/// POST `/stock/suppliers/new`.
///
/// # Errors
/// The database's.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let again = post.again("/stock/suppliers/new");
    let page = under(me.page("New supplier"));
    let facts = match read(&post.fields) {
        Ok(facts) => facts,
        Err(errors) => return draw(page, again.wrong(errors)),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = match store::add_supplier(&mut work.tx, work.made, &facts).await {
        Ok(id) => id,
        Err(StoreError::Taken(_)) => return draw(page, again.wrong(taken())),
        Err(error) => return Err(error.into()),
    };
    work.audit("supplier.added", "supplier", id.get(), json!({}))
        .await?;
    work.done("/stock/suppliers?saved").await
}

/// GET `/stock/suppliers/{id}`.
///
/// # Errors
/// `Missing`; the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SupplierId>,
) -> Result<Response, WebError> {
    let supplier = store::supplier(app.db().read(), id).await?;
    let form = me.form(&app, format!("/stock/suppliers/{id}"))?;
    let form = form
        .filled(supplier_fields(&supplier.facts))
        .at_version(supplier.version);
    draw(under(me.page(&supplier.facts.name)), form)
}

/// POST `/stock/suppliers/{id}`.
///
/// # Errors
/// `Missing`; the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SupplierId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/stock/suppliers/{id}"));
    let now = store::supplier(app.db().read(), id).await?;
    let page = under(me.page(&now.facts.name));
    let facts = match read(&post.fields) {
        Ok(facts) => facts,
        Err(errors) => return draw(page, again.wrong(errors)),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_supplier(&mut work.tx, id, post.version()?, &facts).await {
        Ok(()) => {}
        Err(StoreError::Taken(_)) => return draw(page, again.wrong(taken())),
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::supplier(app.db().read(), id).await?;
            return draw(
                page,
                again.conflict(supplier_fields(&now.facts), now.version),
            );
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("supplier.changed", "supplier", id.get(), json!({}))
        .await?;
    work.done("/stock/suppliers?saved").await
}
