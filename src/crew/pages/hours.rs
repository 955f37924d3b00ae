//! Hours: by the timer or typed, corrected with a trace.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use chrono::{Days, NaiveDate};
use serde::Deserialize;
use serde_json::json;

use super::super::estimate::clock;
use super::super::forms;
use super::super::model::{Hours, HoursId, NewHours, Timer, monday};
use super::super::store::hours::{self as store, Whose};
use crate::access::{Me, Post, Reach, Role, Start, Thing};
use crate::db::StoreError;
use crate::heads::{self, Filter, HeadId, StepId};
use crate::jobs::JobId;
use crate::web::{AppState, Choice, Errors, Fields, Form, Page, WebError, html};

/// Which week.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    week: String,
}

/// One row as the template shows it.
struct Line {
    id: HoursId,
    who: String,
    day: String,
    about: String,
    time: String,
    note: String,
    corrected: bool,
    may_correct: bool,
}

#[derive(Template)]
#[template(path = "crew/hours.html")]
struct HoursPage {
    page: Page,
    lines: Vec<Line>,
    totals: Vec<(String, String)>,
    timer: Option<(Form, String, String)>,
    start: Option<Form>,
    typed: Option<Form>,
    work: Vec<Choice>,
    before: NaiveDate,
    after: NaiveDate,
}

/// A step of a head on which this person may write hours.
struct Doable {
    head: HeadId,
    step: StepId,
    job: JobId,
    words: String,
}

/// Steps of the hand of the heads that this person works on or leads.
async fn doable(app: &AppState, me: &Me) -> Result<Vec<Doable>, WebError> {
    let pool = app.db().read();
    let filter = Filter {
        like: "%".into(),
        only_for: (me.may_write(Thing::Hours) == Reach::Assigned).then(|| me.id.get()),
        ..Filter::default()
    };
    let steps = heads::steps(pool).await?;
    let mut all = Vec::new();
    for card in heads::list(pool, &filter, (500, 0)).await? {
        let job = JobId::new(card.place.job);
        if me.may_write(Thing::Hours) == Reach::Own
            && crate::jobs::leads_job(pool, me.id, job.get()).await? != Some(true)
        {
            continue;
        }
        for step in steps.iter().filter(|s| s.by_hand) {
            all.push(Doable {
                head: card.id,
                step: step.id,
                job,
                words: format!(
                    "{} {} {}: {}",
                    card.place.job_code, card.place.mark, card.name, step.name
                ),
            });
        }
    }
    Ok(all)
}

fn whose(me: &Me) -> Whose {
    match me.may_read(Thing::Hours) {
        Reach::All => Whose::default(),
        Reach::Own => Whose {
            user: Some(me.id),
            led_by: Some(me.id),
        },
        Reach::Assigned | Reach::None => Whose {
            user: Some(me.id),
            led_by: None,
        },
    }
}

/// GET `/crew/hours`.
///
/// # Errors
/// The database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let today = app.now().date(app.firm().zone);
    let day = asked
        .week
        .parse()
        .ok()
        .filter(|day: &NaiveDate| (2000..=2200).contains(&chrono::Datelike::year(day)));
    let form = me.form(&app, "/crew/hours")?;
    let form = form.filled(Fields::default().with("worked", today));
    show(&app, &me, day.unwrap_or(today), form).await
}

async fn show(app: &AppState, me: &Me, day: NaiveDate, form: Form) -> Result<Response, WebError> {
    let pool = app.db().read();
    let zone = app.firm().zone;
    let first = monday(day);
    let last = first.checked_add_days(Days::new(6)).unwrap_or(first);
    let rows = store::between(pool, (first, last), whose(me)).await?;
    let may = me.may_write(Thing::Hours) != Reach::None;
    let mut totals: Vec<(String, i64)> = Vec::new();
    for row in &rows {
        match totals.iter_mut().find(|(who, _)| *who == row.who) {
            Some((_, sum)) => *sum += row.minutes,
            None => totals.push((row.who.clone(), row.minutes)),
        }
    }
    let timer = match store::timer(pool, me.id).await? {
        Some(Timer { since, words, .. }) => {
            let form = me.form(app, "/crew/hours/stop")?;
            Some((form, words, since.local(zone)))
        }
        None => None,
    };
    let work = if may {
        doable(app, me).await?
    } else {
        Vec::new()
    };
    let choose = std::iter::once(Choice::new("", "Choose…"));
    let offered = !work.is_empty();
    let view = HoursPage {
        page: me
            .page("Hours")
            .titled("Week", format!("{first} to {last}")),
        start: (offered && timer.is_none())
            .then(|| me.form(app, "/crew/hours/start"))
            .transpose()?,
        timer,
        work: choose
            .chain(
                work.iter()
                    .map(|w| Choice::new(format!("{}-{}", w.head, w.step), &w.words)),
            )
            .collect(),
        lines: rows.into_iter().map(|row| line(row, may)).collect(),
        totals: totals
            .into_iter()
            .map(|(who, sum)| (who, clock(sum)))
            .collect(),
        before: first.checked_sub_days(Days::new(7)).unwrap_or(first),
        after: first.checked_add_days(Days::new(7)).unwrap_or(first),
        typed: offered.then_some(form.clone()),
    };
    html(form.status(), &view)
}

fn line(row: Hours, may: bool) -> Line {
    let mut about = row.code;
    if let Some((_, name)) = row.head {
        about = format!("{about} {name}");
    }
    if let Some(step) = row.step {
        about = format!("{about}: {step}");
    }
    Line {
        id: row.id,
        who: row.who,
        day: row.day.format("%a %-d %b").to_string(),
        about,
        time: clock(row.minutes),
        note: row.note,
        corrected: row.replaces.is_some(),
        may_correct: may,
    }
}

/// POST `/crew/hours`: typed hours of one's own.
///
/// # Errors
/// The database's.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    // A form of long ago: its head may have been given to somebody else since.
    if let Some(reply) = post.earlier(&app, &me).await? {
        return Ok(reply);
    }
    let today = app.now().date(app.firm().zone);
    let work = doable(&app, &me).await?;
    let pairs: Vec<_> = work.iter().map(|w| (w.head, w.step)).collect();
    let typed = match forms::hours(&post.fields, today, &pairs) {
        Ok(typed) if typed.minutes > 0 => typed,
        Ok(_) => {
            let wrong = Errors::one("time", "Nothing worked is not written down.");
            return show(&app, &me, today, post.again("/crew/hours").wrong(wrong)).await;
        }
        Err(wrong) => return show(&app, &me, today, post.again("/crew/hours").wrong(wrong)).await,
    };
    let job = work.iter().find(|w| (w.head, w.step) == typed.work);
    let job = job.map(|w| w.job).ok_or(WebError::Missing)?;
    let new = NewHours {
        user: me.id,
        job,
        head: Some(typed.work.0),
        step: Some(typed.work.1),
        day: typed.day,
        minutes: typed.minutes,
        timed: false,
        note: typed.note,
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let id = store::add(&mut work.tx, work.made, &new, None).await?;
            work.audit("hours.added", "hours", id.get(), json!({}))
                .await?;
            work.done(format!("/crew/hours?week={}&saved", new.day))
                .await
        }
    }
}

/// POST `/crew/hours/start`: the timer runs.
///
/// # Errors
/// `NotNow` if it runs already; the database's.
pub async fn start(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    // A form of long ago: its head may have been given to somebody else since.
    if let Some(reply) = post.earlier(&app, &me).await? {
        return Ok(reply);
    }
    let chosen = forms::head_and_step(post.fields.get("start_work"));
    let all = doable(&app, &me).await?;
    let chosen = chosen.filter(|one| all.iter().any(|w| (w.head, w.step) == *one));
    let Some((head, step)) = chosen else {
        return Err(WebError::NotNow(
            "Choose the head and step you begin. It may have been given to somebody else meanwhile."
                .into(),
        ));
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let about = (head, Some(step));
            match store::start_timer(&mut work.tx, work.made, me.id, about).await {
                Ok(()) => {}
                Err(StoreError::Taken(_)) => {
                    return Err(WebError::NotNow(
                        "Your timer runs already. Stop it first.".into(),
                    ));
                }
                Err(other) => return Err(other.into()),
            }
            work.audit("hours.started", "head", head.get(), json!({}))
                .await?;
            work.done("/crew/hours?saved").await
        }
    }
}

/// POST `/crew/hours/stop`: the timer's minutes become a row of hours; over
/// midnight they count for the day on which it began, sixteen hours at most.
///
/// # Errors
/// `NotNow` if it does not run; the database's.
pub async fn stop(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let timer = store::timer(app.db().read(), me.id).await?;
            let ran = store::stop_timer(&mut work.tx, me.id).await?;
            let Some(timer) = timer.filter(|_| ran) else {
                return Err(WebError::NotNow("No timer of yours runs.".into()));
            };
            let seconds = app.now().since(timer.since).as_secs();
            let minutes = i64::try_from(seconds.div_ceil(60)).unwrap_or(i64::MAX);
            let forgotten = minutes > MOST_TIMED;
            let new = NewHours {
                user: me.id,
                job: timer.job,
                head: Some(timer.head),
                step: timer.step,
                day: timer.since.date(app.firm().zone),
                minutes: minutes.clamp(1, MOST_TIMED),
                timed: true,
                note: if forgotten {
                    "the timer ran on: correct this".into()
                } else {
                    String::new()
                },
            };
            let id = store::add(&mut work.tx, work.made, &new, None).await?;
            work.audit("hours.timed", "hours", id.get(), json!({}))
                .await?;
            work.done(format!("/crew/hours?week={}&saved", new.day))
                .await
        }
    }
}

/// A timer that ran longer was forgotten.
const MOST_TIMED: i64 = 16 * 60;

#[derive(Template)]
#[template(path = "crew/hours_one.html")]
struct OnePage {
    page: Page,
    form: Form,
    about: String,
    trace: Vec<(String, String, String)>,
}

async fn draw(
    app: &AppState,
    me: &Me,
    trace: Vec<Hours>,
    form: Form,
) -> Result<Response, WebError> {
    let zone = app.firm().zone;
    let newest = trace.first().cloned().ok_or(WebError::Missing)?;
    let one = |h: &Hours| {
        let time = if h.minutes == 0 {
            "struck out".to_owned()
        } else {
            clock(h.minutes)
        };
        let how = if h.timed { " by the timer" } else { "" };
        (
            format!("{}: {time}{how}", h.day),
            h.note.clone(),
            format!("{}, {}", h.by.0, h.by.1.local(zone)),
        )
    };
    let view = OnePage {
        page: me.page("Correct hours").under("/crew/hours", "Hours"),
        trace: trace.iter().map(one).collect(),
        about: line(newest, true).about,
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/crew/hours/{id}`: a row with its trace.
///
/// # Errors
/// `Missing`, the database's.
pub async fn one(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HoursId>,
) -> Result<Response, WebError> {
    let trace = store::with_trace(app.db().read(), id).await?;
    let newest = trace.first().ok_or(WebError::Missing)?;
    let fields = Fields::default()
        .with("worked", newest.day)
        .with("time", clock(newest.minutes));
    let form = me.form(&app, format!("/crew/hours/{id}"))?.filled(fields);
    draw(&app, &me, trace, form).await
}

/// POST `/crew/hours/{id}`: a new row takes the place of the old one.
///
/// # Errors
/// `Stale` if it was corrected meanwhile; the database's.
pub async fn correct(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HoursId>,
    post: Post,
) -> Result<Response, WebError> {
    let today = app.now().date(app.firm().zone);
    let trace = store::with_trace(app.db().read(), id).await?;
    let old = trace.first().cloned().ok_or(WebError::Missing)?;
    if me.role == Role::Carpenter && old.user != me.id {
        return Err(WebError::Missing);
    }
    let (day, minutes, note) = match forms::correction(&post.fields, today) {
        Ok(typed) => typed,
        Err(wrong) => {
            let form = post.again(format!("/crew/hours/{id}")).wrong(wrong);
            return draw(&app, &me, trace, form).await;
        }
    };
    let step = heads::steps(app.db().read()).await?;
    let new = NewHours {
        user: old.user,
        job: old.job,
        head: old.head.as_ref().map(|(id, _)| *id),
        step: old
            .step
            .as_deref()
            .and_then(|name| step.named(name))
            .map(|s| s.id),
        day,
        minutes,
        timed: false,
        note,
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let row = store::add(&mut work.tx, work.made, &new, Some(id)).await?;
            work.audit("hours.corrected", "hours", row.get(), json!({}))
                .await?;
            work.done(format!("/crew/hours?week={day}&saved")).await
        }
    }
}
