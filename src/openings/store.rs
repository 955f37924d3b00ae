//! Openings in their table.

use sqlx::SqlitePool;

use crate::access::{Made, UserId};
use crate::db::{Stamp, StoreError, Tx};
use crate::jobs::JobId;
use crate::measure::Length;

use super::model::{Mark, Opening, OpeningFacts, OpeningId, OpeningKind};

#[derive(sqlx::FromRow)]
struct OpeningRow {
    id: i64,
    job_id: i64,
    mark: String,
    kind: String,
    storey: i64,
    sill_height_nm: Option<i64>,
    wall: String,
    siding: String,
    siding_depth_nm: Option<i64>,
    clear_above_nm: Option<i64>,
    note: String,
    version: i64,
    archived_at: Option<i64>,
}

impl TryFrom<OpeningRow> for Opening {
    type Error = StoreError;

    fn try_from(row: OpeningRow) -> Result<Self, StoreError> {
        let bad = |column, why: String| StoreError::unreadable("opening", column, row.id, why);
        Ok(Self {
            facts: OpeningFacts {
                mark: Mark::parse(&row.mark).map_err(|why| bad("mark", why.to_owned()))?,
                kind: OpeningKind::from_code(&row.kind)
                    .ok_or_else(|| bad("kind", format!("no kind {}", row.kind)))?,
                storey: row.storey,
                sill_height: row.sill_height_nm.map(Length::from_nanometres),
                wall: row.wall,
                siding: row.siding,
                siding_depth: row.siding_depth_nm.map(Length::from_nanometres),
                clear_above: row.clear_above_nm.map(Length::from_nanometres),
                note: row.note,
            },
            id: OpeningId::new(row.id),
            job: JobId::new(row.job_id),
            version: row.version,
            archived_at: row.archived_at.map(Stamp::from_millis),
        })
    }
}

/// The opening of this id.
///
/// # Errors
/// `Missing` if there is none; the database's.
pub async fn opening(pool: &SqlitePool, id: OpeningId) -> Result<Opening, StoreError> {
    let row: Option<OpeningRow> = sqlx::query_as("SELECT * FROM opening WHERE id = ?")
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("opening"))?.try_into()
}

/// A job's openings, live or archived, in the order of their marks: W2 before
/// W10.
///
/// # Errors
/// The database's.
pub async fn openings_of(
    pool: &SqlitePool,
    job: JobId,
    archived: bool,
) -> Result<Vec<Opening>, StoreError> {
    let rows: Vec<OpeningRow> =
        sqlx::query_as("SELECT * FROM opening WHERE job_id = ? AND (archived_at IS NOT NULL) = ?")
            .bind(job.get())
            .bind(archived)
            .fetch_all(pool)
            .await?;
    let mut openings: Vec<Opening> = rows
        .into_iter()
        .map(TryInto::try_into)
        .collect::<Result<_, _>>()?;
    openings.sort_by_cached_key(|opening| opening.facts.mark.order());
    Ok(openings)
}

/// Adds an opening to a job.
///
/// # Errors
/// `Taken("mark")` if another of the job's openings has it; the database's.
pub async fn add_opening(
    tx: &mut Tx,
    made: Made,
    job: JobId,
    facts: &OpeningFacts,
) -> Result<OpeningId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO opening (job_id, mark, kind, storey, sill_height_nm, wall, siding,
                              siding_depth_nm, clear_above_nm, note, created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(job.get())
    .bind(facts.mark.as_str())
    .bind(facts.kind.code())
    .bind(facts.storey)
    .bind(facts.sill_height.map(Length::nanometres))
    .bind(&facts.wall)
    .bind(&facts.siding)
    .bind(facts.siding_depth.map(Length::nanometres))
    .bind(facts.clear_above.map(Length::nanometres))
    .bind(&facts.note)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("mark"))?;
    Ok(OpeningId::new(done.last_insert_rowid()))
}

/// Writes an opening's facts over version `version`.
///
/// # Errors
/// `Taken("mark")`; `Stale` if someone else changed it meanwhile.
pub async fn change_opening(
    tx: &mut Tx,
    id: OpeningId,
    version: i64,
    facts: &OpeningFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE opening SET mark = ?, kind = ?, storey = ?, sill_height_nm = ?, wall = ?,
                siding = ?, siding_depth_nm = ?, clear_above_nm = ?, note = ?,
                version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(facts.mark.as_str())
    .bind(facts.kind.code())
    .bind(facts.storey)
    .bind(facts.sill_height.map(Length::nanometres))
    .bind(&facts.wall)
    .bind(&facts.siding)
    .bind(facts.siding_depth.map(Length::nanometres))
    .bind(facts.clear_above.map(Length::nanometres))
    .bind(&facts.note)
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("mark"))?;
    StoreError::unless_one(done.rows_affected(), "opening")
}

/// Puts an opening away, or brings it back.
///
/// # Errors
/// `Stale` if someone else changed it meanwhile.
pub async fn archive_opening(
    tx: &mut Tx,
    made: Made,
    id: OpeningId,
    version: i64,
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE opening SET archived_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "opening")
}

/// Whether this person leads the opening's job. `None` if there is no such
/// opening.
///
/// # Errors
/// The database's.
pub async fn leads_opening(
    pool: &SqlitePool,
    user: UserId,
    opening: i64,
) -> Result<Option<bool>, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT coalesce(job.foreman_id = ?1, 0)
         FROM opening JOIN job ON job.id = opening.job_id WHERE opening.id = ?2",
    )
    .bind(user.get())
    .bind(opening)
    .fetch_optional(pool)
    .await?)
}
