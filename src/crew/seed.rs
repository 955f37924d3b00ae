//! The demo's plan in the middle of a week, with hours, a lost day and notes.

use std::collections::{BTreeSet, HashMap};

use chrono::{Datelike as _, Days, NaiveDate, Weekday};

use super::model::{AbsenceReason, LostDay, NewHours, monday, next_working};
use super::weather::{Limit, Weather};
use super::{gather, store};
use crate::access::{self, Made, UserId};
use crate::clients::seed_user;
use crate::db::Stamp;
use crate::heads::{self, Filter, HeadId, StepId, Steps};
use crate::jobs::{JobId, seeded_jobs};
use crate::web::{AppState, WebError};

/// Puts the plan in: each carpenter's next steps from Monday on, about a day's
/// work a day; hours for what is done; one holiday, one wet day, two notes.
///
/// # Errors
/// The database's.
pub(super) async fn seed(app: AppState) -> Result<(), WebError> {
    let pool = app.db().read();
    let people = access::people(pool).await?;
    let made = Made {
        at: Stamp::from_millis(app.now().millis() - 3 * 24 * 3_600_000),
        by: seed_user(&people, "foreman-1"),
    };
    let today = app.now().date(app.firm().zone);
    let steps = heads::steps(pool).await?;
    let clockwork = gather::Clockwork::of(&app, &steps).await?;
    let filter = Filter {
        like: "%".into(),
        ..Filter::default()
    };
    let cards = heads::list(pool, &filter, (500, 0)).await?;
    let (mut before, mut ahead) = (HashMap::new(), HashMap::new());
    let mut slots = Vec::new();
    let mut hours = Vec::new();
    for (nth, card) in cards.into_iter().enumerate() {
        let head = heads::head(pool, card.id).await?;
        let at = steps.place(card.step).unwrap_or(0);
        // Every sixth head should have gone on yesterday and has not.
        let mut from = if nth % 6 == 5 {
            yesterday(today)
        } else {
            today
        };
        for stage in heads::stages(pool, card.id).await? {
            let (Some(user), Some(step)) = (stage.assignee.map(UserId::new), steps.get(stage.step))
            else {
                continue;
            };
            let place = steps.place(step.id).unwrap_or(0);
            if stage.not_needed || !step.by_hand {
                continue;
            }
            let minutes = clockwork.minutes(&head, step);
            if place <= at {
                let job = JobId::new(card.place.job);
                hours.push((card.id, step.id, user, job, minutes, at - place));
                let day = next_free(&mut before, user, monday(today), minutes);
                if day < today && at - place < 2 {
                    slots.push((card.id, step.id, user, day));
                }
            } else if place <= at + 3 {
                from = next_free(&mut ahead, user, from, minutes);
                slots.push((card.id, step.id, user, from));
            }
        }
    }
    let racked = slots.iter().map(|slot| slot.0).collect();
    put(&app, made, (slots, hours, today)).await?;
    put_weather(&app, made, (today, &steps, racked)).await?;
    put_troubles(&app, made, today).await
}

/// The working day before this one.
fn yesterday(today: NaiveDate) -> NaiveDate {
    let earlier = (1..=3).filter_map(|n| today.checked_sub_days(Days::new(n)));
    let works = |day: &NaiveDate| !matches!(day.weekday(), Weekday::Sat | Weekday::Sun);
    earlier.into_iter().find(works).unwrap_or(today)
}

/// The first day from this one on with room for so much work.
fn next_free(
    full: &mut HashMap<UserId, (NaiveDate, i64)>,
    user: UserId,
    from: NaiveDate,
    minutes: i64,
) -> NaiveDate {
    let (day, used) = full.entry(user).or_insert((from, 0));
    if *day < from {
        (*day, *used) = (from, 0);
    }
    if *used > 0 && *used + minutes > 300 {
        (*day, *used) = (next_working(*day), 0);
    }
    *used += minutes;
    *day
}

type Slots = Vec<(HeadId, StepId, UserId, NaiveDate)>;
type Worked = Vec<(HeadId, StepId, UserId, JobId, i64, usize)>;

async fn put(
    app: &AppState,
    made: Made,
    (slots, hours, today): (Slots, Worked, NaiveDate),
) -> Result<(), WebError> {
    let mut tx = app.db().write().await?;
    for (head, step, user, day) in slots {
        store::add_slot(&mut tx, made, (head, step), (user, day)).await?;
    }
    for (nth, (head, step, user, job, minutes, ago)) in hours.into_iter().enumerate() {
        let days = u64::try_from(ago * 2 + 1 + nth % 3).unwrap_or(1);
        let day = today.checked_sub_days(Days::new(days)).unwrap_or(today);
        let new = NewHours {
            user,
            job,
            head: Some(head),
            step: Some(step),
            day,
            minutes: (minutes * 11 / 10).min(600),
            timed: nth % 2 == 0,
            note: String::new(),
        };
        let by = Made {
            by: Some(user),
            ..made
        };
        store::hours::add(&mut tx, by, &new, None).await?;
    }
    Ok(tx.commit().await?)
}

/// The week's weather, the limits of what is used, and where heads stand. The
/// limits are the invented firm's, not any maker's.
async fn put_weather(
    app: &AppState,
    made: Made,
    (today, steps, racked): (NaiveDate, &Steps, BTreeSet<HeadId>),
) -> Result<(), WebError> {
    let mut tx = app.db().write().await?;
    let days = [
        (52.0, 61.0, true),
        (48.0, 66.0, false),
        (51.0, 70.0, false),
        (44.0, 63.0, false),
        (46.0, 58.0, true),
    ];
    let mut day = monday(today);
    for (low, high, wet) in days {
        let weather = Weather {
            day,
            low,
            high,
            wet,
        };
        store::weather::add_weather(&mut tx, made, &weather).await?;
        day = next_working(day);
    }
    let limits = [
        ("Oil primer", "primed", Some(45.0), Some(90.0), true),
        ("Mitre glue", "assembled", Some(47.0), None, false),
        ("Sealant", "flashed", Some(40.0), None, true),
    ];
    for (name, step, low, high, dry) in limits {
        let Some(step) = steps.named(step).map(|s| s.id) else {
            continue;
        };
        let limit = Limit {
            id: 0,
            name: name.into(),
            step,
            low,
            high,
            dry,
        };
        store::weather::add_limit(&mut tx, made, &limit).await?;
    }
    let places = [
        "Shop, rack 2",
        "Shop, left end of the long bench",
        "Van, upper shelf",
    ];
    for (head, place) in racked.into_iter().zip(places.into_iter().cycle()).take(9) {
        store::weather::add_stand(&mut tx, made, head, place).await?;
    }
    Ok(tx.commit().await?)
}

async fn put_troubles(app: &AppState, made: Made, today: NaiveDate) -> Result<(), WebError> {
    let people = access::people(app.db().read()).await?;
    let jobs = seeded_jobs(app).await?;
    let who = |key: &str| seed_user(&people, key);
    let monday = monday(today);
    let mut tx = app.db().write().await?;
    if let Some(user) = who("carpenter-4") {
        let last = monday.checked_add_days(Days::new(4)).unwrap_or(monday);
        let days = (last, last);
        store::add_absence(&mut tx, made, user, days, AbsenceReason::Holiday).await?;
    }
    let wet = LostDay {
        job: None,
        day: monday,
        reason: "Rain until three: no glue, no paint.".into(),
        cover: "Membrane lapped over the bare sheathing at W6.".into(),
        moved: 0,
    };
    store::add_lost_day(&mut tx, made, jobs.get("saltmarsh").copied(), &wet).await?;
    let notes = [
        (
            "saltmarsh",
            "carpenter-1",
            "The reveal at the porch is 1/4 in, not 1/2. Check before you hang.",
        ),
        (
            "chandlers-row",
            "office-1",
            "Two more lengths of cap, please: one came with a split end.",
        ),
    ];
    for (job, to, words) in notes {
        if let Some(job) = jobs.get(job).copied() {
            store::notes::add(&mut tx, made, (job, None), who(to), words).await?;
        }
    }
    Ok(tx.commit().await?)
}
