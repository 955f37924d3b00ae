//! Permits in their table.

use chrono::NaiveDate;
use sqlx::{FromRow, SqlitePool};

use super::model::{Permit, PermitFacts, PermitId, PermitKind, PermitState};
use crate::access::{Made, UserId};
use crate::db::{StoreError, Tx};
use crate::jobs::JobId;

#[derive(FromRow)]
struct PermitRow {
    id: i64,
    job_id: i64,
    job_code: String,
    kind: String,
    authority: String,
    number: String,
    state: String,
    conditions: String,
    granted_on: Option<String>,
    expires_on: Option<String>,
    note: String,
    version: i64,
    archived: bool,
}

impl TryFrom<PermitRow> for Permit {
    type Error = StoreError;

    fn try_from(row: PermitRow) -> Result<Self, StoreError> {
        let bad = |column, why: &str| StoreError::unreadable("permit", column, row.id, why);
        let day = |column, text: &Option<String>| {
            let parsed = text.as_deref().map(str::parse::<NaiveDate>).transpose();
            parsed.map_err(|why| bad(column, &why.to_string()))
        };
        Ok(Self {
            id: PermitId::new(row.id),
            job: JobId::new(row.job_id),
            job_code: row.job_code.clone(),
            facts: PermitFacts {
                kind: PermitKind::from_code(&row.kind).ok_or_else(|| bad("kind", &row.kind))?,
                state: PermitState::from_code(&row.state)
                    .ok_or_else(|| bad("state", &row.state))?,
                granted_on: day("granted_on", &row.granted_on)?,
                expires_on: day("expires_on", &row.expires_on)?,
                authority: row.authority,
                number: row.number,
                conditions: row.conditions,
                note: row.note,
            },
            version: row.version,
            archived: row.archived,
        })
    }
}

macro_rules! permits {
    ($rest:literal) => {
        concat!(
            "SELECT p.id, p.job_id, j.code AS job_code, p.kind, p.authority, p.number, p.state,
                    p.conditions, p.granted_on, p.expires_on, p.note, p.version,
                    p.archived_at IS NOT NULL AS archived
             FROM permit p JOIN job j ON j.id = p.job_id ",
            $rest
        )
    };
}

/// One permit.
///
/// # Errors
/// `Missing`, the database's.
pub async fn permit(pool: &SqlitePool, id: PermitId) -> Result<Permit, StoreError> {
    let row: Option<PermitRow> = sqlx::query_as(permits!("WHERE p.id = ?"))
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("permit"))?.try_into()
}

/// A job's permits, in the order in which they were written down.
///
/// # Errors
/// The database's.
pub async fn of_job(
    pool: &SqlitePool,
    job: JobId,
    archived: bool,
) -> Result<Vec<Permit>, StoreError> {
    let rows: Vec<PermitRow> = sqlx::query_as(permits!(
        "WHERE p.job_id = ? AND (p.archived_at IS NOT NULL) = ? ORDER BY p.id"
    ))
    .bind(job.get())
    .bind(archived)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// The live permits of live jobs that are not closed, the first to expire
/// first; with `led_by`, of this foreman's jobs only.
///
/// # Errors
/// The database's.
pub async fn open(pool: &SqlitePool, led_by: Option<UserId>) -> Result<Vec<Permit>, StoreError> {
    let rows: Vec<PermitRow> = sqlx::query_as(permits!(
        "WHERE p.archived_at IS NULL AND j.archived_at IS NULL AND p.state <> 'closed'
           AND (?1 IS NULL OR j.foreman_id = ?1)
         ORDER BY p.expires_on IS NULL, p.expires_on, p.id LIMIT 1000"
    ))
    .bind(led_by.map(UserId::get))
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Adds a permit.
///
/// # Errors
/// The database's.
pub async fn add_permit(
    tx: &mut Tx,
    made: Made,
    job: JobId,
    facts: &PermitFacts,
) -> Result<PermitId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO permit (created_at, created_by, job_id, kind, authority, number, state,
                             conditions, granted_on, expires_on, note)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(job.get())
    .bind(facts.kind.code())
    .bind(&facts.authority)
    .bind(&facts.number)
    .bind(facts.state.code())
    .bind(&facts.conditions)
    .bind(facts.granted_on.map(|day| day.to_string()))
    .bind(facts.expires_on.map(|day| day.to_string()))
    .bind(&facts.note)
    .execute(&mut **tx)
    .await?;
    Ok(PermitId::new(done.last_insert_rowid()))
}

/// Writes a permit over version `seen`.
///
/// # Errors
/// `Stale`, the database's.
pub async fn change_permit(
    tx: &mut Tx,
    (id, seen): (PermitId, i64),
    facts: &PermitFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE permit SET kind = ?, authority = ?, number = ?, state = ?, conditions = ?,
                granted_on = ?, expires_on = ?, note = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(facts.kind.code())
    .bind(&facts.authority)
    .bind(&facts.number)
    .bind(facts.state.code())
    .bind(&facts.conditions)
    .bind(facts.granted_on.map(|day| day.to_string()))
    .bind(facts.expires_on.map(|day| day.to_string()))
    .bind(&facts.note)
    .bind(id.get())
    .bind(seen)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "permit")
}

/// Puts a permit away, or brings it back.
///
/// # Errors
/// `Stale`, the database's.
pub async fn archive_permit(
    tx: &mut Tx,
    made: Made,
    (id, seen): (PermitId, i64),
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE permit SET archived_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(seen)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "permit")
}
