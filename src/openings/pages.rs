//! The pages of openings.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use crate::access::{Me, Post, Reach, Start, Thing};
use crate::db::StoreError;
use crate::jobs::{self, Job, JobId};
use crate::measure::{Length, Unit};
use crate::trim::draw::{SvgOptions, svg};
use crate::trim::sheet::{Finding, Severity};
use crate::web::{AppState, Choice, Errors, Fields, Form, Fragment, Page, Svg, WebError, html, ok};

use super::findings::{compare, of_opening};
use super::forms::{opening as read, opening_fields};
use super::hooks::{OpeningHeads, OpeningParts, Progress};
use super::lengths::{say, unit_words};
use super::model::{Opening, OpeningId, OpeningKind, Pass, Survey, Surveyed};
use super::sketch::sketch;
use super::store;
use super::surveys::store::surveys_of;

/// The unit of lengths typed and shown.
pub(super) fn unit(app: &AppState) -> Unit {
    app.firm().unit
}

#[derive(Template)]
#[template(path = "openings/show.html")]
struct Show {
    page: Page,
    id: OpeningId,
    facts: Vec<(&'static str, String)>,
    sketch: Option<Svg>,
    state: Progress,
    findings: Vec<Said>,
    rows: Vec<Row>,
    first: Option<Taken>,
    second: Option<Taken>,
    all: Vec<Taken>,
    unit: &'static str,
    note: String,
    heads: Fragment,
    parts: Vec<Fragment>,
    archived: bool,
    away: Form,
    may_write: bool,
}

/// A finding with its sign and word.
struct Said {
    sign: &'static str,
    word: &'static str,
    hand: bool,
    text: String,
}

impl From<Finding> for Said {
    fn from(finding: Finding) -> Self {
        let (sign, word, hand) = match finding.severity {
            Severity::Error => ("✗", "Wrong", true),
            Severity::Warning => ("!", "Mind", true),
            Severity::Note => ("·", "Note", false),
        };
        Self {
            sign,
            word,
            hand,
            text: finding.text,
        }
    }
}

/// A number of the two measures side by side.
struct Row {
    what: &'static str,
    first: String,
    second: String,
    apart: String,
    differs: bool,
}

/// One measure as kept, for the list of all.
struct Taken {
    id: i64,
    pass: Pass,
    by: String,
    on: String,
    note: String,
    numbers: Vec<(&'static str, String)>,
}

impl Taken {
    fn of(survey: &Survey, unit: Unit) -> Self {
        let named = survey.measured.named();
        let known = named
            .into_iter()
            .filter_map(|(what, value)| Some((what, value?.exact(unit))));
        Self {
            id: survey.id.get(),
            pass: survey.pass,
            by: survey.by.clone(),
            on: survey.on.to_string(),
            note: survey.note.clone(),
            numbers: known.collect(),
        }
    }
}

/// One opening: drawn, findings, numbers, facts, heads.
pub async fn show(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OpeningId>,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let opening = store::opening(pool, id).await?;
    let job = jobs::job(pool, opening.job).await?;
    let surveys = surveys_of(pool, id).await?;
    let heads = match app.hook::<OpeningHeads>() {
        Some(heads) => (heads.part)(app.clone(), me.clone(), id).await?,
        None => Fragment::default(),
    };
    let mut parts = Vec::new();
    if let Some(all) = app.hook::<OpeningParts>() {
        for part in &all.0 {
            parts.push(part(app.clone(), me.clone(), id).await?);
        }
    }
    let unit = unit(&app);
    let seen = opening.surveyed(&surveys);
    let findings = of_opening(&seen, unit);
    let last = |pass| {
        surveys
            .iter()
            .find(|s| s.pass == pass)
            .map(|s| Taken::of(s, unit))
    };
    let may_write = may_change(&me, &job);
    ok(&Show {
        page: page_of(&me, &opening, &job),
        id,
        facts: facts(&opening, unit),
        sketch: drawn(&opening, &seen, unit),
        state: Progress::of(&seen, &findings),
        findings: findings.into_iter().map(Said::from).collect(),
        rows: rows(&seen, unit),
        first: last(Pass::First),
        second: last(Pass::Second),
        all: surveys.iter().map(|s| Taken::of(s, unit)).collect(),
        unit: unit_words(unit),
        note: opening.facts.note.clone(),
        heads,
        parts,
        archived: opening.archived_at.is_some(),
        away: me
            .form(&app, format!("/openings/{id}/archive"))?
            .at_version(opening.version),
        may_write,
    })
}

fn may_change(me: &Me, job: &Job) -> bool {
    match me.may_write(Thing::Jobs) {
        Reach::All => true,
        Reach::Own => job.facts.foreman == Some(me.id),
        Reach::Assigned | Reach::None => false,
    }
}

fn page_of(me: &Me, opening: &Opening, job: &Job) -> Page {
    let facts = &opening.facts;
    me.page(format!("{} · {}", facts.mark, facts.kind.words()))
        .under("/jobs", "Jobs")
        .under(format!("/jobs/{}", job.id), job.facts.code.as_str())
        .titled("Job", &job.facts.code)
        .titled("Opening", &facts.mark)
        .titled("Version", opening.version)
}

fn drawn(opening: &Opening, seen: &Surveyed, unit: Unit) -> Option<Svg> {
    let counts = seen.counts()?;
    let scene = sketch(opening.facts.kind, counts, unit);
    Some(Svg::drawn(svg(&scene, &SvgOptions::default())))
}

fn facts(opening: &Opening, unit: Unit) -> Vec<(&'static str, String)> {
    let facts = &opening.facts;
    let long = |length: Option<Length>| length.map_or_else(String::new, |l| say(l, unit));
    let storey = match facts.storey {
        0 => "0, cellar".to_owned(),
        1 => "1, ground floor".to_owned(),
        n => n.to_string(),
    };
    [
        ("Storey", storey),
        ("Sill height", long(facts.sill_height)),
        ("Wall", facts.wall.clone()),
        ("Siding", facts.siding.clone()),
        ("Siding depth", long(facts.siding_depth)),
        ("Clear height above", long(facts.clear_above)),
    ]
    .into_iter()
    .map(|(what, value)| {
        (
            what,
            if value.is_empty() {
                "not known".to_owned()
            } else {
                value
            },
        )
    })
    .collect()
}

fn rows(seen: &Surveyed, unit: Unit) -> Vec<Row> {
    let blank = super::model::Measured::default();
    let first = seen.first.as_ref().unwrap_or(&blank);
    let second = seen.second.as_ref().unwrap_or(&blank);
    let text = |length: Option<Length>| length.map_or_else(String::new, |l| l.exact(unit));
    compare(first, second)
        .into_iter()
        .map(|row| {
            let apart = row.difference().filter(|d| *d != Length::ZERO);
            let plus = if apart.is_some_and(|d| d > Length::ZERO) {
                "+"
            } else {
                ""
            };
            Row {
                what: row.what,
                differs: row.differs(),
                apart: match (row.difference(), apart) {
                    (None, _) => String::new(),
                    (Some(_), None) => "same".to_owned(),
                    (Some(_), Some(d)) => format!("{plus}{}", d.exact(unit)),
                },
                first: text(row.first),
                second: text(row.second),
            }
        })
        .collect()
}

#[derive(Template)]
#[template(path = "openings/form.html")]
struct OpeningForm {
    page: Page,
    form: Form,
    kinds: Vec<Choice>,
    unit: &'static str,
    new: bool,
}

fn draw(app: &AppState, page: Page, form: Form, new: bool) -> Result<Response, WebError> {
    let mut kinds = vec![Choice::new("", "Choose…")];
    kinds.extend(
        OpeningKind::ALL
            .iter()
            .map(|k| Choice::new(k.code(), k.words())),
    );
    html(
        form.status(),
        &OpeningForm {
            page,
            form,
            kinds,
            unit: unit_words(unit(app)),
            new,
        },
    )
}

async fn new_page(app: &AppState, me: &Me, job: JobId) -> Result<Page, WebError> {
    let job = jobs::job(app.db().read(), job).await?;
    Ok(me
        .page("New opening")
        .under("/jobs", "Jobs")
        .under(format!("/jobs/{}", job.id), job.facts.code.as_str()))
}

/// The form for one more opening: wall and siding as at the last one, since a
/// house is mostly alike all round.
pub async fn new(
    State(app): State<AppState>,
    me: Me,
    Path(job): Path<JobId>,
) -> Result<Response, WebError> {
    let mut fields = Fields::default().with("storey", 1);
    let others = store::openings_of(app.db().read(), job, false).await?;
    if let Some(last) = others.iter().max_by_key(|opening| opening.id) {
        let depth = last
            .facts
            .siding_depth
            .map(|length| length.exact(unit(&app)));
        fields = Fields::default()
            .with("storey", last.facts.storey)
            .with("wall", &last.facts.wall)
            .with("siding", &last.facts.siding)
            .with_some("siding_depth", depth);
    }
    let form = me
        .form(&app, format!("/openings/new/{job}"))?
        .filled(fields);
    draw(&app, new_page(&app, &me, job).await?, form, true)
}

fn mark_taken() -> Errors {
    Errors::one(
        "mark",
        "Another opening of this job has this mark; archived ones count too.",
    )
}

/// Takes a new opening, and leads on to its first measure.
pub async fn add(
    State(app): State<AppState>,
    me: Me,
    Path(job): Path<JobId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/openings/new/{job}"));
    let facts = match read(&post.fields, unit(&app)) {
        Ok(facts) => facts,
        Err(errors) => {
            return draw(
                &app,
                new_page(&app, &me, job).await?,
                again.wrong(errors),
                true,
            );
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = match store::add_opening(&mut work.tx, work.made, job, &facts).await {
        Ok(id) => id,
        Err(StoreError::Taken(_)) => {
            return draw(
                &app,
                new_page(&app, &me, job).await?,
                again.wrong(mark_taken()),
                true,
            );
        }
        Err(error) => return Err(error.into()),
    };
    work.audit("opening.added", "opening", id.get(), json!({ "job": job }))
        .await?;
    let next = match post.fields.get("next") {
        "measure" => format!("/openings/{id}/measure?saved"),
        _ => format!("/openings/{id}?saved"),
    };
    work.done(next).await
}

async fn edit_page(app: &AppState, me: &Me, opening: &Opening) -> Result<Page, WebError> {
    let job = jobs::job(app.db().read(), opening.job).await?;
    let mark = opening.facts.mark.as_str();
    Ok(me
        .page(format!("Change {mark}"))
        .under("/jobs", "Jobs")
        .under(format!("/jobs/{}", job.id), job.facts.code.as_str())
        .under(format!("/openings/{}", opening.id), mark))
}

/// The form, filled.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OpeningId>,
) -> Result<Response, WebError> {
    let opening = store::opening(app.db().read(), id).await?;
    let form = me.form(&app, format!("/openings/{id}/edit"))?;
    let form = form
        .filled(opening_fields(&opening.facts, unit(&app)))
        .at_version(opening.version);
    draw(&app, edit_page(&app, &me, &opening).await?, form, false)
}

/// Takes a changed opening.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OpeningId>,
    post: Post,
) -> Result<Response, WebError> {
    let opening = store::opening(app.db().read(), id).await?;
    let page = edit_page(&app, &me, &opening).await?;
    let again = post.again(format!("/openings/{id}/edit"));
    let facts = match read(&post.fields, unit(&app)) {
        Ok(facts) => facts,
        Err(errors) => return draw(&app, page, again.wrong(errors), false),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_opening(&mut work.tx, id, post.version()?, &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::opening(app.db().read(), id).await?;
            let theirs = opening_fields(&now.facts, unit(&app));
            return draw(&app, page, again.conflict(theirs, now.version), false);
        }
        Err(StoreError::Taken(_)) => return draw(&app, page, again.wrong(mark_taken()), false),
        Err(error) => return Err(error.into()),
    }
    work.audit("opening.changed", "opening", id.get(), json!({}))
        .await?;
    work.done(format!("/openings/{id}?saved")).await
}

/// Puts an opening away, or brings it back.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OpeningId>,
    post: Post,
) -> Result<Response, WebError> {
    let away = post.away();
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::archive_opening(&mut work.tx, work.made, id, post.version()?, away).await?;
    let what = ("opening", "opening", id.get());
    work.filed(what, away, format!("/openings/{id}?saved"))
        .await
}
