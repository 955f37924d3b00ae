//! The crew's forms: typed text to model.

use chrono::NaiveDate;

use super::estimate::parse_hours;
use super::model::AbsenceReason;
use super::weather::{Limit, Weather};
use crate::access::UserId;
use crate::heads::{HeadId, StepId};
use crate::jobs::JobId;
use crate::web::{Check, Errors, Fields};

/// A day that must be there.
pub(super) fn a_day(check: &mut Check<'_>, field: &str) -> Option<NaiveDate> {
    let day = check.date(field);
    if day.is_none() && !check.failed(field) {
        check.fail(field, "Choose a day.");
    }
    day
}

/// One of these people.
pub(super) fn a_person(check: &mut Check<'_>, field: &str, people: &[UserId]) -> Option<UserId> {
    check.one_of(field, |text| {
        text.parse().ok().filter(|id| people.contains(id))
    })
}

/// `12-5`: a head and a step.
pub(super) fn head_and_step(text: &str) -> Option<(HeadId, StepId)> {
    let (head, step) = text.split_once('-')?;
    Some((head.parse().ok()?, step.parse().ok()?))
}

/// Where a planned step goes: to whom and on which day.
///
/// # Errors
/// What is wrong, beside its field.
pub fn place(fields: &Fields, crew: &[UserId]) -> Result<(UserId, NaiveDate), Errors> {
    let mut check = Check::of(fields);
    let user = a_person(&mut check, "user", crew);
    let day = a_day(&mut check, "day");
    check.finish_some(user.zip(day))
}

/// Somebody away.
pub struct Away {
    /// Who.
    pub user: UserId,
    /// From.
    pub first: NaiveDate,
    /// To.
    pub last: NaiveDate,
    /// Why.
    pub reason: AbsenceReason,
    /// Who takes over what is planned, if anybody.
    pub to: Option<UserId>,
    /// Where half-cut pieces lie.
    pub lie: String,
}

/// An absence, with the handing on of its work.
///
/// # Errors
/// What is wrong, beside its field.
pub fn away(fields: &Fields, crew: &[UserId]) -> Result<Away, Errors> {
    let mut check = Check::of(fields);
    let user = a_person(&mut check, "away_user", crew);
    let first = a_day(&mut check, "away_first");
    let last = check.date("away_last").or(first);
    let reason = check.one_of("away_reason", AbsenceReason::from_code);
    let to = check.optional("away_to", |text| {
        text.parse()
            .ok()
            .filter(|id| crew.contains(id))
            .ok_or("Choose one of the list.")
    });
    let lie = check.optional_line("away_lie", 300);
    if let (Some(first), Some(last)) = (first, last) {
        if last < first {
            check.fail("away_last", "The last day is before the first.");
        } else if (last - first).num_days() > 366 {
            check.fail("away_last", "At most a year at once.");
        }
    }
    if user.is_some() && user == to {
        check.fail("away_to", "The work goes to somebody else.");
    }
    let all = user.zip(first).zip(last.zip(reason));
    check.finish_some(all.map(|((user, first), (last, reason))| Away {
        user,
        first,
        last,
        reason,
        to,
        lie,
    }))
}

/// A lost day.
pub struct Lost {
    /// Of which job; `None` for all.
    pub job: Option<JobId>,
    /// Which.
    pub day: NaiveDate,
    /// Why.
    pub reason: String,
    /// Temporary cover.
    pub cover: String,
}

/// A lost day.
///
/// # Errors
/// What is wrong, beside its field.
pub fn lost(fields: &Fields, jobs: &[JobId]) -> Result<Lost, Errors> {
    let mut check = Check::of(fields);
    let job = check.optional("lost_job", |text| {
        text.parse()
            .ok()
            .filter(|id| jobs.contains(id))
            .ok_or("Choose one of the list.")
    });
    let day = a_day(&mut check, "lost_day");
    let reason = check.line("lost_reason", 300);
    let cover = check.optional_line("lost_cover", 300);
    check.finish_some(day.map(|day| Lost {
        job,
        day,
        reason,
        cover,
    }))
}

/// Hours as typed.
pub struct TypedHours {
    /// On which head, with its step.
    pub work: (HeadId, StepId),
    /// When.
    pub day: NaiveDate,
    /// How long.
    pub minutes: i64,
    /// What else.
    pub note: String,
}

/// Hours. `today` is the latest day.
///
/// # Errors
/// What is wrong, beside its field.
pub fn hours(
    fields: &Fields,
    today: NaiveDate,
    work: &[(HeadId, StepId)],
) -> Result<TypedHours, Errors> {
    let mut check = Check::of(fields);
    let chosen = check.one_of("work", |text| {
        head_and_step(text).filter(|one| work.contains(one))
    });
    let (day, minutes, note) = day_and_time(&mut check, today);
    check.finish_some(chosen.zip(minutes).map(|(work, minutes)| TypedHours {
        work,
        day,
        minutes,
        note,
    }))
}

/// A correction: day, hours (0 strikes the row out) and why.
///
/// # Errors
/// What is wrong, beside its field.
pub fn correction(fields: &Fields, today: NaiveDate) -> Result<(NaiveDate, i64, String), Errors> {
    let mut check = Check::of(fields);
    let (day, minutes, note) = day_and_time(&mut check, today);
    if note.is_empty() && !check.failed("note") {
        check.fail("note", "Say why it is corrected.");
    }
    check.finish_some(minutes.map(|minutes| (day, minutes, note)))
}

fn day_and_time(check: &mut Check<'_>, today: NaiveDate) -> (NaiveDate, Option<i64>, String) {
    let day = check.date("worked").unwrap_or(today);
    if day > today {
        check.fail(
            "worked",
            format!("Hours are written down afterwards: at latest today, {today}."),
        );
    }
    let minutes = check.parse("time", parse_hours);
    let note = check.optional_line("note", 300);
    (day, minutes, note)
}

fn stored(typed: f64, metric: bool) -> f64 {
    if metric { typed * 1.8 + 32.0 } else { typed }
}

/// What degrees may be typed.
const fn range(metric: bool) -> std::ops::RangeInclusive<f64> {
    if metric { -70.0..=70.0 } else { -94.0..=158.0 }
}

/// What a day is expected to be.
///
/// # Errors
/// What is wrong, beside its field.
pub fn weather(fields: &Fields, metric: bool) -> Result<Weather, Errors> {
    let mut check = Check::of(fields);
    let day = a_day(&mut check, "weather_day");
    let low = check.number("weather_low", range(metric));
    let high = check.number("weather_high", range(metric));
    let wet = check.ticked("weather_wet");
    if low.zip(high).is_some_and(|(low, high)| low > high) {
        check.fail("weather_high", "The highest is below the lowest.");
    }
    let all = day.zip(low.zip(high));
    check.finish_some(all.map(|(day, (low, high))| Weather {
        day,
        low: stored(low, metric),
        high: stored(high, metric),
        wet,
    }))
}

/// A limit of a glue, primer or paint.
///
/// # Errors
/// What is wrong, beside its field.
pub fn limit(fields: &Fields, steps: &[StepId], metric: bool) -> Result<Limit, Errors> {
    let mut check = Check::of(fields);
    let name = check.line("limit_name", 120);
    let step = check.one_of("limit_step", |text| {
        text.parse().ok().filter(|id| steps.contains(id))
    });
    let mut heat = |field| {
        check.optional(field, |text| {
            let within = range(metric);
            text.parse()
                .ok()
                .filter(|n| within.contains(n))
                .map(|n| stored(n, metric))
                .ok_or_else(|| {
                    format!(
                        "Write a number from {} to {}.",
                        within.start(),
                        within.end()
                    )
                })
        })
    };
    let (low, high) = (heat("limit_low"), heat("limit_high"));
    let dry = check.ticked("limit_dry");
    if low.zip(high).is_some_and(|(low, high)| low > high) {
        check.fail("limit_high", "The highest is below the lowest.");
    }
    if low.is_none()
        && high.is_none()
        && !dry
        && !check.failed("limit_low")
        && !check.failed("limit_high")
    {
        check.fail(
            "limit_low",
            "Say what it asks: a lowest, a highest, or that it must be dry.",
        );
    }
    check.finish_some(step.map(|step| Limit {
        id: 0,
        name,
        step,
        low,
        high,
        dry,
    }))
}
