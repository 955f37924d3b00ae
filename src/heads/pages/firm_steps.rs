//! The firm's list of steps: names, order, who records them, what they need.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use crate::access::{Me, Post, Start, Work};
use crate::db::StoreError;
use crate::heads::gate::{GateKind, Gates};
use crate::heads::steps::{FirmStep, NewStep, StepId};
use crate::heads::store::step_list as store;
use crate::web::{AppState, Check, Choice, Errors, Fields, Form, Page, WebError, html};

/// A gate to tick, and whether an area of the program answers it.
struct GateTick {
    code: &'static str,
    words: &'static str,
    answered: bool,
}

/// What both pages' form may choose from.
struct Choices {
    places: Vec<Choice>,
    gates: Vec<GateTick>,
}

#[derive(Template)]
#[template(path = "heads/steps.html")]
struct ListPage {
    page: Page,
    steps: Vec<FirmStep>,
    form: Form,
    choices: Choices,
}

#[derive(Template)]
#[template(path = "heads/step.html")]
struct StepPage {
    page: Page,
    step: FirmStep,
    form: Form,
    retire: Form,
    choices: Choices,
}

const LIST: &str = "/heads/steps";

fn choices(app: &AppState, all: &[FirmStep], but: Option<StepId>) -> Choices {
    let mut places = vec![Choice::new("first", "first of all")];
    let others = all.iter().filter(|s| Some(s.step.id) != but);
    places.extend(others.map(|s| Choice::new(s.step.id, format!("after {}", s.step.name))));
    let gates = app.hook::<Gates>();
    let gates = GateKind::ALL.iter().map(|kind| GateTick {
        code: kind.code(),
        words: kind.words(),
        answered: gates.is_some_and(|gates| gates.answers(*kind)),
    });
    Choices {
        places,
        gates: gates.collect(),
    }
}

/// GET `/heads/steps`.
///
/// # Errors
/// The database's.
pub async fn list(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let all = store::firm_steps(app.db().read()).await?;
    let last = all.last().map(|s| s.step.id);
    let form = me.form(&app, LIST)?;
    let form = form.filled(Fields::default().with_some("after", last));
    draw_list(&app, &me, all, form)
}

fn draw_list(
    app: &AppState,
    me: &Me,
    steps: Vec<FirmStep>,
    form: Form,
) -> Result<Response, WebError> {
    let view = ListPage {
        page: me.page("Steps of a head").under("/firm", "Firm"),
        choices: choices(app, &steps, None),
        steps,
        form,
    };
    html(view.form.status(), &view)
}

/// A step and its place as typed.
fn typed(fields: &Fields, all: &[FirmStep]) -> Result<(NewStep, Option<StepId>), Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", 40);
    let after = check.one_of("after", |text| match text {
        "first" => Some(None),
        one => all
            .iter()
            .find(|s| s.step.id.to_string() == one)
            .map(|s| Some(s.step.id)),
    });
    let mut gates = Vec::new();
    for code in fields.all("gate") {
        match GateKind::from_code(code) {
            Some(gate) => gates.push(gate),
            None => check.fail("gate", "Choose from the list."),
        }
    }
    let new = NewStep {
        name,
        by_office: check.ticked("by_office"),
        by_hand: check.ticked("by_hand"),
        gates,
    };
    check.finish_some(after.map(|after| (new, after)))
}

fn name_taken() -> Errors {
    Errors::one(
        "name",
        "Another step has this name. Retired ones count too: bring that one back instead.",
    )
}

/// POST `/heads/steps`: a step more.
///
/// # Errors
/// The database's.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let all = store::firm_steps(app.db().read()).await?;
    let (new, after) = match typed(&post.fields, &all) {
        Ok(new) => new,
        Err(wrong) => return draw_list(&app, &me, all, post.again(LIST).wrong(wrong)),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::add_step(&mut work.tx, &new, after).await {
        Ok(id) => finish(work, "step.added", id, LIST).await,
        Err(StoreError::Taken(_)) => {
            draw_list(&app, &me, all, post.again(LIST).wrong(name_taken()))
        }
        Err(error) => Err(error.into()),
    }
}

async fn finish(mut work: Work, event: &str, id: StepId, to: &str) -> Result<Response, WebError> {
    work.audit(event, "step", id.get(), json!({})).await?;
    work.done(format!("{to}?saved")).await
}

/// The step, and how the form shows it.
fn one(all: &[FirmStep], id: StepId) -> Result<(FirmStep, Fields), WebError> {
    let place = all.iter().position(|s| s.step.id == id);
    let place = place.ok_or(WebError::Missing)?;
    let step = all.get(place).ok_or(WebError::Missing)?.clone();
    let before = place.checked_sub(1).and_then(|p| all.get(p));
    let mut fields = Fields::default().with("name", &step.step.name).with(
        "after",
        before.map_or_else(|| "first".to_owned(), |s| s.step.id.to_string()),
    );
    if step.step.by_office {
        fields = fields.with("by_office", "yes");
    }
    if step.step.by_hand {
        fields = fields.with("by_hand", "yes");
    }
    for gate in &step.step.gates {
        fields = fields.with("gate", gate.code());
    }
    Ok((step, fields))
}

fn draw(
    app: &AppState,
    me: &Me,
    all: &[FirmStep],
    (step, form): (FirmStep, Form),
) -> Result<Response, WebError> {
    let id = step.step.id;
    let view = StepPage {
        page: me
            .page(format!("Step: {}", step.step.name))
            .under("/firm", "Firm")
            .under(LIST, "Steps of a head"),
        choices: choices(app, all, Some(id)),
        retire: me
            .form(app, format!("{LIST}/{id}/retire"))?
            .at_version(step.version),
        step,
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/heads/steps/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<StepId>,
) -> Result<Response, WebError> {
    let all = store::firm_steps(app.db().read()).await?;
    let (step, fields) = one(&all, id)?;
    let form = me.form(&app, format!("{LIST}/{id}"))?;
    let form = form.filled(fields).at_version(step.version);
    draw(&app, &me, &all, (step, form))
}

/// POST `/heads/steps/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<StepId>,
    post: Post,
) -> Result<Response, WebError> {
    let all = store::firm_steps(app.db().read()).await?;
    let (step, _) = one(&all, id)?;
    let again = post.again(format!("{LIST}/{id}"));
    let (new, after) = match typed(&post.fields, &all) {
        Ok(new) => new,
        Err(wrong) => return draw(&app, &me, &all, (step, again.wrong(wrong))),
    };
    let seen = post.version()?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_step(&mut work.tx, (id, seen), &new, after).await {
        Ok(()) => finish(work, "step.changed", id, LIST).await,
        Err(StoreError::Stale(_)) => {
            drop(work);
            let all = store::firm_steps(app.db().read()).await?;
            let (step, theirs) = one(&all, id)?;
            let form = again.conflict(theirs, step.version);
            draw(&app, &me, &all, (step, form))
        }
        Err(StoreError::Taken(_)) => draw(&app, &me, &all, (step, again.wrong(name_taken()))),
        Err(error) => Err(error.into()),
    }
}

/// POST `/heads/steps/{id}/retire`: a step goes out of use, or comes back.
///
/// # Errors
/// `NotNow` while live heads stand at it or it is the last one; `Stale`.
pub async fn retire(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<StepId>,
    post: Post,
) -> Result<Response, WebError> {
    let away = post.fields.get("away") != "no";
    let seen = post.version()?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    if away {
        let (heads, steps) = store::in_use(&mut work.tx, id).await?;
        if heads > 0 {
            return Err(WebError::NotNow(format!(
                "{heads} of the heads stand at this step. Move them on or send them back first."
            )));
        }
        if steps < 2 {
            return Err(WebError::NotNow("The firm needs one step at least.".into()));
        }
    }
    store::retire_step(&mut work.tx, work.made, (id, seen), away).await?;
    let event = if away {
        "step.retired"
    } else {
        "step.brought-back"
    };
    finish(work, event, id, LIST).await
}
