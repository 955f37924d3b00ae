//! Notes on a job and its heads, for one person or for all who work on it.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::super::model::{Note, NoteId};
use super::super::store::notes as store;
use crate::access::{self, Me, Post, Reach, Start, Thing, UserId};
use crate::heads::{self, HeadId};
use crate::jobs::{self, JobId};
use crate::web::{AppState, Check, Choice, Form, Page, WebError, html};

/// A note as the template shows it.
struct Line {
    id: NoteId,
    words: String,
    from: String,
    to: Option<String>,
    head: Option<(HeadId, String)>,
    when: String,
    seen: bool,
    mine: bool,
}

#[derive(Template)]
#[template(path = "crew/notes.html")]
struct NotesPage {
    page: Page,
    lines: Vec<Line>,
    form: Option<Form>,
    seen: Form,
    people: Vec<Choice>,
    heads: Vec<Choice>,
}

/// Whom a note may be for, and on which heads.
async fn choices(app: &AppState, job: JobId) -> Result<(Vec<Choice>, Vec<Choice>), WebError> {
    let pool = app.db().read();
    let mut people = vec![Choice::new("", "everybody on the job")];
    let all = access::people(pool).await?;
    let able = all.iter().filter(|p| p.disabled_at.is_none());
    people.extend(able.map(|p| Choice::new(p.id, format!("{}, {}", p.name, p.role))));
    let mut on = vec![Choice::new("", "the whole job")];
    for head in heads::of_job(pool, job.get()).await? {
        let words = format!("{} {}", head.card.place.mark, head.card.name);
        on.push(Choice::new(head.card.id, words));
    }
    Ok((people, on))
}

/// GET `/crew/jobs/{id}/notes`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let form = me.form(&app, format!("/crew/jobs/{id}/notes"))?;
    show(&app, &me, id, form).await
}

async fn show(app: &AppState, me: &Me, id: JobId, form: Form) -> Result<Response, WebError> {
    let job = jobs::job(app.db().read(), id).await?;
    let zone = app.firm().zone;
    let (people, heads) = choices(app, id).await?;
    let notes = store::of_job(app.db().read(), id).await?;
    let line = |note: Note| Line {
        id: note.id,
        mine: note.to.as_ref().is_some_and(|(to, _)| *to == me.id),
        to: note.to.map(|(_, name)| name),
        words: note.words,
        from: note.from,
        head: note.head,
        when: note.at.local(zone),
        seen: note.seen,
    };
    let status = form.status();
    let view = NotesPage {
        page: me
            .page("Notes")
            .under(format!("/jobs/{id}"), job.facts.code.as_str())
            .titled("Job", format!("{} · {}", job.facts.code, job.facts.title)),
        lines: notes.into_iter().map(line).collect(),
        form: (me.may_write(Thing::Photos) != Reach::None).then_some(form),
        seen: me.form(app, "/crew/notes/seen")?,
        people,
        heads,
    };
    html(status, &view)
}

/// POST `/crew/jobs/{id}/notes`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn add(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
    post: Post,
) -> Result<Response, WebError> {
    let (people, on) = choices(&app, id).await?;
    let mut check = Check::of(&post.fields);
    let words = check.lines("words", 2000);
    if words.is_empty() && !check.failed("words") {
        check.fail("words", "Write something here; it cannot stay empty.");
    }
    let known = |list: &[Choice], text: &str| list.iter().any(|c| c.value == text);
    let to = check.optional("to", |text| {
        let found = known(&people, text)
            .then(|| text.parse::<UserId>().ok())
            .flatten();
        found.ok_or("Choose one of the list.")
    });
    let head = check.optional("head", |text| {
        let found = known(&on, text)
            .then(|| text.parse::<HeadId>().ok())
            .flatten();
        found.ok_or("Choose one of the list.")
    });
    if let Err(wrong) = check.finish(()) {
        let form = post.again(format!("/crew/jobs/{id}/notes")).wrong(wrong);
        return show(&app, &me, id, form).await;
    }
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let note = store::add(&mut work.tx, work.made, (id, head), to, &words).await?;
            work.audit("note.added", "note", note.get(), json!({}))
                .await?;
            work.done(format!("/crew/jobs/{id}/notes?saved")).await
        }
    }
}

/// POST `/crew/notes/seen`: whoever it is for has seen it.
///
/// # Errors
/// `Missing` for a note that is not this person's.
pub async fn seen(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let id: NoteId = post
        .fields
        .get("note")
        .parse()
        .map_err(|_| WebError::Missing)?;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::see(&mut work.tx, work.made, id, me.id).await?;
            work.audit("note.seen", "note", id.get(), json!({})).await?;
            work.done("/?saved").await
        }
    }
}
