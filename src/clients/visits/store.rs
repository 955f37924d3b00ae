//! Visits in their table.

use chrono::NaiveDate;
use sqlx::SqlitePool;

use crate::access::{Made, UserId};
use crate::clients::model::{ClientId, Visit, VisitFacts, VisitId, parse_time};
use crate::db::{Stamp, StoreError, Tx};
use crate::web::ListQuery;

#[derive(sqlx::FromRow)]
struct VisitRow {
    id: i64,
    client_id: i64,
    client_name: String,
    job_id: Option<i64>,
    job_code: Option<String>,
    goes_id: Option<i64>,
    goes_name: Option<String>,
    day: String,
    time: String,
    purpose: String,
    key_with: String,
    access: String,
    contact: String,
    outcome: String,
    version: i64,
    archived_at: Option<i64>,
}

impl TryFrom<VisitRow> for Visit {
    type Error = StoreError;

    fn try_from(row: VisitRow) -> Result<Self, StoreError> {
        let bad = |column, why: String| StoreError::unreadable("visit", column, row.id, why);
        let time = match row.time.as_str() {
            "" => None,
            text => Some(parse_time(text).map_err(|why| bad("time", why.to_owned()))?),
        };
        Ok(Self {
            facts: VisitFacts {
                job: row.job_id,
                goes: row.goes_id.map(UserId::new),
                day: row.day.parse().map_err(|e| bad("day", format!("{e}")))?,
                time,
                purpose: row.purpose,
                key_with: row.key_with,
                access: row.access,
                contact: row.contact,
                outcome: row.outcome,
            },
            id: VisitId::new(row.id),
            client: ClientId::new(row.client_id),
            client_name: row.client_name,
            job_code: row.job_code,
            goes_name: row.goes_name,
            version: row.version,
            archived_at: row.archived_at.map(Stamp::from_millis),
        })
    }
}

fn read(rows: Vec<VisitRow>) -> Result<Vec<Visit>, StoreError> {
    rows.into_iter().map(TryInto::try_into).collect()
}

/// The visit of this id.
///
/// # Errors
/// `Missing` if there is none; the database's.
pub async fn visit(pool: &SqlitePool, id: VisitId) -> Result<Visit, StoreError> {
    let row: Option<VisitRow> = sqlx::query_as(
        "SELECT visit.*, client.name AS client_name, job.code AS job_code, user.name AS goes_name
         FROM visit JOIN client ON client.id = visit.client_id
         LEFT JOIN job ON job.id = visit.job_id LEFT JOIN user ON user.id = visit.goes_id
         WHERE visit.id = ?",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?;
    row.ok_or(StoreError::Missing("visit"))?.try_into()
}

/// The visits of one page of the list, the coming ones first. With `led_by`,
/// only those this foreman goes on or whose job they lead.
///
/// # Errors
/// The database's.
pub async fn visits(
    pool: &SqlitePool,
    query: &ListQuery,
    led_by: Option<UserId>,
) -> Result<Vec<Visit>, StoreError> {
    let (most, skip) = query.window();
    let rows: Vec<VisitRow> = sqlx::query_as(
        r"SELECT visit.*, client.name AS client_name, job.code AS job_code, user.name AS goes_name
          FROM visit JOIN client ON client.id = visit.client_id
          LEFT JOIN job ON job.id = visit.job_id LEFT JOIN user ON user.id = visit.goes_id
          WHERE (visit.archived_at IS NOT NULL) = ?1
            AND (client.name LIKE ?2 ESCAPE '\' OR visit.purpose LIKE ?2 ESCAPE '\'
                 OR visit.key_with LIKE ?2 ESCAPE '\' OR job.code LIKE ?2 ESCAPE '\')
            AND (?3 IS NULL OR visit.goes_id = ?3 OR job.foreman_id = ?3)
          ORDER BY CASE ?4 WHEN 'client' THEN client.name END COLLATE NOCASE,
                   visit.outcome <> '',
                   CASE WHEN visit.outcome = '' THEN visit.day END,
                   visit.day DESC, visit.time, visit.id
          LIMIT ?5 OFFSET ?6",
    )
    .bind(query.wants_archived())
    .bind(query.like())
    .bind(led_by.map(UserId::get))
    .bind(&query.sort)
    .bind(most)
    .bind(skip)
    .fetch_all(pool)
    .await?;
    read(rows)
}

/// The live visits paid to a client, or for one job only, newest first.
///
/// # Errors
/// The database's.
pub async fn visits_of(
    pool: &SqlitePool,
    client: ClientId,
    job: Option<i64>,
) -> Result<Vec<Visit>, StoreError> {
    let rows: Vec<VisitRow> = sqlx::query_as(
        "SELECT visit.*, client.name AS client_name, job.code AS job_code, user.name AS goes_name
         FROM visit JOIN client ON client.id = visit.client_id
         LEFT JOIN job ON job.id = visit.job_id LEFT JOIN user ON user.id = visit.goes_id
         WHERE visit.client_id = ?1 AND (?2 IS NULL OR visit.job_id = ?2)
           AND visit.archived_at IS NULL
         ORDER BY visit.day DESC, visit.time DESC, visit.id DESC",
    )
    .bind(client.get())
    .bind(job)
    .fetch_all(pool)
    .await?;
    read(rows)
}

/// Visits still without an outcome up to `until`, the earliest first; with
/// `led_by`, this foreman's only.
///
/// # Errors
/// The database's.
pub async fn visits_due(
    pool: &SqlitePool,
    until: NaiveDate,
    led_by: Option<UserId>,
) -> Result<Vec<Visit>, StoreError> {
    let rows: Vec<VisitRow> = sqlx::query_as(
        "SELECT visit.*, client.name AS client_name, job.code AS job_code, user.name AS goes_name
         FROM visit JOIN client ON client.id = visit.client_id
         LEFT JOIN job ON job.id = visit.job_id LEFT JOIN user ON user.id = visit.goes_id
         WHERE visit.outcome = '' AND visit.archived_at IS NULL AND visit.day <= ?1
           AND (?2 IS NULL OR visit.goes_id = ?2 OR job.foreman_id = ?2)
         ORDER BY visit.day, visit.time, visit.id LIMIT 20",
    )
    .bind(until.to_string())
    .bind(led_by.map(UserId::get))
    .fetch_all(pool)
    .await?;
    read(rows)
}

/// Live visits from a day to another, both counted in, the earliest first;
/// with `led_by`, those this foreman goes on or of jobs this foreman leads.
///
/// # Errors
/// The database's.
pub async fn visits_between(
    pool: &SqlitePool,
    (from, to): (NaiveDate, NaiveDate),
    led_by: Option<UserId>,
) -> Result<Vec<Visit>, StoreError> {
    let rows: Vec<VisitRow> = sqlx::query_as(
        "SELECT visit.*, client.name AS client_name, job.code AS job_code, user.name AS goes_name
         FROM visit JOIN client ON client.id = visit.client_id
         LEFT JOIN job ON job.id = visit.job_id LEFT JOIN user ON user.id = visit.goes_id
         WHERE visit.archived_at IS NULL AND visit.day BETWEEN ?1 AND ?2
           AND (?3 IS NULL OR visit.goes_id = ?3 OR job.foreman_id = ?3)
         ORDER BY visit.day, visit.time, visit.id LIMIT 2000",
    )
    .bind(from.to_string())
    .bind(to.to_string())
    .bind(led_by.map(UserId::get))
    .fetch_all(pool)
    .await?;
    read(rows)
}

/// Adds a visit.
///
/// # Errors
/// The database's.
pub async fn add_visit(
    tx: &mut Tx,
    made: Made,
    client: ClientId,
    facts: &VisitFacts,
) -> Result<VisitId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO visit (client_id, job_id, goes_id, day, time, purpose, key_with, access,
                            contact, outcome, created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(client.get())
    .bind(facts.job)
    .bind(facts.goes.map(UserId::get))
    .bind(facts.day.to_string())
    .bind(clock(facts))
    .bind(&facts.purpose)
    .bind(&facts.key_with)
    .bind(&facts.access)
    .bind(&facts.contact)
    .bind(&facts.outcome)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    Ok(VisitId::new(done.last_insert_rowid()))
}

/// Writes a visit's facts over version `version`.
///
/// # Errors
/// `Stale` if someone else changed it meanwhile.
pub async fn change_visit(
    tx: &mut Tx,
    id: VisitId,
    version: i64,
    facts: &VisitFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE visit SET job_id = ?, goes_id = ?, day = ?, time = ?, purpose = ?, key_with = ?,
                access = ?, contact = ?, outcome = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(facts.job)
    .bind(facts.goes.map(UserId::get))
    .bind(facts.day.to_string())
    .bind(clock(facts))
    .bind(&facts.purpose)
    .bind(&facts.key_with)
    .bind(&facts.access)
    .bind(&facts.contact)
    .bind(&facts.outcome)
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "visit")
}

/// Puts a visit away, or brings it back.
///
/// # Errors
/// `Stale` if someone else changed it meanwhile.
pub async fn archive_visit(
    tx: &mut Tx,
    made: Made,
    id: VisitId,
    version: i64,
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE visit SET archived_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "visit")
}

/// Whether this foreman goes on the visit or leads its job. `None` if there is
/// no such visit.
///
/// # Errors
/// The database's.
pub async fn leads_visit(
    pool: &SqlitePool,
    user: UserId,
    visit: i64,
) -> Result<Option<bool>, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT coalesce(visit.goes_id = ?1, 0) OR coalesce(job.foreman_id = ?1, 0)
         FROM visit LEFT JOIN job ON job.id = visit.job_id WHERE visit.id = ?2",
    )
    .bind(user.get())
    .bind(visit)
    .fetch_optional(pool)
    .await?)
}

fn clock(facts: &VisitFacts) -> String {
    facts
        .time
        .map_or_else(String::new, |time| time.format("%H:%M").to_string())
}

/// The live jobs a visit to this client may be for, with the one it is already
/// for; with `led_by`, otherwise only those this foreman leads.
///
/// # Errors
/// The database's.
pub async fn job_choices(
    pool: &SqlitePool,
    client: ClientId,
    led_by: Option<UserId>,
    held: Option<i64>,
) -> Result<Vec<(i64, String)>, StoreError> {
    Ok(sqlx::query_as(
        "SELECT id, code || ' · ' || title FROM job
         WHERE client_id = ?1
           AND (id = ?3 OR (archived_at IS NULL AND (?2 IS NULL OR foreman_id = ?2)))
         ORDER BY id DESC",
    )
    .bind(client.get())
    .bind(led_by.map(UserId::get))
    .bind(held)
    .fetch_all(pool)
    .await?)
}
