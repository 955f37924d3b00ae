//! One section: its drawing with dimensions, its measures, its record.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;

use super::may_write;
use crate::access::{Me, Post, Start};
use crate::sections::model::{Entry, Event, SectionId};
use crate::sections::raking::{Asked, RakedFile, file};
use crate::sections::showing::{Measures, Stretch, look, measures, picture, stretches, words};
use crate::sections::store;
use crate::trim::draw::{self, Seen};
use crate::trim::paper::{Named, Plate};
use crate::web::{AppState, Form, Page, Svg, WebError, ok};

struct Line {
    when: String,
    who: String,
    words: String,
}

#[derive(Template)]
#[template(path = "sections/one.html")]
struct One {
    page: Page,
    entry: Entry,
    made_of: &'static str,
    wide: Svg,
    small: Svg,
    measures: Measures,
    stretches: Vec<Stretch>,
    events: Vec<Line>,
    away: Form,
    may_write: bool,
}

/// GET `/sections/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SectionId>,
) -> Result<Response, WebError> {
    let entry = store::section(app.db().read(), id).await?;
    let section = &entry.drawing.section;
    let say = words(&app);
    let drawn = |width| {
        let seen = Seen {
            scale: None,
            members: true,
        };
        picture(&draw::moulding(
            &entry.name,
            section,
            seen,
            &look(&app, width),
        ))
    };
    let events = store::events(app.db().read(), id).await?;
    ok(&One {
        page: me
            .page(&entry.name)
            .under("/sections", "Sections")
            .titled("Section", &entry.name)
            .titled("Edition", entry.edition),
        made_of: entry.drawing.made_of.words(),
        wide: drawn(760.0),
        small: drawn(340.0),
        measures: measures(section, say),
        stretches: stretches(section, say),
        events: events.into_iter().map(|event| line(&app, event)).collect(),
        away: me
            .form(&app, format!("/sections/{id}/archive"))?
            .at_version(entry.version),
        may_write: may_write(&me),
        entry,
    })
}

fn line(app: &AppState, event: Event) -> Line {
    let mut words = event.what.words().to_owned();
    if let Some(old) = event.old {
        words.push_str(&format!(", was “{old}”"));
    }
    words.push_str(&format!(", edition {}", event.edition));
    Line {
        when: event.at.local(app.firm().zone),
        who: event.who.unwrap_or_else(|| "the program".to_owned()),
        words,
    }
}

/// POST `/sections/{id}/archive`.
///
/// # Errors
/// `Missing`, `Stale`, the database's.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SectionId>,
    post: Post,
) -> Result<Response, WebError> {
    let away = post.away();
    let was = store::section(app.db().read(), id).await?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::archive(&mut work.tx, work.made, &was, post.version()?, away).await?;
    let what = ("section", "section", id.get());
    work.filed(what, away, format!("/sections/{id}?saved"))
        .await
}

async fn paper(
    app: &AppState,
    id: SectionId,
    asked: &Asked,
    what: RakedFile,
) -> Result<Response, WebError> {
    let entry = store::section(app.db().read(), id).await?;
    let plate = Plate {
        title: entry.name.clone(),
        notes: vec![format!(
            "Edition {}. True scale: measure the bar before use.",
            entry.edition
        )],
        sections: vec![Named {
            name: "section".to_owned(),
            outline: entry.drawing.section.outline,
        }],
    };
    Ok(file(
        app,
        &plate,
        what,
        asked.paper(),
        &format!("section-{id}"),
    ))
}

/// GET `/sections/{id}/section.pdf`: true scale on paper.
///
/// # Errors
/// `Missing`, the database's.
pub async fn pdf(
    State(app): State<AppState>,
    Path(id): Path<SectionId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    paper(&app, id, &asked, RakedFile::Pdf).await
}

/// GET `/sections/{id}/section.svg`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn svg(
    State(app): State<AppState>,
    Path(id): Path<SectionId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    paper(&app, id, &asked, RakedFile::Svg).await
}

/// GET `/sections/{id}/section.dxf`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn dxf(
    State(app): State<AppState>,
    Path(id): Path<SectionId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    paper(&app, id, &asked, RakedFile::Dxf).await
}
