//! The raked sections of one section, at any pitch and plan corner.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde_json::json;

use super::{may_write, shelve};
use crate::access::{Me, Post, Start};
use crate::sections::model::{Drawing, Entry, LONGEST_NAME, Made, NewSection, SectionId};
use crate::sections::raking::{Asked, RakedFile, RakedPart, file};
use crate::sections::store;
use crate::trim::paper::Plate;
use crate::trim::raked::{Form as RakedForm, Raked};
use crate::trim::section::{Back, Section, flat_back, settled};
use crate::web::{AppState, Check, Choice, Fields, Form, Fragment, Page, WebError, html};

#[derive(Template)]
#[template(path = "sections/raked.html")]
struct RakedPage {
    page: Page,
    entry: Entry,
    ask: Form,
    keep: Form,
    given: Vec<Choice>,
    papers: Vec<Choice>,
    forms: Vec<Choice>,
    part: Option<Fragment>,
    query: String,
    may_write: bool,
}

/// Which run a section may belong to.
#[must_use]
pub fn given_choices() -> Vec<Choice> {
    vec![
        Choice::new("return", "level return’s"),
        Choice::new("rake", "rake’s"),
    ]
}

/// The paper to print on.
#[must_use]
pub fn paper_choices() -> Vec<Choice> {
    vec![Choice::new("letter", "Letter"), Choice::new("a4", "A4")]
}

const KEEPS: [(&str, RakedForm); 3] = [
    ("level", RakedForm::Return),
    ("rake", RakedForm::Rake),
    ("upper", RakedForm::UpperReturn),
];

/// The question again, as its form's fields give it.
fn asked_of(fields: &Fields) -> Asked {
    Asked {
        given: fields.get("given").to_owned(),
        pitch: fields.get("pitch").to_owned(),
        written_as: fields.get("written_as").to_owned(),
        corner: fields.get("corner").to_owned(),
        paper: fields.get("paper").to_owned(),
        which: String::new(),
    }
    .or_usual()
}

fn draw_page(
    app: &AppState,
    me: &Me,
    entry: Entry,
    asked: &Asked,
    keep: Form,
) -> Result<Response, WebError> {
    let mut ask = me
        .form(app, format!("/sections/{}/raked", entry.id))?
        .filled(asked.fields());
    let part = match asked.corner() {
        Ok((given, corner)) => {
            let outline = &entry.drawing.section.outline;
            Some(RakedPart::new(app, outline, given, corner).fragment()?)
        }
        Err(errors) => {
            ask = ask.wrong(errors);
            None
        }
    };
    let status = if keep.errors().is_empty() {
        ask.status()
    } else {
        keep.status()
    };
    let view = RakedPage {
        page: me
            .page(format!("{}, raked", entry.name))
            .under("/sections", "Sections")
            .under(format!("/sections/{}", entry.id), entry.name.as_str())
            .titled("Section", &entry.name)
            .titled("Edition", entry.edition),
        given: given_choices(),
        papers: paper_choices(),
        forms: KEEPS
            .iter()
            .map(|(code, form)| Choice::new(code, form.words()))
            .collect(),
        query: asked.query(),
        may_write: may_write(me),
        entry,
        ask,
        keep,
        part,
    };
    html(status, &view)
}

/// GET `/sections/{id}/raked`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SectionId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let entry = store::section(app.db().read(), id).await?;
    let asked = asked.or_usual();
    let fields = asked
        .fields()
        .with(
            "form",
            if asked.given == "rake" {
                "level"
            } else {
                "rake"
            },
        )
        .with("name", format!("{}, raked", entry.name));
    let keep = me
        .form(&app, format!("/sections/{id}/raked"))?
        .filled(fields);
    draw_page(&app, &me, entry, &asked, keep)
}

/// POST `/sections/{id}/raked`: one of the three as a section of its own.
///
/// # Errors
/// `Missing`, the database's.
pub async fn keep(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SectionId>,
    post: Post,
) -> Result<Response, WebError> {
    let entry = store::section(app.db().read(), id).await?;
    let asked = asked_of(&post.fields);
    let again = post.again(format!("/sections/{id}/raked"));
    let mut check = Check::of(&post.fields);
    let name = check.line("name", LONGEST_NAME);
    let form = check.one_of("form", |text| {
        let found = KEEPS.iter().find(|(code, _)| *code == text);
        found.map(|(_, form)| *form)
    });
    let mut errors = check.errors();
    let corner = asked.corner().map_err(|more| {
        more.iter()
            .for_each(|(field, words)| errors.add(field, words));
    });
    let (Some(form), Ok((given, corner)), true) = (form, corner, errors.is_empty()) else {
        return draw_page(&app, &me, entry, &asked, again.wrong(errors));
    };
    let raked = Raked::new(&entry.drawing.section.outline, given, corner);
    let outline = settled(raked.form(form), false);
    let back = match entry.drawing.section.back {
        Back::Sprung(_) => flat_back(&outline).map_or(Back::Solid, Back::Sprung),
        Back::Solid => Back::Solid,
    };
    let work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let new = NewSection {
        name,
        note: format!(
            "The {} of {}, edition {}: pitch {}{}, plan corner {}°.",
            form.words(),
            entry.name,
            entry.edition,
            asked.pitch,
            if asked.written_as == "degrees" {
                "°"
            } else {
                " in 12"
            },
            asked.corner,
        ),
        drawing: Drawing {
            section: Section { outline, back },
            made_of: Made::Raked,
            typed: json!({
                "from": entry.name, "edition": entry.edition.to_string(), "given": asked.given,
                "pitch": asked.pitch, "written_as": asked.written_as, "corner": asked.corner,
            }),
        },
    };
    match shelve(work, &new, "section.raked", json!({ "from": id.get() })).await? {
        Ok(reply) => Ok(reply),
        Err(taken) => draw_page(&app, &me, entry, &asked, again.wrong(taken)),
    }
}

async fn raked_file(
    app: &AppState,
    id: SectionId,
    asked: Asked,
    what: RakedFile,
) -> Result<Response, WebError> {
    let entry = store::section(app.db().read(), id).await?;
    let asked = asked.or_usual();
    let (given, corner) = asked.corner().map_err(|errors| {
        let words: Vec<String> = errors.iter().map(|(f, w)| format!("{f}: {w}")).collect();
        WebError::BadRequest(words.join(" "))
    })?;
    let raked = Raked::new(&entry.drawing.section.outline, given, corner);
    let plate = Plate::of_raked(
        &format!("{}, edition {}", entry.name, entry.edition),
        &raked,
    );
    Ok(file(
        app,
        &plate,
        what,
        asked.paper(),
        &format!("section-{id}-raked"),
    ))
}

/// GET `/sections/{id}/raked.pdf`.
///
/// # Errors
/// `Missing`, `BadRequest`, the database's.
pub async fn pdf(
    State(app): State<AppState>,
    Path(id): Path<SectionId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    raked_file(&app, id, asked, RakedFile::Pdf).await
}

/// GET `/sections/{id}/raked.svg`.
///
/// # Errors
/// `Missing`, `BadRequest`, the database's.
pub async fn svg(
    State(app): State<AppState>,
    Path(id): Path<SectionId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    raked_file(&app, id, asked, RakedFile::Svg).await
}

/// GET `/sections/{id}/raked.dxf`.
///
/// # Errors
/// `Missing`, `BadRequest`, the database's.
pub async fn dxf(
    State(app): State<AppState>,
    Path(id): Path<SectionId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    raked_file(&app, id, asked, RakedFile::Dxf).await
}
