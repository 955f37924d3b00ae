//! The shelf: every section drawn small, all at one scale.

use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;

use super::may_write;
use crate::access::Me;
use crate::sections::model::Entry;
use crate::sections::showing::{measures, sized, words};
use crate::sections::store;
use crate::trim::draw;
use crate::web::{AppState, ListQuery, Page, Paging, Sort, Svg, WebError, ok};

const SORTS: &[Sort] = &[
    Sort {
        name: "name",
        words: "Name",
    },
    Sort {
        name: "newest",
        words: "Newest",
    },
];

struct Card {
    id: i64,
    name: String,
    picture: Svg,
    size: String,
    back: String,
    edition: i64,
}

#[derive(Template)]
#[template(path = "sections/list.html")]
struct List {
    page: Page,
    query: ListQuery,
    sorts: &'static [Sort],
    paging: Paging,
    cards: Vec<Card>,
    may_write: bool,
}

/// GET `/sections`.
///
/// # Errors
/// The database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Query(query): Query<ListQuery>,
) -> Result<Response, WebError> {
    let mut entries = store::sections(app.db().read(), &query).await?;
    let paging = query.paging(&mut entries);
    let scale = one_scale(&entries);
    let say = words(&app);
    let card = |entry: &Entry| {
        let found = measures(&entry.drawing.section, say);
        Card {
            id: entry.id.get(),
            picture: sized(&draw::small(
                &entry.name,
                &entry.drawing.section.outline,
                scale,
            )),
            name: entry.name.clone(),
            size: format!("{} out, {} high", found.projection, found.height),
            back: found.back,
            edition: entry.edition,
        }
    };
    ok(&List {
        page: me.page("Sections"),
        cards: entries.iter().map(card).collect(),
        paging,
        sorts: SORTS,
        query,
        may_write: may_write(&me),
    })
}

/// Units an inch at which the largest still fits its card.
fn one_scale(entries: &[Entry]) -> f64 {
    let (wide, tall) = entries
        .iter()
        .map(|entry| entry.drawing.section.outline.extents())
        .fold((1.0_f64, 1.0_f64), |(w, h), e| {
            (w.max(e.width()), h.max(e.height()))
        });
    (150.0 / wide).min(170.0 / tall)
}
