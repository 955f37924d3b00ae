//! Absences, lost days, pattern heads.

use chrono::NaiveDate;
use sqlx::{FromRow, SqlitePool};

use super::day;
use crate::access::{Made, UserId};
use crate::crew::model::{Absence, AbsenceReason, LostDay};
use crate::db::{StoreError, Tx};
use crate::heads::{HeadId, StepId};
use crate::jobs::JobId;

/// Writes an absence down.
///
/// # Errors
/// The database's.
pub async fn add_absence(
    tx: &mut Tx,
    made: Made,
    user: UserId,
    (first, last): (NaiveDate, NaiveDate),
    reason: AbsenceReason,
) -> Result<i64, StoreError> {
    let done = sqlx::query(
        "INSERT INTO absence (created_at, created_by, user_id, first_day, last_day, reason)
         VALUES (?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(user.get())
    .bind(first.to_string())
    .bind(last.to_string())
    .bind(reason.code())
    .execute(&mut **tx)
    .await?;
    Ok(done.last_insert_rowid())
}

/// Somebody is back early: the absence no longer counts.
///
/// # Errors
/// `Missing`, the database's.
pub async fn end_absence(tx: &mut Tx, made: Made, id: i64) -> Result<(), StoreError> {
    let done = sqlx::query("UPDATE absence SET ended_at = ? WHERE id = ? AND ended_at IS NULL")
        .bind(made.at.millis())
        .bind(id)
        .execute(&mut **tx)
        .await?;
    if done.rows_affected() == 1 {
        Ok(())
    } else {
        Err(StoreError::Missing("absence"))
    }
}

#[derive(FromRow)]
struct AbsenceRow {
    id: i64,
    user_id: i64,
    first_day: String,
    last_day: String,
    reason: String,
}

/// Who is away between two days, both counted.
///
/// # Errors
/// The database's.
pub async fn absences(
    pool: &SqlitePool,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<Absence>, StoreError> {
    let rows: Vec<AbsenceRow> = sqlx::query_as(
        "SELECT id, user_id, first_day, last_day, reason FROM absence
         WHERE first_day <= ? AND last_day >= ? AND ended_at IS NULL ORDER BY first_day, id",
    )
    .bind(to.to_string())
    .bind(from.to_string())
    .fetch_all(pool)
    .await?;
    let one = |row: AbsenceRow| {
        Ok(Absence {
            id: row.id,
            user: UserId::new(row.user_id),
            first: day("absence", row.id, &row.first_day)?,
            last: day("absence", row.id, &row.last_day)?,
            reason: AbsenceReason::from_code(&row.reason)
                .ok_or_else(|| StoreError::unreadable("absence", "reason", row.id, &row.reason))?,
        })
    };
    rows.into_iter().map(one).collect()
}

/// Writes a lost day down.
///
/// # Errors
/// The database's.
pub async fn add_lost_day(
    tx: &mut Tx,
    made: Made,
    job: Option<JobId>,
    lost: &LostDay,
) -> Result<i64, StoreError> {
    let done = sqlx::query(
        "INSERT INTO lost_day (created_at, created_by, job_id, day, reason, cover, moved)
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(job.map(JobId::get))
    .bind(lost.day.to_string())
    .bind(&lost.reason)
    .bind(&lost.cover)
    .bind(lost.moved)
    .execute(&mut **tx)
    .await?;
    Ok(done.last_insert_rowid())
}

#[derive(FromRow)]
struct LostRow {
    id: i64,
    code: Option<String>,
    day: String,
    reason: String,
    cover: String,
    moved: i64,
}

/// Lost days between two days, both counted.
///
/// # Errors
/// The database's.
pub async fn lost_days(
    pool: &SqlitePool,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<LostDay>, StoreError> {
    let rows: Vec<LostRow> = sqlx::query_as(
        "SELECT l.id, job.code, l.day, l.reason, l.cover, l.moved FROM lost_day l
         LEFT JOIN job ON job.id = l.job_id WHERE l.day BETWEEN ? AND ? ORDER BY l.day, l.id",
    )
    .bind(from.to_string())
    .bind(to.to_string())
    .fetch_all(pool)
    .await?;
    let one = |row: LostRow| {
        Ok(LostDay {
            job: row.code,
            day: day("lost_day", row.id, &row.day)?,
            reason: row.reason,
            cover: row.cover,
            moved: row.moved,
        })
    };
    rows.into_iter().map(one).collect()
}

/// Makes a head wait for its pattern head to reach a step; `None` frees it.
///
/// # Errors
/// The database's.
pub async fn set_pattern(
    tx: &mut Tx,
    made: Made,
    head: HeadId,
    pattern: Option<(HeadId, StepId)>,
) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM head_pattern WHERE head_id = ?")
        .bind(head.get())
        .execute(&mut **tx)
        .await?;
    if let Some((pattern, until)) = pattern {
        sqlx::query(
            "INSERT INTO head_pattern (head_id, pattern_id, until_step, created_at, created_by)
             VALUES (?, ?, ?, ?, ?)",
        )
        .bind(head.get())
        .bind(pattern.get())
        .bind(until.get())
        .bind(made.at.millis())
        .bind(made.user())
        .execute(&mut **tx)
        .await?;
    }
    Ok(())
}

/// The pattern head a head waits for: it, its name and mark, the step it must
/// reach, and whether it has.
///
/// # Errors
/// The database's.
pub async fn pattern_of(
    pool: &SqlitePool,
    head: HeadId,
) -> Result<Option<(HeadId, String, String, bool)>, StoreError> {
    let row: Option<(i64, String, String, bool)> = sqlx::query_as(
        "SELECT p.id, opening.mark || ' ' || p.name, s.name, at.position >= s.position
         FROM head_pattern hp JOIN head p ON p.id = hp.pattern_id
         JOIN opening ON opening.id = p.opening_id
         JOIN head_step s ON s.id = hp.until_step JOIN head_step at ON at.id = p.step_id
         WHERE hp.head_id = ?",
    )
    .bind(head.get())
    .fetch_optional(pool)
    .await?;
    Ok(row.map(|(id, name, step, done)| (HeadId::new(id), name, step, done)))
}
