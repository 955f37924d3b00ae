//! Jobs in their table.

use sqlx::SqlitePool;

use crate::access::{Made, UserId};
use crate::clients::ClientId;
use crate::db::{Stamp, StoreError, Tx};
use crate::web::ListQuery;

use super::model::{Job, JobCode, JobFacts, JobId};

#[derive(sqlx::FromRow)]
struct JobRow {
    id: i64,
    client_id: i64,
    client_name: String,
    code: String,
    title: String,
    site_address: String,
    access: String,
    site_contact: String,
    year_built: Option<i64>,
    historic: bool,
    zone: String,
    foreman_id: Option<i64>,
    foreman_name: Option<String>,
    first_day: Option<String>,
    last_day: Option<String>,
    terms: String,
    note: String,
    version: i64,
    archived_at: Option<i64>,
}

impl TryFrom<JobRow> for Job {
    type Error = StoreError;

    fn try_from(row: JobRow) -> Result<Self, StoreError> {
        let bad = |column, why: String| StoreError::unreadable("job", column, row.id, why);
        let day = |column, text: Option<String>| {
            text.map(|text| text.parse())
                .transpose()
                .map_err(|e| bad(column, format!("{e}")))
        };
        Ok(Self {
            facts: JobFacts {
                client: ClientId::new(row.client_id),
                code: JobCode::parse(&row.code).map_err(|why| bad("code", why.to_owned()))?,
                title: row.title,
                site_address: row.site_address,
                access: row.access,
                site_contact: row.site_contact,
                year_built: row.year_built,
                historic: row.historic,
                zone: row.zone,
                foreman: row.foreman_id.map(UserId::new),
                first_day: day("first_day", row.first_day)?,
                last_day: day("last_day", row.last_day)?,
                terms: row.terms,
                note: row.note,
            },
            id: JobId::new(row.id),
            client_name: row.client_name,
            foreman_name: row.foreman_name,
            version: row.version,
            archived_at: row.archived_at.map(Stamp::from_millis),
        })
    }
}

/// The job of this id.
///
/// # Errors
/// `Missing` if there is none; the database's.
pub async fn job(pool: &SqlitePool, id: JobId) -> Result<Job, StoreError> {
    let row: Option<JobRow> = sqlx::query_as(
        "SELECT job.*, client.name AS client_name, user.name AS foreman_name
         FROM job JOIN client ON client.id = job.client_id
         LEFT JOIN user ON user.id = job.foreman_id WHERE job.id = ?",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?;
    row.ok_or(StoreError::Missing("job"))?.try_into()
}

/// Which jobs a list shows.
#[derive(Debug, Clone, Default)]
pub struct Shown {
    /// Only these: the jobs a carpenter is assigned to.
    pub only: Option<Vec<JobId>>,
    /// Only those that this foreman leads.
    pub led_by: Option<UserId>,
    /// Search the client's name too: not for a carpenter.
    pub by_client: bool,
}

/// The jobs of one page of the list, one more than the page holds if more
/// follow.
///
/// # Errors
/// The database's.
pub async fn jobs(
    pool: &SqlitePool,
    query: &ListQuery,
    shown: &Shown,
) -> Result<Vec<Job>, StoreError> {
    let (most, skip) = query.window();
    let rows: Vec<JobRow> = sqlx::query_as(
        r"SELECT job.*, client.name AS client_name, user.name AS foreman_name
          FROM job JOIN client ON client.id = job.client_id
          LEFT JOIN user ON user.id = job.foreman_id
          WHERE (job.archived_at IS NOT NULL) = ?1
            AND (job.code LIKE ?2 ESCAPE '\' OR job.title LIKE ?2 ESCAPE '\'
                 OR job.site_address LIKE ?2 ESCAPE '\' OR (?3 AND client.name LIKE ?2 ESCAPE '\'))
            AND (?4 IS NULL OR job.id IN (SELECT value FROM json_each(?4)))
            AND (?5 IS NULL OR job.foreman_id = ?5)
          ORDER BY CASE ?6 WHEN 'title' THEN job.title WHEN 'code' THEN job.code END COLLATE NOCASE,
                   job.first_day IS NULL, job.first_day DESC, job.id DESC
          LIMIT ?7 OFFSET ?8",
    )
    .bind(query.wants_archived())
    .bind(query.like())
    .bind(shown.by_client)
    .bind(shown.only.as_deref().map(as_json))
    .bind(shown.led_by.map(UserId::get))
    .bind(&query.sort)
    .bind(most)
    .bind(skip)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

fn as_json(ids: &[JobId]) -> String {
    serde_json::Value::from(ids.iter().map(|id| id.get()).collect::<Vec<_>>()).to_string()
}

/// A client's live jobs, newest first: id, code, title.
///
/// # Errors
/// The database's.
pub async fn jobs_of(
    pool: &SqlitePool,
    client: ClientId,
) -> Result<Vec<(JobId, String, String)>, StoreError> {
    let rows: Vec<(i64, String, String)> = sqlx::query_as(
        "SELECT id, code, title FROM job WHERE client_id = ? AND archived_at IS NULL ORDER BY id DESC",
    )
    .bind(client.get())
    .fetch_all(pool)
    .await?;
    Ok(rows
        .into_iter()
        .map(|(id, code, title)| (JobId::new(id), code, title))
        .collect())
}

/// Adds a job.
///
/// # Errors
/// `Taken("code")` if another job has it; the database's.
pub async fn add_job(tx: &mut Tx, made: Made, facts: &JobFacts) -> Result<JobId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO job (client_id, code, title, site_address, access, site_contact, year_built,
                          historic, zone, foreman_id, first_day, last_day, terms, note,
                          created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(facts.client.get())
    .bind(facts.code.as_str())
    .bind(&facts.title)
    .bind(&facts.site_address)
    .bind(&facts.access)
    .bind(&facts.site_contact)
    .bind(facts.year_built)
    .bind(facts.historic)
    .bind(&facts.zone)
    .bind(facts.foreman.map(UserId::get))
    .bind(facts.first_day.map(|day| day.to_string()))
    .bind(facts.last_day.map(|day| day.to_string()))
    .bind(&facts.terms)
    .bind(&facts.note)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("code"))?;
    Ok(JobId::new(done.last_insert_rowid()))
}

/// Writes a job's facts over version `version`.
///
/// # Errors
/// `Taken("code")`; `Stale` if someone else changed it meanwhile.
pub async fn change_job(
    tx: &mut Tx,
    id: JobId,
    version: i64,
    facts: &JobFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE job SET client_id = ?, code = ?, title = ?, site_address = ?, access = ?,
                site_contact = ?, year_built = ?, historic = ?, zone = ?, foreman_id = ?,
                first_day = ?, last_day = ?, terms = ?, note = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(facts.client.get())
    .bind(facts.code.as_str())
    .bind(&facts.title)
    .bind(&facts.site_address)
    .bind(&facts.access)
    .bind(&facts.site_contact)
    .bind(facts.year_built)
    .bind(facts.historic)
    .bind(&facts.zone)
    .bind(facts.foreman.map(UserId::get))
    .bind(facts.first_day.map(|day| day.to_string()))
    .bind(facts.last_day.map(|day| day.to_string()))
    .bind(&facts.terms)
    .bind(&facts.note)
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("code"))?;
    StoreError::unless_one(done.rows_affected(), "job")
}

/// Puts a job away, or brings it back.
///
/// # Errors
/// `Stale` if someone else changed it meanwhile.
pub async fn archive_job(
    tx: &mut Tx,
    made: Made,
    id: JobId,
    version: i64,
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE job SET archived_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "job")
}

/// Whether this person leads the job. `None` if there is no such job.
///
/// # Errors
/// The database's.
pub async fn leads_job(
    pool: &SqlitePool,
    user: UserId,
    job: i64,
) -> Result<Option<bool>, StoreError> {
    Ok(
        sqlx::query_scalar("SELECT coalesce(foreman_id = ?1, 0) FROM job WHERE id = ?2")
            .bind(user.get())
            .bind(job)
            .fetch_optional(pool)
            .await?,
    )
}

/// The job of this code.
///
/// # Errors
/// The database's.
pub async fn job_of_code(pool: &SqlitePool, code: &str) -> Result<Option<JobId>, StoreError> {
    let id: Option<i64> = sqlx::query_scalar("SELECT id FROM job WHERE code = ?")
        .bind(code)
        .fetch_optional(pool)
        .await?;
    Ok(id.map(JobId::new))
}
