//! Every head, by job, step, person or word.

use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;
use serde::Deserialize;

use crate::access::{Me, Reach, Role, people};
use crate::heads::marks::{StepMark, step_mark};
use crate::heads::model::Card;
use crate::heads::store::{self, Filter};
use crate::web::{AppState, Choice, ListQuery, Page, Paging, WebError, ok};

/// What the list's address may carry.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    q: String,
    job: String,
    step: String,
    who: String,
    held: String,
    page: String,
    archived: String,
}

impl Asked {
    fn query(&self) -> ListQuery {
        ListQuery {
            q: self.q.clone(),
            page: self.page.clone(),
            archived: self.archived.clone(),
            ..ListQuery::default()
        }
    }

    /// Adds what this list alone knows to an address of another page.
    fn more(&self, address: Option<String>) -> Option<String> {
        let number = |text: &str| text.parse::<i64>().ok();
        address.map(|mut address| {
            for (name, text) in [("job", &self.job), ("step", &self.step), ("who", &self.who)] {
                if let Some(number) = number(text) {
                    address.push_str(&format!("&{name}={number}"));
                }
            }
            if !self.held.is_empty() {
                address.push_str("&held=yes");
            }
            address
        })
    }
}

/// One row.
struct Line {
    card: Card,
    mark: StepMark,
}

#[derive(Template)]
#[template(path = "heads/list.html")]
struct ListPage {
    page: Page,
    asked: Asked,
    lines: Vec<Line>,
    paging: Paging,
    jobs: Vec<Choice>,
    steps: Vec<Choice>,
    crew: Vec<Choice>,
}

/// GET `/heads`.
///
/// # Errors
/// The database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let query = asked.query();
    let filter = Filter {
        like: query.like(),
        job: asked.job.parse().ok(),
        step: asked.step.parse().ok(),
        assignee: asked.who.parse().ok(),
        only_for: (me.reach == Reach::Assigned).then(|| me.id.get()),
        led_by: None,
        archived: query.wants_archived(),
        held: !asked.held.is_empty(),
    };
    let steps = store::steps(pool).await?;
    let mut cards = store::list(pool, &filter, query.window()).await?;
    let mut paging = query.paging(&mut cards);
    paging.earlier = asked.more(paging.earlier);
    paging.later = asked.more(paging.later);
    let lines = cards.into_iter().map(|card| {
        let mark = step_mark(&steps, card.step, card.held.is_some());
        Line { card, mark }
    });
    let any = |words: &str| Choice::new("", words);
    let crew = people(pool)
        .await?
        .into_iter()
        .filter(|p| p.role == Role::Carpenter);
    let view = ListPage {
        page: me.page("Heads"),
        lines: lines.collect(),
        paging,
        jobs: std::iter::once(any("any job"))
            .chain(
                store::jobs(pool, filter.only_for)
                    .await?
                    .into_iter()
                    .map(|(id, words)| Choice::new(id, words)),
            )
            .collect(),
        steps: std::iter::once(any("any step"))
            .chain(steps.iter().map(|s| Choice::new(s.id, &s.name)))
            .collect(),
        crew: std::iter::once(any("anybody"))
            .chain(crew.map(|p| Choice::new(p.id, p.name)))
            .collect(),
        asked,
    };
    ok(&view)
}
