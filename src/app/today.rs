//! Today: what waits for this person, one short list after the other.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use crate::access::Me;
use crate::web::{AppState, Page, TodayList, WebError, ok};

#[derive(Template)]
#[template(path = "app/today.html")]
struct Today {
    page: Page,
    lists: Vec<TodayList>,
}

/// The lists of every area, in the areas' order.
pub async fn page(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let mut lists = Vec::new();
    for area in super::areas() {
        if let Some(today) = area.today {
            lists.extend(today(app.clone(), me.clone()).await?);
        }
    }
    lists.retain(|list| !(list.items.is_empty() && list.empty.is_empty()));
    let date = app
        .now()
        .date(app.firm().zone)
        .format("%A, %-d %B %Y")
        .to_string();
    ok(&Today {
        page: me.page("Today").titled("Date", date),
        lists,
    })
}
