//! The pages of saws.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::model::{Saw, SawId, TestCut, axis_code};
use super::{forms, store, words};
use crate::access::{self, Me, Post, Reach, Role, Start, Thing, UserId};
use crate::db::StoreError;
use crate::web::{AppState, Choice, Fields, Form, Page, WebError, html, ok};

const NEW: &str = "/firm/saws/new";

/// A saw in the list.
struct Line {
    saw: Saw,
    who: String,
    reach: String,
    mine: bool,
}

#[derive(Template)]
#[template(path = "firm/saws.html")]
struct List {
    page: Page,
    saws: Vec<Line>,
    may_write: bool,
}

fn may_write(me: &Me) -> bool {
    me.may_write(Thing::Heads) != Reach::None
}

/// Whoever works at saws may write a test cut down: all but the office.
fn may_test(me: &Me) -> bool {
    me.role != Role::Office
}

fn under(me: &Me, page: Page) -> Page {
    if me.may_read(Thing::Firm) == Reach::None {
        page
    } else {
        page.under("/firm", "Firm")
    }
}

/// All saws.
pub async fn list(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let pool = app.db().read();
    let unit = app.firm().unit;
    let at = store::saw_of(pool, me.id).await?.id;
    let line = |saw: Saw| Line {
        who: words::who(&saw),
        reach: {
            let [swing, tilt, ..] = words::reach(&saw, unit);
            format!("swing {}, tilt {}", swing.1, tilt.1)
        },
        mine: saw.id == at,
        saw,
    };
    ok(&List {
        page: under(&me, me.page("Saws")),
        saws: store::saws(pool).await?.into_iter().map(line).collect(),
        may_write: may_write(&me),
    })
}

/// A test cut as the page shows it.
struct TestLine {
    day: String,
    set: String,
    measured: String,
    means: String,
    note: String,
    who: String,
    counts: bool,
}

#[derive(Template)]
#[template(path = "firm/saw.html")]
struct Show {
    page: Page,
    saw: Saw,
    who: String,
    sprung: &'static str,
    reach: [(&'static str, String); 5],
    tests: Vec<TestLine>,
    form: Form,
    axes: Vec<Choice>,
    sides: Vec<Choice>,
    mine: bool,
    usual: Form,
    at: Form,
    away: Form,
    may_write: bool,
    may_test: bool,
}

/// Marks, of each axis and side, the newest that is in use.
fn test_lines(tests: Vec<TestCut>) -> Vec<TestLine> {
    let mut seen: Vec<(crate::trim::dial::Axis, f64)> = Vec::new();
    let mut lines = Vec::with_capacity(tests.len());
    for cut in tests {
        let sides: Vec<f64> = [-1.0, 0.0, 1.0]
            .into_iter()
            .filter(|angle| cut.reading.speaks_of(cut.reading.axis, *angle))
            .collect();
        let known = |side: &f64| seen.contains(&(cut.reading.axis, *side));
        let counts = !sides.iter().all(known);
        seen.extend(sides.into_iter().map(|side| (cut.reading.axis, side)));
        lines.push(TestLine {
            day: words::day(cut.day),
            set: words::set(&cut),
            measured: format!("{}°", cut.reading.measured),
            means: words::means(&cut),
            who: cut.who.unwrap_or_else(|| "somebody".to_owned()),
            note: cut.note,
            counts,
        });
    }
    lines
}

async fn draw(
    app: &AppState,
    me: &Me,
    id: SawId,
    form: Option<Form>,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let saw = store::saw(pool, id).await?;
    let act = |what: &str| me.form(app, format!("/firm/saws/{id}/{what}"));
    let today = app.now().date(app.firm().zone);
    let fresh = act("test")?.filled(
        Fields::default()
            .with("axis", "swing")
            .with("side", "right")
            .with("day", today),
    );
    let form = form.unwrap_or(fresh);
    let page = under(me, me.page(&saw.facts.name)).under("/firm/saws", "Saws");
    let view = Show {
        page,
        who: words::who(&saw),
        sprung: words::sprung(&saw),
        reach: words::reach(&saw, app.firm().unit),
        tests: test_lines(store::tests_of(pool, id).await?),
        axes: vec![
            Choice::new("swing", "swing: the saw turned"),
            Choice::new("tilt", "tilt: the blade leaned"),
        ],
        sides: vec![
            Choice::new(
                "left",
                "left: the handle goes left, or the blade’s top leans left",
            ),
            Choice::new(
                "right",
                "right: the handle goes right, or the blade’s top leans right",
            ),
        ],
        mine: store::saw_of(pool, me.id).await?.id == id,
        usual: act("usual")?,
        at: act("mine")?,
        away: act("archive")?.at_version(saw.version),
        may_write: may_write(me),
        may_test: may_test(me),
        saw,
        form,
    };
    html(view.form.status(), &view)
}

/// One saw, its reach and its test cuts.
pub async fn show(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SawId>,
) -> Result<Response, WebError> {
    draw(&app, &me, id, None).await
}

/// Writes a test cut down.
pub async fn test(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SawId>,
    post: Post,
) -> Result<Response, WebError> {
    if !may_test(&me) {
        return Err(WebError::Missing);
    }
    let today = app.now().date(app.firm().zone);
    let cut = match forms::test_cut(&post.fields, today) {
        Ok(cut) => cut,
        Err(errors) => {
            let form = post.again(format!("/firm/saws/{id}/test")).wrong(errors);
            return draw(&app, &me, id, Some(form)).await;
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::add_test(&mut work.tx, work.made, id, &cut).await?;
    let detail = json!({ "axis": axis_code(cut.reading.axis), "set": cut.reading.set,
        "measured": cut.reading.measured });
    work.audit("saw.tested", "saw", id.get(), detail).await?;
    work.done(format!("/firm/saws/{id}?saved")).await
}

/// Remembers that a person works at this saw.
pub async fn mine(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SawId>,
    post: Post,
) -> Result<Response, WebError> {
    if store::saw(app.db().read(), id).await?.archived_at.is_some() {
        let words = "This saw is in the archive. Choose another.";
        return Err(WebError::NotNow(words.to_owned()));
    }
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::work_at(&mut work.tx, work.made, me.id, id).await?;
    work.audit("saw.chosen", "saw", id.get(), json!({})).await?;
    work.done(format!("/firm/saws/{id}?saved")).await
}

/// Makes this the saw that new sheets start with.
pub async fn usual(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SawId>,
    post: Post,
) -> Result<Response, WebError> {
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::make_usual(&mut work.tx, id).await?;
    work.audit("saw.usual", "saw", id.get(), json!({})).await?;
    work.done(format!("/firm/saws/{id}?saved")).await
}

/// Puts a saw away, or brings it back.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SawId>,
    post: Post,
) -> Result<Response, WebError> {
    let away = post.away();
    if away && store::saw(app.db().read(), id).await?.usual {
        let words = "New sheets start with this saw. Make another one the usual saw first.";
        return Err(WebError::NotNow(words.to_owned()));
    }
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::archive_saw(&mut work.tx, work.made, (id, post.version()?), away).await?;
    let what = ("saw", "saw", id.get());
    work.filed(what, away, format!("/firm/saws/{id}?saved"))
        .await
}

#[derive(Template)]
#[template(path = "firm/saw_form.html")]
struct SawForm {
    page: Page,
    form: Form,
    people: Vec<Choice>,
    ways: Vec<Choice>,
}

async fn draw_form(app: &AppState, page: Page, form: Form) -> Result<Response, WebError> {
    let mut people = vec![Choice::new("", "everyone")];
    for person in access::people(app.db().read()).await? {
        if person.disabled_at.is_none() {
            people.push(Choice::new(person.id, person.name));
        }
    }
    let ways = vec![
        Choice::new("", "as the head’s design says"),
        Choice::new("flat", "on its back: compound cuts"),
        Choice::new(
            "nested",
            "standing in its spring angle: plain swing, crown stops",
        ),
    ];
    html(
        form.status(),
        &SawForm {
            page,
            form,
            people,
            ways,
        },
    )
}

async fn known(app: &AppState) -> Result<Vec<UserId>, WebError> {
    let people = access::people(app.db().read()).await?;
    Ok(people.into_iter().map(|person| person.id).collect())
}

fn new_page(me: &Me) -> Page {
    under(me, me.page("New saw")).under("/firm/saws", "Saws")
}

/// The form of a new saw, filled with the usual one's measures.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let mut like = store::usual_saw(app.db().read()).await?.facts;
    (like.name, like.used_by, like.user) = (String::new(), String::new(), None);
    let fields = forms::saw_fields(&like, app.firm().unit);
    draw_form(&app, new_page(&me), me.form(&app, NEW)?.filled(fields)).await
}

/// Takes a new saw.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let facts = match forms::saw(&post.fields, app.firm().unit, &known(&app).await?) {
        Ok(facts) => facts,
        Err(errors) => {
            return draw_form(&app, new_page(&me), post.again(NEW).wrong(errors)).await;
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = store::add_saw(&mut work.tx, work.made, &facts).await?;
    work.audit("saw.added", "saw", id.get(), json!({})).await?;
    work.done(format!("/firm/saws/{id}?saved")).await
}

fn edit_page(me: &Me, saw: &Saw) -> Page {
    let page = me.page(format!("Change {}", saw.facts.name));
    under(me, page)
        .under("/firm/saws", "Saws")
        .under(format!("/firm/saws/{}", saw.id), &saw.facts.name)
}

/// The form of a saw, filled.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SawId>,
) -> Result<Response, WebError> {
    let saw = store::saw(app.db().read(), id).await?;
    let form = me
        .form(&app, format!("/firm/saws/{id}/edit"))?
        .filled(forms::saw_fields(&saw.facts, app.firm().unit))
        .at_version(saw.version);
    draw_form(&app, edit_page(&me, &saw), form).await
}

/// Takes a changed saw.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SawId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/firm/saws/{id}/edit"));
    let unit = app.firm().unit;
    let facts = match forms::saw(&post.fields, unit, &known(&app).await?) {
        Ok(facts) => facts,
        Err(errors) => {
            let saw = store::saw(app.db().read(), id).await?;
            return draw_form(&app, edit_page(&me, &saw), again.wrong(errors)).await;
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_saw(&mut work.tx, (id, post.version()?), &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::saw(app.db().read(), id).await?;
            let form = again.conflict(forms::saw_fields(&now.facts, unit), now.version);
            return draw_form(&app, edit_page(&me, &now), form).await;
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("saw.changed", "saw", id.get(), json!({}))
        .await?;
    work.done(format!("/firm/saws/{id}?saved")).await
}
