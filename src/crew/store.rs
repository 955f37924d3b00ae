//! The plan in its tables; hours and notes in the files below.

pub mod hours;
pub mod notes;
mod shifts;
pub mod weather;

pub use shifts::{
    absences, add_absence, add_lost_day, end_absence, lost_days, pattern_of, set_pattern,
};

use chrono::NaiveDate;
use sqlx::{FromRow, SqlitePool};

use super::model::{Slot, SlotId};
use crate::access::{Made, UserId};
use crate::db::{StoreError, Tx};
use crate::heads::{HeadId, StepId};
use crate::jobs::JobId;

/// A stored civil day.
pub(super) fn day(table: &'static str, row: i64, text: &str) -> Result<NaiveDate, StoreError> {
    text.parse()
        .map_err(|why| StoreError::unreadable(table, "day", row, why))
}

#[derive(FromRow)]
struct SlotRow {
    id: i64,
    version: i64,
    head_id: i64,
    step_id: i64,
    step_name: String,
    user_id: i64,
    day: String,
    done: bool,
}

impl TryFrom<SlotRow> for Slot {
    type Error = StoreError;

    fn try_from(row: SlotRow) -> Result<Self, StoreError> {
        Ok(Self {
            id: SlotId::new(row.id),
            version: row.version,
            head: HeadId::new(row.head_id),
            step: StepId::new(row.step_id),
            step_name: row.step_name,
            user: UserId::new(row.user_id),
            day: day("plan_slot", row.id, &row.day)?,
            done: row.done,
        })
    }
}

macro_rules! slots {
    ($rest:literal) => {
        concat!(
            "SELECT p.id, p.version, p.head_id, p.step_id, s.name AS step_name, p.user_id, p.day,
                    at.position >= s.position AS done
             FROM plan_slot p JOIN head_step s ON s.id = p.step_id
             JOIN head ON head.id = p.head_id JOIN head_step at ON at.id = head.step_id
             WHERE head.archived_at IS NULL ",
            $rest
        )
    };
}

/// What is planned from one day to another, both counted, and what is late:
/// planned before and not done.
///
/// # Errors
/// The database's.
pub async fn slots(
    pool: &SqlitePool,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<Slot>, StoreError> {
    let rows: Vec<SlotRow> = sqlx::query_as(slots!(
        "AND p.day BETWEEN ? AND ? ORDER BY p.day, s.position, p.id LIMIT 2000"
    ))
    .bind(from.to_string())
    .bind(to.to_string())
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Planned before this day and not done yet.
///
/// # Errors
/// The database's.
pub async fn late(pool: &SqlitePool, before: NaiveDate) -> Result<Vec<Slot>, StoreError> {
    let rows: Vec<SlotRow> = sqlx::query_as(slots!(
        "AND p.day < ? AND at.position < s.position
         AND NOT EXISTS (SELECT 1 FROM head_stage g WHERE g.head_id = p.head_id
                         AND g.step_id = p.step_id AND g.not_needed = 1)
         ORDER BY p.day, p.id LIMIT 500"
    ))
    .bind(before.to_string())
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// One of them.
///
/// # Errors
/// `Missing`, the database's.
pub async fn slot(pool: &SqlitePool, id: SlotId) -> Result<Slot, StoreError> {
    let row: Option<SlotRow> = sqlx::query_as(slots!("AND p.id = ?"))
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("plan"))?.try_into()
}

/// Steps of the hand still ahead of a live head and not planned: head and step,
/// in order. A held head's too.
///
/// # Errors
/// The database's.
pub async fn unplanned(pool: &SqlitePool) -> Result<Vec<(HeadId, StepId, String)>, StoreError> {
    let rows: Vec<(i64, i64, String)> = sqlx::query_as(
        "SELECT head.id, s.id, s.name FROM head
         JOIN head_step at ON at.id = head.step_id
         JOIN head_step s ON s.position > at.position AND s.by_hand = 1 AND s.retired_at IS NULL
         JOIN opening ON opening.id = head.opening_id JOIN job ON job.id = opening.job_id
         WHERE head.archived_at IS NULL AND job.archived_at IS NULL
           AND NOT EXISTS (SELECT 1 FROM plan_slot p WHERE p.head_id = head.id AND p.step_id = s.id)
           AND NOT EXISTS (SELECT 1 FROM head_stage g WHERE g.head_id = head.id
                           AND g.step_id = s.id AND g.not_needed = 1)
         ORDER BY job.first_day, job.code, length(opening.mark), opening.mark, s.position LIMIT 1000",
    )
    .fetch_all(pool)
    .await?;
    Ok(rows
        .into_iter()
        .map(|(head, step, name)| (HeadId::new(head), StepId::new(step), name))
        .collect())
}

/// Plans a step of a head.
///
/// # Errors
/// `Taken` if it is planned already; the database's.
pub async fn add_slot(
    tx: &mut Tx,
    made: Made,
    (head, step): (HeadId, StepId),
    (user, day): (UserId, NaiveDate),
) -> Result<SlotId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO plan_slot (created_at, created_by, head_id, step_id, user_id, day)
         VALUES (?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(head.get())
    .bind(step.get())
    .bind(user.get())
    .bind(day.to_string())
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("place on the plan"))?;
    Ok(SlotId::new(done.last_insert_rowid()))
}

/// Gives a planned step to somebody on a day, at `version`.
///
/// # Errors
/// `Stale`, the database's.
pub async fn move_slot(
    tx: &mut Tx,
    (id, version): (SlotId, i64),
    (user, day): (UserId, NaiveDate),
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE plan_slot SET user_id = ?, day = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(user.get())
    .bind(day.to_string())
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    touched(done.rows_affected())
}

/// Takes a step off the plan, at `version`.
///
/// # Errors
/// `Stale`, the database's.
pub async fn remove_slot(tx: &mut Tx, (id, version): (SlotId, i64)) -> Result<(), StoreError> {
    let done = sqlx::query("DELETE FROM plan_slot WHERE id = ? AND version = ?")
        .bind(id.get())
        .bind(version)
        .execute(&mut **tx)
        .await?;
    touched(done.rows_affected())
}

fn touched(rows: u64) -> Result<(), StoreError> {
    if rows == 1 {
        Ok(())
    } else {
        Err(StoreError::Stale("plan"))
    }
}

/// Planned and not done from this day on, of one job or of all: what a lost day
/// shifts.
///
/// # Errors
/// The database's.
pub async fn from_day(
    tx: &mut Tx,
    from: NaiveDate,
    job: Option<JobId>,
) -> Result<Vec<Slot>, StoreError> {
    let rows: Vec<SlotRow> = sqlx::query_as(slots!(
        "AND p.day >= ?1 AND at.position < s.position
         AND (?2 IS NULL OR head.opening_id IN (SELECT id FROM opening WHERE job_id = ?2))
         ORDER BY p.day, p.id"
    ))
    .bind(from.to_string())
    .bind(job.map(JobId::get))
    .fetch_all(&mut **tx)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// One person's planned steps of a day that are not done: what is handed on.
///
/// # Errors
/// The database's.
pub async fn of_person(tx: &mut Tx, user: UserId, day: NaiveDate) -> Result<Vec<Slot>, StoreError> {
    let rows: Vec<SlotRow> = sqlx::query_as(slots!(
        "AND p.user_id = ? AND p.day = ? AND at.position < s.position ORDER BY s.position, p.id"
    ))
    .bind(user.get())
    .bind(day.to_string())
    .fetch_all(&mut **tx)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// The number of the newest thing done in the firm: it goes up with every
/// change, so that an open plan can tell whether it is old.
///
/// # Errors
/// The database's.
pub async fn newest_change(pool: &SqlitePool) -> Result<i64, StoreError> {
    let newest: Option<i64> = sqlx::query_scalar("SELECT max(id) FROM audit")
        .fetch_one(pool)
        .await?;
    Ok(newest.unwrap_or(0))
}
