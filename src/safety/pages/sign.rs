//! Answering and signing a checklist, and one that was signed.

use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::super::model::{Answer, ChecklistId, NewChecklist, Scope, Signed, Template, TemplateId};
use super::super::site::{self, Heads};
use super::super::{forms, store};
use super::{may_write, under_job};
use crate::access::{Me, Post, Start, Thing};
use crate::db::StoreError;
use crate::heads::{self, HeadId};
use crate::jobs::JobId;
use crate::web::{AppState, Choice, Errors, Form, Page, WebError, html, ok};

#[derive(askama::Template)]
#[template(path = "safety/sign.html")]
struct SignPage {
    page: Page,
    template: Template,
    why: Option<String>,
    head: Option<String>,
    form: Form,
    answers: Vec<Choice>,
    /// Number, name of the answer, name of the note, question.
    asks: Vec<(usize, String, String, String)>,
    signed: Option<(i64, String)>,
    who: String,
    when: String,
}

/// What the address names: a checklist, and a head for one of heads.
struct About {
    template: Template,
    head: Option<(HeadId, String)>,
}

async fn about(
    app: &AppState,
    job: JobId,
    template: TemplateId,
    head: i64,
) -> Result<About, WebError> {
    let pool = app.db().read();
    let template = store::template(pool, template).await?;
    let head = match template.scope {
        Scope::Head => {
            let card = heads::head(pool, HeadId::new(head)).await?.card;
            if card.place.job != job.get() {
                return Err(WebError::Missing);
            }
            Some((card.id, format!("{} {}", card.place.mark, card.name)))
        }
        Scope::Day | Scope::Job if head == 0 => None,
        Scope::Day | Scope::Job => return Err(WebError::Missing),
    };
    Ok(About { template, head })
}

fn action(job: JobId, about: &About) -> String {
    let head = about.head.as_ref().map_or(0, |(id, _)| id.get());
    format!("/safety/jobs/{job}/sign/{}/{head}", about.template.id)
}

async fn draw(
    app: &AppState,
    me: &Me,
    job: JobId,
    (about, form): (About, Form),
) -> Result<Response, WebError> {
    let zone = app.firm().zone;
    let id = about.head.as_ref().map(|(id, _)| *id);
    let safety = site::of_job(app, job, id.map_or(Heads::None, Heads::One)).await?;
    let wanted = safety
        .wanted
        .iter()
        .find(|w| w.template.id == about.template.id && w.head.as_ref().map(|(id, _)| *id) == id);
    let signed = wanted.and_then(|w| w.signed.as_ref());
    let numbered = about.template.asks.iter().enumerate();
    let view = SignPage {
        page: under_job(app, me, about.template.title.as_str(), job).await?,
        why: wanted.map(|w| w.why.clone()),
        head: about.head.map(|(_, name)| name),
        answers: Answer::ALL
            .iter()
            .map(|a| Choice::new(a.code(), a.words()))
            .collect(),
        asks: numbered
            .map(|(n, ask)| {
                (
                    n + 1,
                    format!("a{}", n + 1),
                    format!("n{}", n + 1),
                    ask.clone(),
                )
            })
            .collect(),
        signed: signed.map(|s| (s.id.get(), format!("{}, {}", s.who, s.at.local(zone)))),
        who: me.name.clone(),
        when: app.now().local(zone),
        template: about.template,
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/safety/jobs/{id}/sign/{template}/{head}`; the head is 0 for a
/// checklist of the day or the job.
///
/// # Errors
/// `Missing`, the database's.
pub async fn form(
    State(app): State<AppState>,
    me: Me,
    Path((job, template, head)): Path<(JobId, TemplateId, i64)>,
) -> Result<Response, WebError> {
    let about = about(&app, job, template, head).await?;
    let form = me.form(&app, action(job, &about))?;
    let form = form.at_version(about.template.edition);
    draw(&app, &me, job, (about, form)).await
}

/// POST `/safety/jobs/{id}/sign/{template}/{head}`: signs, for good.
///
/// # Errors
/// `Missing`, the database's.
pub async fn take(
    State(app): State<AppState>,
    me: Me,
    Path((job, template, head)): Path<(JobId, TemplateId, i64)>,
    post: Post,
) -> Result<Response, WebError> {
    let about = about(&app, job, template, head).await?;
    let again = post.again(action(job, &about));
    let edition = post.version()?;
    if edition != about.template.edition {
        let words = "The questions were changed meanwhile. Read them again and answer those.";
        let form = again
            .at_version(about.template.edition)
            .wrong(Errors::one("", words));
        return draw(&app, &me, job, (about, form)).await;
    }
    let (answers, note) = match forms::answers(&post.fields, &about.template.asks) {
        Ok(answers) => answers,
        Err(wrong) => return draw(&app, &me, job, (about, again.wrong(wrong))).await,
    };
    let new = NewChecklist {
        template: about.template.id,
        edition,
        job,
        head: about.head.as_ref().map(|(id, _)| *id),
        day: app.now().date(app.firm().zone),
        answers,
        note,
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = match store::signed::sign(&mut work.tx, work.made, &new).await {
        Ok(id) => id,
        Err(StoreError::Stale(what)) => return Err(WebError::Stale(what)),
        Err(error) => return Err(error.into()),
    };
    work.audit(
        "safety.signed",
        "checklist",
        id.get(),
        json!({ "clear": new.is_clear() }),
    )
    .await?;
    work.done(format!("/safety/signed/{id}?saved")).await
}

#[derive(askama::Template)]
#[template(path = "safety/signed.html")]
struct SignedPage {
    page: Page,
    signed: Signed,
    when: String,
    /// Mark, word, question, note.
    lines: Vec<(&'static str, &'static str, String, String)>,
    anew: Option<String>,
}

/// GET `/safety/signed/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn show(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<ChecklistId>,
) -> Result<Response, WebError> {
    let signed = store::signed::checklist(app.db().read(), id).await?;
    let lines = signed.answers.iter().map(|a| {
        let (mark, word) = match Answer::from_code(&a.answer) {
            Some(Answer::Yes) => ("✓", "Yes"),
            Some(Answer::NotHere) => ("–", "Not here"),
            Some(Answer::No) | None => ("✗", "No"),
        };
        (mark, word, a.ask.clone(), a.note.clone())
    });
    let head = signed.head.map_or(0, HeadId::get);
    let may = may_write(&app, &me, Thing::Safety, signed.job).await?;
    let when = signed.at.local(app.firm().zone);
    let view = SignedPage {
        page: under_job(&app, &me, signed.title.as_str(), signed.job)
            .await?
            .titled("Signed", format!("{}, {when}", signed.who)),
        lines: lines.collect(),
        anew: may.then(|| {
            format!(
                "/safety/jobs/{}/sign/{}/{head}",
                signed.job, signed.template
            )
        }),
        when,
        signed,
    };
    ok(&view)
}
