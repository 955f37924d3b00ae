//! The plan: a week of heads by carpenter and day, and the forms that change it.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::Response;
use chrono::{Days, NaiveDate};
use serde::Deserialize;

use super::super::estimate::{RULE, clock};
use super::super::gather::{self, PersonDay, Planned, Week};
use super::super::model::{AbsenceReason, DAY_MINUTES, LostDay, SlotId, monday};
use super::super::store;
use super::carpenters;
use crate::access::{Me, Post, Reach, Thing, UserId};
use crate::heads;
use crate::jobs::{self, Job, Shown};
use crate::web::{AppState, Choice, Errors, Fields, Form, ListQuery, Page, WebError, html};

/// Which week.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    week: String,
}

/// One slot as the template shows it.
pub struct SlotView {
    id: SlotId,
    version: i64,
    user: UserId,
    day: NaiveDate,
    words: String,
    step: String,
    href: String,
    time: String,
    done: bool,
    lacks: Vec<String>,
    stand: Option<String>,
}

/// One day of a person.
pub struct CellView {
    day: NaiveDate,
    label: String,
    slots: Vec<SlotView>,
    total: String,
    away: Option<String>,
    too_much: bool,
}

/// One person's week.
pub struct RowView {
    user: UserId,
    name: String,
    cells: Vec<CellView>,
}

#[derive(Template)]
#[template(path = "crew/plan.html")]
struct PlanPage {
    page: Page,
    rows: Vec<RowView>,
    days: Vec<(String, Option<String>)>,
    limits: Vec<(i64, String)>,
    degrees: &'static str,
    late: Vec<SlotView>,
    lost: Vec<LostDay>,
    away: Vec<(i64, String)>,
    newest: i64,
    rule: &'static str,
    day_hours: String,
    week: NaiveDate,
    before: NaiveDate,
    after: NaiveDate,
    forms: Option<PlanForms>,
}

/// What whoever may plan is given.
struct PlanForms {
    add: Form,
    away: Form,
    lost: Form,
    pattern: Form,
    weather: Form,
    limit: Form,
    steps: Vec<Choice>,
    /// For the slots' own small forms.
    token: Form,
    work: Vec<Choice>,
    crew: Vec<Choice>,
    nobody: Vec<Choice>,
    jobs: Vec<Choice>,
    reasons: Vec<Choice>,
    patterns: Vec<Choice>,
}

fn slot_view(planned: &Planned) -> SlotView {
    let place = &planned.card.place;
    SlotView {
        id: planned.slot.id,
        version: planned.slot.version,
        user: planned.slot.user,
        day: planned.slot.day,
        words: format!("{} {} {}", place.job_code, place.mark, planned.card.name),
        step: planned.slot.step_name.clone(),
        href: format!("/heads/{}", planned.card.id),
        time: clock(planned.minutes),
        done: planned.slot.done,
        lacks: planned.lacks.clone(),
        stand: planned.stand.clone(),
    }
}

fn rows(week: &Week) -> Vec<RowView> {
    let nothing = PersonDay::default();
    let row = |person: &crate::access::Person| RowView {
        user: person.id,
        name: person.name.clone(),
        cells: week
            .days
            .iter()
            .map(|day| {
                let cell = week.cells.get(&(person.id, *day)).unwrap_or(&nothing);
                CellView {
                    day: *day,
                    label: day.format("%a %-d").to_string(),
                    slots: cell.planned.iter().map(slot_view).collect(),
                    total: if cell.minutes > 0 {
                        clock(cell.minutes)
                    } else {
                        String::new()
                    },
                    away: cell.away.clone(),
                    too_much: cell.too_much,
                }
            })
            .collect(),
    };
    week.crew.iter().map(row).collect()
}

/// GET `/crew/plan`.
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
    show(&app, &me, day.unwrap_or(today), (&Errors::default(), None)).await
}

/// The plan of the week of `day`, with what was wrong in one of its forms.
///
/// # Errors
/// The database's.
pub async fn show(
    app: &AppState,
    me: &Me,
    day: NaiveDate,
    (wrong, typed): (&Errors, Option<&Fields>),
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let monday = monday(day);
    let only = (me.may_read(Thing::Plan) == Reach::Assigned).then_some(me.id);
    // Taken first: a change made while the page is drawn counts as new.
    let newest = store::newest_change(pool).await?;
    let week = gather::week(app, monday, only).await?;
    let metric = app.firm().unit.is_metric();
    let last = week.days.last().copied().unwrap_or(monday);
    let name = |user: UserId| {
        let found = week.crew.iter().find(|p| p.id == user);
        found.map_or_else(String::new, |p| p.name.clone())
    };
    let absences = store::absences(pool, monday, last).await?;
    let away = absences
        .iter()
        .filter(|a| only.is_none_or(|o| o == a.user))
        .map(|a| {
            let words = format!(
                "{}: {}, {} to {}",
                name(a.user),
                a.reason.words(),
                a.first,
                a.last
            );
            (a.id, words)
        });
    let view = PlanPage {
        page: me
            .page("Plan")
            .titled("Week", format!("{monday} to {last}")),
        rows: rows(&week),
        days: week
            .days
            .iter()
            .map(|d| {
                let weather = week.weather.get(d).map(|w| w.words(metric));
                (d.format("%A %-d %b").to_string(), weather)
            })
            .collect(),
        limits: store::weather::limits(pool)
            .await?
            .iter()
            .map(|limit| (limit.id, limit.words(metric)))
            .collect(),
        degrees: if metric { "°C" } else { "°F" },
        // Those of the week shown stand in it.
        late: week
            .late
            .iter()
            .filter(|p| p.slot.day < monday)
            .map(slot_view)
            .collect(),
        lost: store::lost_days(pool, monday, last).await?,
        away: away.collect(),
        newest,
        rule: RULE,
        day_hours: clock(DAY_MINUTES),
        week: monday,
        before: monday.checked_sub_days(Days::new(7)).unwrap_or(monday),
        after: monday.checked_add_days(Days::new(7)).unwrap_or(monday),
        forms: match me.may_write(Thing::Plan) {
            Reach::All => Some(forms_of(app, me, monday, (wrong, typed)).await?),
            _ => None,
        },
    };
    let status = if wrong.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    html(status, &view)
}

/// The jobs one may plan on.
pub(super) async fn live_jobs(app: &AppState) -> Result<Vec<Job>, WebError> {
    Ok(jobs::jobs(app.db().read(), &ListQuery::default(), &Shown::default()).await?)
}

async fn forms_of(
    app: &AppState,
    me: &Me,
    monday: NaiveDate,
    (wrong, typed): (&Errors, Option<&Fields>),
) -> Result<PlanForms, WebError> {
    let today = app.now().date(app.firm().zone);
    let first = Fields::default()
        .with("day", today.max(monday))
        .with("away_first", today)
        .with("lost_day", today)
        .with("weather_day", today);
    let form = |action: &str, own: &[&str]| -> Result<Form, WebError> {
        let form = me.form(app, format!("/crew/plan/{action}"))?;
        let fields = typed.map_or_else(|| first.clone(), Fields::shown);
        let mut mine = Errors::default();
        for (field, words) in wrong
            .iter()
            .filter(|(f, _)| own.iter().any(|o| f.starts_with(o)))
        {
            mine.add(field, words);
        }
        Ok(form.filled(fields).wrong(mine))
    };
    let crew: Vec<Choice> = carpenters(app)
        .await?
        .iter()
        .map(|p| Choice::new(p.id, &p.name))
        .collect();
    let mut nobody = vec![Choice::new("", "nobody yet")];
    nobody.extend(crew.iter().cloned());
    let mut jobs = vec![Choice::new("", "every job")];
    jobs.extend(
        live_jobs(app)
            .await?
            .iter()
            .map(|j| Choice::new(j.id, format!("{} · {}", j.facts.code, j.facts.title))),
    );
    Ok(PlanForms {
        add: form("add", &["work", "user", "day"])?,
        away: form("away", &["away_"])?,
        lost: form("lost", &["lost_"])?,
        pattern: form("pattern", &["pattern_"])?,
        weather: form("weather", &["weather_"])?,
        limit: form("limit", &["limit_"])?,
        steps: heads::steps(app.db().read())
            .await?
            .iter()
            .filter(|step| step.by_hand)
            .map(|step| Choice::new(step.id, &step.name))
            .collect(),
        token: me.form(app, "")?,
        work: work(app).await?,
        crew,
        nobody,
        jobs,
        reasons: AbsenceReason::ALL
            .iter()
            .map(|r| Choice::new(r.code(), r.words()))
            .collect(),
        patterns: patterns(app).await?,
    })
}

/// Steps still to be planned, in words.
async fn work(app: &AppState) -> Result<Vec<Choice>, WebError> {
    let pool = app.db().read();
    let mut cards = BTreeMap::new();
    for card in heads::list(
        pool,
        &heads::Filter {
            like: "%".into(),
            ..heads::Filter::default()
        },
        (2000, 0),
    )
    .await?
    {
        cards.insert(card.id, card);
    }
    let rows = store::unplanned(pool).await?;
    Ok(rows
        .into_iter()
        .filter_map(|(head, step, name)| {
            let card = cards.get(&head)?;
            let place = &card.place;
            let words = format!("{} {} {}: {name}", place.job_code, place.mark, card.name);
            Some(Choice::new(format!("{head}-{step}"), words))
        })
        .collect())
}

/// Heads that have a twin on their job: the same design but for the name.
async fn patterns(app: &AppState) -> Result<Vec<Choice>, WebError> {
    let mut all = vec![Choice::new("", "Choose…")];
    for job in live_jobs(app).await? {
        let heads = heads::of_job(app.db().read(), job.id.get()).await?;
        for head in &heads {
            let twins = super::shifts::twins(head, &heads).len();
            if twins > 0 {
                let place = &head.card.place;
                let words = format!(
                    "{} {} {}, {twins} like it",
                    place.job_code, place.mark, head.card.name
                );
                all.push(Choice::new(head.card.id, words));
            }
        }
    }
    Ok(all)
}

/// The plan again with what was wrong and what was typed.
pub(super) async fn again(
    app: &AppState,
    me: &Me,
    post: &Post,
    wrong: &Errors,
) -> Result<Response, WebError> {
    let today = app.now().date(app.firm().zone);
    let week = post.fields.get("week").parse().unwrap_or(today);
    show(app, me, week, (wrong, Some(&post.fields))).await
}
