//! Hours: rows that replace one another, and the timer.

use chrono::NaiveDate;
use sqlx::{FromRow, SqlitePool};

use super::day;
use crate::access::{Made, UserId};
use crate::crew::model::{Hours, HoursId, NewHours, Timer};
use crate::db::{Stamp, StoreError, Tx};
use crate::heads::{HeadId, StepId};
use crate::jobs::JobId;

#[derive(FromRow)]
struct HoursRow {
    id: i64,
    user_id: i64,
    who: String,
    job_id: i64,
    code: String,
    head_id: Option<i64>,
    head_name: Option<String>,
    step_name: Option<String>,
    day: String,
    minutes: i64,
    timed: bool,
    note: String,
    replaces: Option<i64>,
    by_name: String,
    created_at: i64,
}

impl TryFrom<HoursRow> for Hours {
    type Error = StoreError;

    fn try_from(row: HoursRow) -> Result<Self, StoreError> {
        Ok(Self {
            id: HoursId::new(row.id),
            user: UserId::new(row.user_id),
            who: row.who,
            job: JobId::new(row.job_id),
            code: row.code,
            head: row.head_id.map(HeadId::new).zip(row.head_name),
            step: row.step_name,
            day: day("hours", row.id, &row.day)?,
            minutes: row.minutes,
            timed: row.timed,
            note: row.note,
            replaces: row.replaces.map(HoursId::new),
            by: (row.by_name, Stamp::from_millis(row.created_at)),
        })
    }
}

macro_rules! hours {
    ($rest:literal) => {
        concat!(
            "SELECT h.id, h.user_id, u.name AS who, h.job_id, job.code, h.head_id,
                    opening.mark || ' ' || head.name AS head_name, s.name AS step_name, h.day,
                    h.minutes, h.timed, h.note, h.replaces, b.name AS by_name, h.created_at
             FROM hours h JOIN user u ON u.id = h.user_id JOIN user b ON b.id = h.created_by
             JOIN job ON job.id = h.job_id
             LEFT JOIN head ON head.id = h.head_id LEFT JOIN opening ON opening.id = head.opening_id
             LEFT JOIN head_step s ON s.id = h.step_id ",
            $rest
        )
    };
}

/// Whose hours, on whose jobs.
#[derive(Debug, Clone, Copy, Default)]
pub struct Whose {
    /// Only this person's.
    pub user: Option<UserId>,
    /// Or of jobs led by this person.
    pub led_by: Option<UserId>,
}

/// Hours that count, of these days, both counted.
///
/// # Errors
/// The database's.
pub async fn between(
    pool: &SqlitePool,
    (from, to): (NaiveDate, NaiveDate),
    whose: Whose,
) -> Result<Vec<Hours>, StoreError> {
    let rows: Vec<HoursRow> = sqlx::query_as(hours!(
        "WHERE h.day BETWEEN ?1 AND ?2 AND h.minutes > 0
           AND NOT EXISTS (SELECT 1 FROM hours later WHERE later.replaces = h.id)
           AND ((?3 IS NULL AND ?4 IS NULL) OR h.user_id = ?3 OR job.foreman_id = ?4)
         ORDER BY h.day, u.name, h.id LIMIT 2000"
    ))
    .bind(from.to_string())
    .bind(to.to_string())
    .bind(whose.user.map(UserId::get))
    .bind(whose.led_by.map(UserId::get))
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// A row of hours and all that it replaces, the newest first.
///
/// # Errors
/// `Missing`, the database's.
pub async fn with_trace(pool: &SqlitePool, id: HoursId) -> Result<Vec<Hours>, StoreError> {
    let rows: Vec<HoursRow> = sqlx::query_as(hours!(
        "WHERE h.id IN (WITH RECURSIVE chain (id) AS (SELECT ?1 UNION
             SELECT hours.replaces FROM hours JOIN chain ON hours.id = chain.id
             WHERE hours.replaces IS NOT NULL) SELECT id FROM chain)
         ORDER BY h.id DESC"
    ))
    .bind(id.get())
    .fetch_all(pool)
    .await?;
    if rows.is_empty() {
        return Err(StoreError::Missing("hours"));
    }
    rows.into_iter().map(TryInto::try_into).collect()
}

/// The person and job of a row of hours, for the guard.
///
/// # Errors
/// The database's.
pub async fn whose(pool: &SqlitePool, id: i64) -> Result<Option<(i64, i64)>, StoreError> {
    Ok(
        sqlx::query_as("SELECT user_id, job_id FROM hours WHERE id = ?")
            .bind(id)
            .fetch_optional(pool)
            .await?,
    )
}

/// Writes hours down; with `replaces` the earlier row no longer counts.
///
/// # Errors
/// `Stale` if that row was replaced already; the database's.
pub async fn add(
    tx: &mut Tx,
    made: Made,
    new: &NewHours,
    replaces: Option<HoursId>,
) -> Result<HoursId, StoreError> {
    let by = made.user().unwrap_or_else(|| new.user.get());
    let done = sqlx::query(
        "INSERT INTO hours (created_at, created_by, user_id, job_id, head_id, step_id, day, minutes,
                            timed, note, replaces)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(by)
    .bind(new.user.get())
    .bind(new.job.get())
    .bind(new.head.map(HeadId::get))
    .bind(new.step.map(StepId::get))
    .bind(new.day.to_string())
    .bind(new.minutes)
    .bind(new.timed)
    .bind(&new.note)
    .bind(replaces.map(HoursId::get))
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("row of hours"));
    match done {
        Ok(done) => Ok(HoursId::new(done.last_insert_rowid())),
        Err(StoreError::Taken(_)) => Err(StoreError::Stale("row of hours")),
        Err(other) => Err(other),
    }
}

/// Minutes really spent on each step of heads that have passed it, for the
/// estimate: head, step, minutes.
///
/// # Errors
/// The database's.
pub async fn taken(pool: &SqlitePool) -> Result<Vec<(HeadId, StepId, i64)>, StoreError> {
    let rows: Vec<(i64, i64, i64)> = sqlx::query_as(
        "SELECT h.head_id, h.step_id, sum(h.minutes) FROM hours h
         JOIN head ON head.id = h.head_id JOIN head_step at ON at.id = head.step_id
         JOIN head_step s ON s.id = h.step_id
         WHERE at.position >= s.position
           AND NOT EXISTS (SELECT 1 FROM hours later WHERE later.replaces = h.id)
         GROUP BY h.head_id, h.step_id HAVING sum(h.minutes) > 0 ORDER BY h.head_id DESC LIMIT 500",
    )
    .fetch_all(pool)
    .await?;
    Ok(rows
        .into_iter()
        .map(|(head, step, minutes)| (HeadId::new(head), StepId::new(step), minutes))
        .collect())
}

#[derive(FromRow)]
struct TimerRow {
    started_at: i64,
    head_id: i64,
    words: String,
    step_id: Option<i64>,
    job_id: i64,
}

/// The timer of a person, if it runs.
///
/// # Errors
/// The database's.
pub async fn timer(pool: &SqlitePool, user: UserId) -> Result<Option<Timer>, StoreError> {
    let row: Option<TimerRow> = sqlx::query_as(
        "SELECT t.started_at, t.head_id, job.code || ' ' || opening.mark || ' ' || head.name AS words,
                t.step_id, job.id AS job_id
         FROM timer t JOIN head ON head.id = t.head_id JOIN opening ON opening.id = head.opening_id
         JOIN job ON job.id = opening.job_id WHERE t.user_id = ?",
    )
    .bind(user.get())
    .fetch_optional(pool)
    .await?;
    Ok(row.map(|row| Timer {
        since: Stamp::from_millis(row.started_at),
        head: HeadId::new(row.head_id),
        words: row.words,
        step: row.step_id.map(StepId::new),
        job: JobId::new(row.job_id),
    }))
}

/// Starts a person's timer.
///
/// # Errors
/// `Taken` if it runs already; the database's.
pub async fn start_timer(
    tx: &mut Tx,
    made: Made,
    user: UserId,
    (head, step): (HeadId, Option<StepId>),
) -> Result<(), StoreError> {
    sqlx::query("INSERT INTO timer (user_id, started_at, head_id, step_id) VALUES (?, ?, ?, ?)")
        .bind(user.get())
        .bind(made.at.millis())
        .bind(head.get())
        .bind(step.map(StepId::get))
        .execute(&mut **tx)
        .await
        .map_err(StoreError::taken("timer"))?;
    Ok(())
}

/// Stops a person's timer; false if none ran.
///
/// # Errors
/// The database's.
pub async fn stop_timer(tx: &mut Tx, user: UserId) -> Result<bool, StoreError> {
    let done = sqlx::query("DELETE FROM timer WHERE user_id = ?")
        .bind(user.get())
        .execute(&mut **tx)
        .await?;
    Ok(done.rows_affected() == 1)
}
