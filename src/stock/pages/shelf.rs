//! The shelf: boards and mouldings, the lengths sold and their prices. A
//! carpenter sees what is sold, never for how much.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde_json::json;

use crate::access::{Me, Post, Reach, Role, Start, Thing};
use crate::db::StoreError;
use crate::measure::Length;
use crate::stock::forms::{item as read, item_fields, sold as read_sold};
use crate::stock::model::{
    Flip, StockForm, StockItem, StockItemId, StockLength, StockLengthId, long_words,
};
use crate::stock::store;
use crate::web::{
    AppState, Choice, Errors, Fields, Form, ListQuery, Page, Paging, Sort, WebError, html, ok,
};

const SORTS: &[Sort] = &[
    Sort {
        name: "name",
        words: "Name",
    },
    Sort {
        name: "material",
        words: "Material",
    },
];

/// One row of the shelf.
struct Row {
    item: StockItem,
    lengths: String,
}

#[derive(Template)]
#[template(path = "stock/shelf.html")]
struct List {
    page: Page,
    query: ListQuery,
    sorts: &'static [Sort],
    paging: Paging,
    rows: Vec<Row>,
    may_write: bool,
}

fn may_write(me: &Me) -> bool {
    me.may_write(Thing::Shelf) != Reach::None
}

/// GET `/stock/shelf`.
///
/// # Errors
/// The database's.
pub async fn list(
    State(app): State<AppState>,
    me: Me,
    Query(query): Query<ListQuery>,
) -> Result<Response, WebError> {
    let mut items = store::items(app.db().read(), &query).await?;
    let paging = query.paging(&mut items);
    let sold = store::lengths(app.db().read(), None).await?;
    let rows = items.into_iter().map(|item| {
        let mut own: Vec<Length> = sold
            .iter()
            .filter(|(of, _)| *of == item.id)
            .map(|(_, length)| length.sold.length)
            .collect();
        own.sort();
        own.dedup();
        let words: Vec<String> = own.into_iter().map(long_words).collect();
        Row {
            item,
            lengths: words.join(", "),
        }
    });
    ok(&List {
        page: me.page("Shelf"),
        rows: rows.collect(),
        sorts: SORTS,
        may_write: may_write(&me),
        query,
        paging,
    })
}

#[derive(Template)]
#[template(path = "stock/item_form.html")]
struct Edit {
    page: Page,
    form: Form,
    forms: Vec<Choice>,
    flips: Vec<Choice>,
    sections: Vec<Choice>,
}

/// The drawn sections to choose from: row and name.
async fn drawn(app: &AppState) -> Result<Vec<(i64, String)>, WebError> {
    let shelf = crate::sections::shelf(app.db().read()).await?;
    Ok(shelf.into_iter().map(|s| (s.id.get(), s.name)).collect())
}

fn draw(page: Page, form: Form, drawn: Vec<(i64, String)>) -> Result<Response, WebError> {
    let choice = |(code, words): (&str, &str)| Choice::new(code, words);
    let view = Edit {
        page,
        forms: StockForm::ALL
            .iter()
            .map(|f| choice((f.code(), f.words())))
            .collect(),
        flips: Flip::ALL
            .iter()
            .map(|f| choice((f.code(), f.words())))
            .collect(),
        sections: std::iter::once(Choice::new("", "not drawn"))
            .chain(drawn.into_iter().map(|(id, name)| Choice::new(id, name)))
            .collect(),
        form,
    };
    html(view.form.status(), &view)
}

fn rows(drawn: &[(i64, String)]) -> Vec<i64> {
    drawn.iter().map(|(row, _)| *row).collect()
}

fn taken() -> Errors {
    Errors::one("name", "The shelf has something of this name already.")
}

fn new_page(me: &Me) -> Page {
    me.page("New on the shelf").under("/stock/shelf", "Shelf")
}

/// GET `/stock/shelf/new`.
///
/// # Errors
/// The system's.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let fields = Fields::default()
        .with("form", StockForm::Moulding.code())
        .with("flip", Flip::Fixed.code())
        .with("match_runs", "yes")
        .with("keep", "18 in");
    let form = me.form(&app, "/stock/shelf/new")?.filled(fields);
    draw(new_page(&me), form, drawn(&app).await?)
}

/// POST `/stock/shelf/new`.
///
/// # Errors
/// The database's.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let again = post.again("/stock/shelf/new");
    let drawn = drawn(&app).await?;
    let facts = match read(&post.fields, &rows(&drawn), app.firm().unit) {
        Ok(facts) => facts,
        Err(errors) => return draw(new_page(&me), again.wrong(errors), drawn),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = match store::add_item(&mut work.tx, work.made, &facts).await {
        Ok(id) => id,
        Err(StoreError::Taken(_)) => return draw(new_page(&me), again.wrong(taken()), drawn),
        Err(error) => return Err(error.into()),
    };
    work.audit("shelf.added", "stock item", id.get(), json!({}))
        .await?;
    work.done(format!("/stock/shelf/{id}?saved")).await
}

/// One length as shown: `None` for the price where it is not to be seen.
struct Line {
    length: StockLength,
    price: Option<String>,
}

#[derive(Template)]
#[template(path = "stock/item.html")]
struct Show {
    page: Page,
    item: StockItem,
    lines: Vec<Line>,
    form: Form,
    remove: Form,
    away: Form,
    suppliers: Vec<Choice>,
    may_write: bool,
    prices: bool,
}

/// GET `/stock/shelf/{id}`.
///
/// # Errors
/// `Missing`; the database's.
pub async fn show(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<StockItemId>,
) -> Result<Response, WebError> {
    let form = me.form(&app, format!("/stock/shelf/{id}/length"))?;
    shown(&app, &me, id, form).await
}

async fn shown(app: &AppState, me: &Me, id: StockItemId, form: Form) -> Result<Response, WebError> {
    let pool = app.db().read();
    let item = store::item(pool, id).await?;
    let prices = me.role != Role::Carpenter;
    let lines = store::lengths(pool, Some(id)).await?;
    let lines = lines.into_iter().map(|(_, length)| Line {
        price: prices.then(|| length.sold.price.to_string()),
        length,
    });
    let suppliers = store::suppliers(pool).await?;
    let view = Show {
        page: me
            .page(&item.facts.name)
            .under("/stock/shelf", "Shelf")
            .titled("Material", &item.facts.material),
        lines: lines.collect(),
        remove: me.form(app, format!("/stock/shelf/{id}/drop"))?,
        away: me
            .form(app, format!("/stock/shelf/{id}/archive"))?
            .at_version(item.version),
        suppliers: suppliers
            .into_iter()
            .filter(|s| s.archived_at.is_none())
            .map(|s| Choice::new(s.id, s.facts.name))
            .collect(),
        may_write: may_write(me),
        prices,
        item,
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/stock/shelf/{id}/edit`.
///
/// # Errors
/// `Missing`; the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<StockItemId>,
) -> Result<Response, WebError> {
    let item = store::item(app.db().read(), id).await?;
    let form = me.form(&app, format!("/stock/shelf/{id}/edit"))?;
    let form = form
        .filled(item_fields(&item.facts, app.firm().unit))
        .at_version(item.version);
    draw(edit_page(&me, &item), form, drawn(&app).await?)
}

fn edit_page(me: &Me, item: &StockItem) -> Page {
    me.page(format!("Change {}", item.facts.name))
        .under("/stock/shelf", "Shelf")
        .under(format!("/stock/shelf/{}", item.id), &item.facts.name)
}

/// POST `/stock/shelf/{id}/edit`.
///
/// # Errors
/// `Missing`; the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<StockItemId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/stock/shelf/{id}/edit"));
    let unit = app.firm().unit;
    let now = store::item(app.db().read(), id).await?;
    let drawn = drawn(&app).await?;
    let facts = match read(&post.fields, &rows(&drawn), unit) {
        Ok(facts) => facts,
        Err(errors) => return draw(edit_page(&me, &now), again.wrong(errors), drawn),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_item(&mut work.tx, id, post.version()?, &facts).await {
        Ok(()) => {}
        Err(StoreError::Taken(_)) => {
            return draw(edit_page(&me, &now), again.wrong(taken()), drawn);
        }
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::item(app.db().read(), id).await?;
            let form = again.conflict(item_fields(&now.facts, unit), now.version);
            return draw(edit_page(&me, &now), form, drawn);
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("shelf.changed", "stock item", id.get(), json!({}))
        .await?;
    work.done(format!("/stock/shelf/{id}?saved")).await
}

/// POST `/stock/shelf/{id}/length`: a length sold, or its new price.
///
/// # Errors
/// `Missing`; the database's.
pub async fn put_length(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<StockItemId>,
    post: Post,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    store::item(pool, id).await?;
    let suppliers = store::suppliers(pool).await?;
    let live: Vec<_> = suppliers
        .iter()
        .filter(|s| s.archived_at.is_none())
        .map(|s| s.id)
        .collect();
    let sold = match read_sold(&post.fields, &live, app.firm().unit) {
        Ok(sold) => sold,
        Err(errors) => {
            let form = post
                .again(format!("/stock/shelf/{id}/length"))
                .wrong(errors);
            return shown(&app, &me, id, form).await;
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::put_length(&mut work.tx, work.made, id, &sold).await?;
    work.audit("shelf.length", "stock item", id.get(), json!({}))
        .await?;
    work.done(format!("/stock/shelf/{id}?saved")).await
}

/// POST `/stock/shelf/{id}/drop`: a length that is no longer sold.
///
/// # Errors
/// `Missing`; the database's.
pub async fn drop_length(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<StockItemId>,
    post: Post,
) -> Result<Response, WebError> {
    let length: StockLengthId = post
        .fields
        .get("length_id")
        .parse()
        .map_err(|_| WebError::Missing)?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::drop_length(&mut work.tx, work.made, id, length).await?;
    work.audit("shelf.length-dropped", "stock item", id.get(), json!({}))
        .await?;
    work.done(format!("/stock/shelf/{id}?saved")).await
}

/// POST `/stock/shelf/{id}/archive`.
///
/// # Errors
/// `Missing`; the database's.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<StockItemId>,
    post: Post,
) -> Result<Response, WebError> {
    let away = post.away();
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::archive_item(&mut work.tx, work.made, id, post.version()?, away).await?;
    let what = ("shelf", "stock item", id.get());
    work.filed(what, away, format!("/stock/shelf/{id}?saved"))
        .await
}
