//! The measuring form, for a phone held in one hand and a tape in the other.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;
use serde_json::json;

use crate::access::{self, Me, Post, Start};
use crate::jobs;
use crate::openings::lengths::unit_words;
use crate::openings::model::{High, Lean, Opening, OpeningId, OpeningKind, Pass};
use crate::openings::pages::unit;
use crate::openings::store::opening;
use crate::web::{AppState, Choice, Fields, Form, Page, WebError, html};

use super::forms::{SurveyChoices, survey as read, survey_fields};
use super::store;

#[derive(Template)]
#[template(path = "openings/measure.html")]
struct Measure {
    page: Page,
    form: Form,
    passes: Vec<Choice>,
    leans: Vec<Choice>,
    highs: Vec<Choice>,
    people: Vec<Choice>,
    unit: &'static str,
    arch: bool,
}

/// Which measure is taken, and from which earlier one it starts.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    pass: String,
    from: String,
}

async fn choices(app: &AppState) -> Result<SurveyChoices, WebError> {
    let people = access::people(app.db().read()).await?;
    let working = people.into_iter().filter(|p| p.disabled_at.is_none());
    Ok(SurveyChoices {
        people: working.map(|p| (p.id, p.name)).collect(),
        today: app.now().date(app.firm().zone),
    })
}

async fn page_of(app: &AppState, me: &Me, opening: &Opening) -> Result<Page, WebError> {
    let job = jobs::job(app.db().read(), opening.job).await?;
    let mark = opening.facts.mark.as_str();
    Ok(me
        .page(format!("Measure {mark}"))
        .under("/jobs", "Jobs")
        .under(format!("/jobs/{}", job.id), job.facts.code.as_str())
        .under(format!("/openings/{}", opening.id), mark))
}

async fn draw(
    app: &AppState,
    me: &Me,
    opening: &Opening,
    form: Form,
    choices: &SurveyChoices,
) -> Result<Response, WebError> {
    let leans = Lean::ALL
        .iter()
        .map(|lean| Choice::new(lean.code(), lean.words()));
    let highs = High::ALL
        .iter()
        .map(|high| Choice::new(high.code(), high.words()));
    html(
        form.status(),
        &Measure {
            page: page_of(app, me, opening).await?,
            passes: Pass::ALL
                .iter()
                .map(|p| Choice::new(p.code(), p.words()))
                .collect(),
            leans: std::iter::once(Choice::new("", "Which way?"))
                .chain(leans)
                .collect(),
            highs: std::iter::once(Choice::new("", "Which end?"))
                .chain(highs)
                .collect(),
            people: choices
                .people
                .iter()
                .map(|(id, name)| Choice::new(id, name))
                .collect(),
            unit: unit_words(unit(app)),
            arch: opening.facts.kind == OpeningKind::Arch,
            form,
        },
    )
}

/// The form: empty, so that the second measure does not lean on the first; or,
/// when asked, filled from an earlier measure to set one number right.
pub async fn new(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OpeningId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let opening = opening(app.db().read(), id).await?;
    let surveys = store::surveys_of(app.db().read(), id).await?;
    let choices = choices(&app).await?;
    let earlier = surveys
        .iter()
        .find(|survey| survey.id.to_string() == asked.from);
    let pass = Pass::from_code(&asked.pass).unwrap_or_else(|| {
        let has = |pass| surveys.iter().any(|survey| survey.pass == pass);
        if has(Pass::First) && !has(Pass::Second) {
            Pass::Second
        } else {
            Pass::First
        }
    });
    let fields = match earlier {
        Some(survey) => survey_fields(survey, unit(&app)),
        None => Fields::default().with("pass", pass.code()),
    };
    let fields = fields.with("by", me.id).with("on", choices.today);
    let form = me
        .form(&app, format!("/openings/{id}/measure"))?
        .filled(fields);
    draw(&app, &me, &opening, form, &choices).await
}

/// Takes a measure: one more row, whatever was measured before stays.
pub async fn add(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OpeningId>,
    post: Post,
) -> Result<Response, WebError> {
    let opening = opening(app.db().read(), id).await?;
    let choices = choices(&app).await?;
    let new = match read(&post.fields, &choices, unit(&app)) {
        Ok(new) => new,
        Err(errors) => {
            let form = post.again(format!("/openings/{id}/measure")).wrong(errors);
            return draw(&app, &me, &opening, form, &choices).await;
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let survey = store::add_survey(&mut work.tx, work.made, id, &new).await?;
    let detail = json!({ "survey": survey, "pass": new.pass.code() });
    work.audit("opening.measured", "opening", id.get(), detail)
        .await?;
    work.done(format!("/openings/{id}?saved")).await
}
