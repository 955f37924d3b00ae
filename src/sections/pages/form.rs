//! Drawing a section: a new one, or a change of one.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use serde_json::json;

use super::{name_taken, shelve};
use crate::access::{Me, Post, Start};
use crate::db::StoreError;
use crate::sections::forms::{self, Read};
use crate::sections::members::{member_choices, member_words, struck_choices};
use crate::sections::model::{Entry, NewSection, SectionId};
use crate::sections::showing::{Measures, look, measures, picture, words};
use crate::sections::store;
use crate::sections::typed::{Typed, member};
use crate::trim::draw::{self, Seen};
use crate::trim::section::svg_file;
use crate::web::{AppState, Choice, Errors, Form, Fragment, Page, Svg, WebError, html, ok};

/// Something wrong with a field, for the list beside the drawing.
struct Wrong {
    field: String,
    label: String,
    words: String,
}

#[derive(Template)]
#[template(path = "sections/drawn.html")]
struct Drawn {
    wide: Option<Svg>,
    small: Option<Svg>,
    measures: Option<Measures>,
    left_out: Option<String>,
    wrong: Vec<Wrong>,
}

/// One member's row.
struct Row {
    nth: usize,
    title: String,
    is: String,
    height: String,
    out: String,
    struck: String,
    depth: String,
    first: bool,
    last: bool,
}

#[derive(Template)]
#[template(path = "sections/form.html")]
struct FormPage {
    page: Page,
    form: Form,
    draw: String,
    kind: String,
    kinds: Vec<Choice>,
    units: Vec<Choice>,
    backs: Vec<Choice>,
    faces: Vec<Choice>,
    drawn_in: Vec<Choice>,
    members: Vec<Choice>,
    struck: Vec<Choice>,
    rows: Vec<Row>,
    kept: Vec<(String, String)>,
    drawn: Fragment,
    save: &'static str,
}

/// Where the form goes: of the section it changes, or of none yet.
fn action(entry: Option<&Entry>) -> String {
    entry.map_or_else(
        || "/sections/new".to_owned(),
        |entry| format!("/sections/{}/edit", entry.id),
    )
}

fn read(entry: Option<&Entry>, typed: &Typed) -> (Option<NewSection>, Read) {
    forms::read(typed, entry.map(|entry| &entry.drawing))
}

/// The form of a section as it is kept.
fn typed_of(entry: &Entry) -> Typed {
    let mut typed = Typed::fresh();
    for (field, text) in Typed::of_json(&entry.drawing.typed).iter() {
        typed.set(field, text);
    }
    use crate::sections::model::Made;
    let again = matches!(entry.drawing.made_of, Made::Parts | Made::Points);
    if again {
        // Only the members that were typed count.
        typed = Typed::of_json(&entry.drawing.typed);
    } else {
        typed.set("kind", forms::AS_IT_IS);
    }
    typed.set("name", entry.name.as_str());
    typed.set("note", entry.note.as_str());
    typed
}

/// GET `/sections/new`.
///
/// # Errors
/// The database's.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let mut typed = Typed::fresh();
    typed.set("unit", app.firm().unit.symbol());
    let form = me.form(&app, action(None))?.filled(typed.fields());
    page(&app, &me, None, form, &typed)
}

/// POST `/sections/new`.
///
/// # Errors
/// The database's.
pub async fn create(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let typed = Typed::of(&post.fields);
    let again = post.again(action(None));
    let new = match read(None, &typed) {
        (Some(new), _) => new,
        (None, read) => return page(&app, &me, None, again.wrong(read.errors), &typed),
    };
    let work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match shelve(work, &new, "section.added", json!({})).await? {
        Ok(reply) => Ok(reply),
        Err(taken) => page(&app, &me, None, again.wrong(taken), &typed),
    }
}

/// GET `/sections/{id}/edit`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SectionId>,
) -> Result<Response, WebError> {
    let entry = store::section(app.db().read(), id).await?;
    let typed = typed_of(&entry);
    let form = me.form(&app, action(Some(&entry)))?;
    let form = form.filled(typed.fields()).at_version(entry.version);
    page(&app, &me, Some(&entry), form, &typed)
}

/// POST `/sections/{id}/edit`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SectionId>,
    post: Post,
) -> Result<Response, WebError> {
    let entry = store::section(app.db().read(), id).await?;
    let typed = Typed::of(&post.fields);
    let again = post.again(action(Some(&entry)));
    let new = match read(Some(&entry), &typed) {
        (Some(new), _) => new,
        (None, read) => {
            return page(&app, &me, Some(&entry), again.wrong(read.errors), &typed);
        }
    };
    let seen = post.version()?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change(&mut work.tx, work.made, &entry, seen, &new).await {
        Ok(edition) => {
            let detail = json!({ "edition": edition });
            work.audit("section.changed", "section", id.get(), detail)
                .await?;
            work.done(format!("/sections/{id}?saved")).await
        }
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::section(app.db().read(), id).await?;
            let form = again.conflict(typed_of(&now).fields(), now.version);
            page(&app, &me, Some(&now), form, &typed)
        }
        Err(StoreError::Taken(_)) => {
            drop(work);
            page(&app, &me, Some(&entry), again.wrong(name_taken()), &typed)
        }
        Err(error) => Err(error.into()),
    }
}

/// POST `/sections/new/draw`: draws, saves nothing.
///
/// # Errors
/// The database's.
pub async fn draw_new(
    State(app): State<AppState>,
    me: Me,
    headers: HeaderMap,
    post: Post,
) -> Result<Response, WebError> {
    draw_only(&app, &me, None, &headers, &post)
}

/// POST `/sections/{id}/edit/draw`: draws, saves nothing.
///
/// # Errors
/// `Missing`, the database's.
pub async fn draw_old(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SectionId>,
    headers: HeaderMap,
    post: Post,
) -> Result<Response, WebError> {
    let entry = store::section(app.db().read(), id).await?;
    draw_only(&app, &me, Some(&entry), &headers, &post)
}

/// The drawing alone for the script, else the whole form with its drawing.
fn draw_only(
    app: &AppState,
    me: &Me,
    entry: Option<&Entry>,
    headers: &HeaderMap,
    post: &Post,
) -> Result<Response, WebError> {
    let mut typed = Typed::of(&post.fields);
    if headers.contains_key("x-part") {
        return ok(&drawn(app, entry, &typed));
    }
    let asked = typed.get("do").to_owned();
    let mut errors = Errors::default();
    match asked.as_str() {
        "file" => errors = take_file(&mut typed, post.fields.get("file")),
        "draw" => errors = read(entry, &typed).1.errors,
        list => typed.change_list(list),
    }
    let form = post
        .again(action(entry))
        .filled(typed.fields())
        .wrong(errors);
    page(app, me, entry, form, &typed)
}

/// Puts the text of a chosen file into the field that it belongs to.
fn take_file(typed: &mut Typed, text: &str) -> Errors {
    let field = match typed.get("kind") {
        "dxf" => "dxf",
        _ => "path",
    };
    if text.trim().is_empty() {
        return Errors::one(field, "Choose a file first; this one is empty.");
    }
    let text = if field == "path" {
        match svg_file::path_of(text) {
            Ok(path) => path,
            Err(wrong) => return Errors::one(field, format!("The file {}.", wrong.what)),
        }
    } else {
        text.to_owned()
    };
    typed.set(field, text);
    Errors::default()
}

fn drawn(app: &AppState, entry: Option<&Entry>, typed: &Typed) -> Drawn {
    let (_, read) = read(entry, typed);
    let name = match typed.get("name") {
        "" => "Section",
        name => name,
    };
    let seen = Seen {
        scale: None,
        members: true,
    };
    let drawn = |width| {
        let section = read.section.as_ref()?;
        Some(picture(&draw::moulding(
            name,
            section,
            seen,
            &look(app, width),
        )))
    };
    // A name not typed yet is asked for when the section is saved.
    let blank = typed.get("name").is_empty();
    let told = |(field, _): &(&str, &str)| !(blank && *field == "name");
    let wrong = read.errors.iter().filter(told).map(|(field, words)| Wrong {
        field: field.to_owned(),
        label: label_of(field),
        words: words.to_owned(),
    });
    Drawn {
        wide: drawn(760.0),
        small: drawn(340.0),
        measures: read.section.as_ref().map(|s| measures(s, words(app))),
        left_out: read.left_out.clone(),
        wrong: wrong.collect(),
    }
}

/// The label of a field, as the page has it.
fn label_of(field: &str) -> String {
    if let Some(rest) = field.strip_prefix("member.") {
        let (nth, what) = rest.split_once('.').unwrap_or((rest, ""));
        let nth = nth.parse::<usize>().unwrap_or(0) + 1;
        let what = match what {
            "is" => "what it is",
            "height" => "height",
            "out" => "draws in",
            "struck" => "struck as",
            _ => "depth",
        };
        return format!("Member {nth}: {what}");
    }
    match field {
        "name" => "Name",
        "note" => "Note",
        "unit" => "Unit",
        "projection" => "Projection of the top",
        "seat" => "Seat",
        "spring_degrees" => "Spring angle",
        "points" => "Points",
        "path" => "Path",
        "dxf" => "Drawing",
        "drawn_in" => "Unit of the drawing",
        _ => "How it is given",
    }
    .to_owned()
}

/// Fields that the page draws for a way of giving a section.
fn shows(kind: &str, field: &str) -> bool {
    match field {
        "name" | "note" | "kind" | "unit" | "do" | "file" => true,
        "back" | "spring_degrees" => kind != forms::AS_IT_IS,
        "projection" | "seat" => kind == "parts",
        "points" => kind == "points",
        "path" | "drawn_in" => kind == "path",
        "dxf" => kind == "dxf",
        "faces" => matches!(kind, "points" | "path" | "dxf"),
        _ => kind == "parts" && field.starts_with("member."),
    }
}

fn rows(typed: &Typed) -> Vec<Row> {
    let count = typed.members();
    (0..count)
        .map(|nth| Row {
            nth,
            title: format!(
                "{} {}",
                nth + 1,
                member_words(typed.get(&member(nth, "is")))
            ),
            is: member(nth, "is"),
            height: member(nth, "height"),
            out: member(nth, "out"),
            struck: member(nth, "struck"),
            depth: member(nth, "depth"),
            first: nth == 0,
            last: nth + 1 == count,
        })
        .collect()
}

fn page(
    app: &AppState,
    me: &Me,
    entry: Option<&Entry>,
    form: Form,
    typed: &Typed,
) -> Result<Response, WebError> {
    let page = match entry {
        None => me.page("New section").under("/sections", "Sections"),
        Some(entry) => me
            .page(format!("Change {}", entry.name))
            .under("/sections", "Sections")
            .under(format!("/sections/{}", entry.id), entry.name.as_str())
            .titled("Section", &entry.name)
            .titled("Edition", entry.edition),
    };
    let kind = typed.get("kind").to_owned();
    let hidden = |(name, _): &(&str, &str)| !shows(&kind, name);
    let kept = typed
        .iter()
        .filter(hidden)
        .map(|(name, text)| (name.to_owned(), text.to_owned()))
        .collect();
    // Drawn anew, the form is no refusal: only a save is refused.
    let status: StatusCode = form.status();
    let view = FormPage {
        draw: format!("{}/draw", action(entry)),
        kinds: forms::kind_choices(entry.is_some()),
        units: forms::unit_choices(),
        backs: forms::back_choices(),
        faces: forms::faces_choices(),
        drawn_in: forms::drawn_in_choices(),
        members: member_choices(),
        struck: struck_choices(),
        rows: rows(typed),
        drawn: Fragment::of(&drawn(app, entry, typed))?,
        save: if entry.is_some() {
            "Save the section"
        } else {
            "Put it on the shelf"
        },
        kind,
        kept,
        page,
        form,
    };
    html(status, &view)
}
