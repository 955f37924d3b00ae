//! Outside firms, their parts of jobs, and private links, in their tables.

use chrono::NaiveDate;
use sqlx::{FromRow, SqlitePool};

use super::model::{
    Link, LinkId, Outside, OutsideFacts, OutsideId, Trade, Work, WorkFacts, WorkId,
};
use crate::access::{Made, UserId};
use crate::db::{Stamp, StoreError, Tx};
use crate::jobs::JobId;

#[derive(FromRow)]
struct FirmRow {
    id: i64,
    name: String,
    trade: String,
    contact: String,
    phone: String,
    email: String,
    insured_until: Option<String>,
    note: String,
    version: i64,
    archived_at: Option<i64>,
}

fn trade(table: &'static str, row: i64, code: &str) -> Result<Trade, StoreError> {
    Trade::from_code(code).ok_or_else(|| StoreError::unreadable(table, "trade", row, code))
}

fn day(
    (table, column, row): (&'static str, &'static str, i64),
    text: Option<&str>,
) -> Result<Option<NaiveDate>, StoreError> {
    let parsed = text.map(str::parse::<NaiveDate>).transpose();
    parsed.map_err(|why| StoreError::unreadable(table, column, row, why))
}

impl TryFrom<FirmRow> for Outside {
    type Error = StoreError;

    fn try_from(row: FirmRow) -> Result<Self, StoreError> {
        let table = "outside_firm";
        Ok(Self {
            id: OutsideId::new(row.id),
            facts: OutsideFacts {
                trade: trade(table, row.id, &row.trade)?,
                insured_until: day(
                    (table, "insured_until", row.id),
                    row.insured_until.as_deref(),
                )?,
                name: row.name,
                contact: row.contact,
                phone: row.phone,
                email: row.email,
                note: row.note,
            },
            version: row.version,
            archived: row.archived_at.is_some(),
        })
    }
}

/// One firm.
///
/// # Errors
/// `Missing`, the database's.
pub async fn firm(pool: &SqlitePool, id: OutsideId) -> Result<Outside, StoreError> {
    let row: Option<FirmRow> = sqlx::query_as("SELECT * FROM outside_firm WHERE id = ?")
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("outside firm"))?.try_into()
}

/// Every firm, by name; those put away last.
///
/// # Errors
/// The database's.
pub async fn firms(pool: &SqlitePool) -> Result<Vec<Outside>, StoreError> {
    let rows: Vec<FirmRow> = sqlx::query_as(
        "SELECT * FROM outside_firm ORDER BY archived_at IS NOT NULL, name COLLATE NOCASE, id
         LIMIT 1000",
    )
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Adds a firm.
///
/// # Errors
/// The database's.
pub async fn add_firm(
    tx: &mut Tx,
    made: Made,
    facts: &OutsideFacts,
) -> Result<OutsideId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO outside_firm (created_at, created_by, name, trade, contact, phone, email,
                                   insured_until, note)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(&facts.name)
    .bind(facts.trade.code())
    .bind(&facts.contact)
    .bind(&facts.phone)
    .bind(&facts.email)
    .bind(facts.insured_until.map(|day| day.to_string()))
    .bind(&facts.note)
    .execute(&mut **tx)
    .await?;
    Ok(OutsideId::new(done.last_insert_rowid()))
}

/// Writes a firm over version `seen`.
///
/// # Errors
/// `Stale`, the database's.
pub async fn change_firm(
    tx: &mut Tx,
    (id, seen): (OutsideId, i64),
    facts: &OutsideFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE outside_firm SET name = ?, trade = ?, contact = ?, phone = ?, email = ?,
                insured_until = ?, note = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(&facts.name)
    .bind(facts.trade.code())
    .bind(&facts.contact)
    .bind(&facts.phone)
    .bind(&facts.email)
    .bind(facts.insured_until.map(|day| day.to_string()))
    .bind(&facts.note)
    .bind(id.get())
    .bind(seen)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "outside firm")
}

/// Puts a firm away, or brings it back.
///
/// # Errors
/// `Stale`, the database's.
pub async fn archive_firm(
    tx: &mut Tx,
    made: Made,
    (id, seen): (OutsideId, i64),
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE outside_firm SET archived_at = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(seen)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "outside firm")
}

#[derive(FromRow)]
struct WorkRow {
    id: i64,
    job_id: i64,
    job_code: String,
    site_address: String,
    foreman: Option<String>,
    firm_id: i64,
    name: String,
    trade: String,
    contact: String,
    phone: String,
    insured_until: Option<String>,
    first_day: Option<String>,
    last_day: Option<String>,
    does: String,
    note: String,
    version: i64,
    archived: bool,
}

impl TryFrom<WorkRow> for Work {
    type Error = StoreError;

    fn try_from(row: WorkRow) -> Result<Self, StoreError> {
        let table = "outside_work";
        let day = |column, text: &Option<String>| day((table, column, row.id), text.as_deref());
        Ok(Self {
            id: WorkId::new(row.id),
            job: JobId::new(row.job_id),
            trade: trade(table, row.id, &row.trade)?,
            insured_until: day("insured_until", &row.insured_until)?,
            facts: WorkFacts {
                firm: OutsideId::new(row.firm_id),
                first_day: day("first_day", &row.first_day)?,
                last_day: day("last_day", &row.last_day)?,
                does: row.does,
                note: row.note,
            },
            job_code: row.job_code,
            site_address: row.site_address,
            foreman: row.foreman,
            name: row.name,
            contact: (row.contact, row.phone),
            version: row.version,
            archived: row.archived,
        })
    }
}

macro_rules! works {
    ($rest:literal) => {
        concat!(
            "SELECT w.id, w.job_id, j.code AS job_code, j.site_address, u.name AS foreman, w.firm_id,
                    f.name, f.trade, f.contact, f.phone, f.insured_until, w.first_day, w.last_day,
                    w.does, w.note, w.version, w.archived_at IS NOT NULL AS archived
             FROM outside_work w JOIN outside_firm f ON f.id = w.firm_id
             JOIN job j ON j.id = w.job_id LEFT JOIN user u ON u.id = j.foreman_id ",
            $rest
        )
    };
}

/// One firm's part of one job.
///
/// # Errors
/// `Missing`, the database's.
pub async fn work(pool: &SqlitePool, id: WorkId) -> Result<Work, StoreError> {
    let row: Option<WorkRow> = sqlx::query_as(works!("WHERE w.id = ?"))
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("outside work"))?.try_into()
}

/// The outside firms on a job, in the order of their days.
///
/// # Errors
/// The database's.
pub async fn of_job(pool: &SqlitePool, job: JobId) -> Result<Vec<Work>, StoreError> {
    let rows: Vec<WorkRow> = sqlx::query_as(works!(
        "WHERE w.job_id = ? AND w.archived_at IS NULL
         ORDER BY w.first_day IS NULL, w.first_day, w.id LIMIT 200"
    ))
    .bind(job.get())
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// A firm's parts of jobs, the latest first.
///
/// # Errors
/// The database's.
pub async fn of_firm(pool: &SqlitePool, firm: OutsideId) -> Result<Vec<Work>, StoreError> {
    let rows: Vec<WorkRow> = sqlx::query_as(works!(
        "WHERE w.firm_id = ? AND w.archived_at IS NULL ORDER BY w.first_day DESC, w.id DESC LIMIT 200"
    ))
    .bind(firm.get())
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// What outside firms have yet to do or are doing on live jobs: all whose last
/// day is not past, the first to come first; with `led_by`, on this foreman's
/// jobs only.
///
/// # Errors
/// The database's.
pub async fn ahead(
    pool: &SqlitePool,
    today: NaiveDate,
    led_by: Option<UserId>,
) -> Result<Vec<Work>, StoreError> {
    let rows: Vec<WorkRow> = sqlx::query_as(works!(
        "WHERE w.archived_at IS NULL AND j.archived_at IS NULL
           AND coalesce(w.last_day, w.first_day, ?1) >= ?1 AND (?2 IS NULL OR j.foreman_id = ?2)
         ORDER BY w.first_day IS NULL, w.first_day, w.id LIMIT 500"
    ))
    .bind(today.to_string())
    .bind(led_by.map(UserId::get))
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Puts a firm on a job.
///
/// # Errors
/// The database's.
pub async fn add_work(
    tx: &mut Tx,
    made: Made,
    job: JobId,
    facts: &WorkFacts,
) -> Result<WorkId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO outside_work (created_at, created_by, job_id, firm_id, first_day, last_day,
                                   does, note)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(job.get())
    .bind(facts.firm.get())
    .bind(facts.first_day.map(|day| day.to_string()))
    .bind(facts.last_day.map(|day| day.to_string()))
    .bind(&facts.does)
    .bind(&facts.note)
    .execute(&mut **tx)
    .await?;
    Ok(WorkId::new(done.last_insert_rowid()))
}

/// Writes a firm's part of a job over version `seen`. The firm stays: a link
/// must not change hands.
///
/// # Errors
/// `Stale`, the database's.
pub async fn change_work(
    tx: &mut Tx,
    (id, seen): (WorkId, i64),
    facts: &WorkFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE outside_work SET first_day = ?, last_day = ?, does = ?, note = ?,
                version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(facts.first_day.map(|day| day.to_string()))
    .bind(facts.last_day.map(|day| day.to_string()))
    .bind(&facts.does)
    .bind(&facts.note)
    .bind(id.get())
    .bind(seen)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "outside work")
}

/// Takes a firm off a job, or puts it back on. Off it, its links show nothing.
///
/// # Errors
/// `Stale`, the database's.
pub async fn archive_work(
    tx: &mut Tx,
    made: Made,
    (id, seen): (WorkId, i64),
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE outside_work SET archived_at = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(seen)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "outside work")
}

/// Keeps a private link by its token's digest.
///
/// # Errors
/// The database's.
pub async fn add_link(
    tx: &mut Tx,
    made: Made,
    work: WorkId,
    (sha, expires): (&[u8; 32], Stamp),
) -> Result<LinkId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO outside_link (created_at, created_by, work_id, token_sha, expires_at)
         VALUES (?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(work.get())
    .bind(sha.as_slice())
    .bind(expires.millis())
    .execute(&mut **tx)
    .await?;
    Ok(LinkId::new(done.last_insert_rowid()))
}

/// The links of a firm's part of a job that hold now.
///
/// # Errors
/// The database's.
pub async fn links(pool: &SqlitePool, work: WorkId, now: Stamp) -> Result<Vec<Link>, StoreError> {
    let rows: Vec<(i64, i64, i64)> = sqlx::query_as(
        "SELECT id, created_at, expires_at FROM outside_link
         WHERE work_id = ? AND revoked_at IS NULL AND expires_at > ? ORDER BY id DESC",
    )
    .bind(work.get())
    .bind(now.millis())
    .fetch_all(pool)
    .await?;
    let link = |(id, made, expires)| Link {
        id: LinkId::new(id),
        made_at: Stamp::from_millis(made),
        expires_at: Stamp::from_millis(expires),
    };
    Ok(rows.into_iter().map(link).collect())
}

/// Ends a link of this part of a job.
///
/// # Errors
/// The database's.
pub async fn revoke(
    tx: &mut Tx,
    made: Made,
    (work, link): (WorkId, LinkId),
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE outside_link SET revoked_at = ? WHERE id = ? AND work_id = ? AND revoked_at IS NULL",
    )
    .bind(made.at.millis())
    .bind(link.get())
    .bind(work.get())
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "link")
}

/// What a link's token opens, while it holds and the firm is on a live job.
///
/// # Errors
/// The database's.
pub async fn opened(
    pool: &SqlitePool,
    sha: &[u8; 32],
    now: Stamp,
) -> Result<Option<Work>, StoreError> {
    let row: Option<WorkRow> = sqlx::query_as(works!(
        "JOIN outside_link l ON l.work_id = w.id
         WHERE l.token_sha = ? AND l.revoked_at IS NULL AND l.expires_at > ?
           AND w.archived_at IS NULL AND j.archived_at IS NULL"
    ))
    .bind(sha.as_slice())
    .bind(now.millis())
    .fetch_optional(pool)
    .await?;
    row.map(TryInto::try_into).transpose()
}
