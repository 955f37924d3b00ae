//! What heads need to know of the opening that they are for.

use sqlx::{SqliteConnection, SqlitePool};

use crate::db::StoreError;
use crate::openings::{OpeningId, Surveyed};
use crate::web::AppState;

/// Where a head would belong.
#[derive(Debug, Clone)]
pub struct OpeningPlace {
    /// The opening's mark.
    pub mark: String,
    /// Row of the job.
    pub job: i64,
    /// The job's code.
    pub job_code: String,
    /// How many heads it has already.
    pub heads: i64,
}

impl OpeningPlace {
    /// A name for the next head here.
    #[must_use]
    pub fn name(&self) -> String {
        match self.heads {
            0 => format!("Head over {}", self.mark),
            n => format!("Head {} over {}", n + 1, self.mark),
        }
    }
}

/// The opening's mark and job.
///
/// # Errors
/// `Missing`, the database's.
pub async fn place(pool: &SqlitePool, opening: i64) -> Result<OpeningPlace, StoreError> {
    let row: Option<(String, i64, String, i64)> = sqlx::query_as(
        "SELECT opening.mark, job.id, job.code,
                (SELECT count(*) FROM head WHERE head.opening_id = opening.id)
         FROM opening JOIN job ON job.id = opening.job_id WHERE opening.id = ?",
    )
    .bind(opening)
    .fetch_optional(pool)
    .await?;
    let (mark, job, job_code, heads) = row.ok_or(StoreError::Missing("opening"))?;
    Ok(OpeningPlace {
        mark,
        job,
        job_code,
        heads,
    })
}

/// The opening with this mark on the job with this code: how the demo finds it.
///
/// # Errors
/// `Missing`, or the database's.
pub async fn opening_named(
    conn: &mut SqliteConnection,
    code: &str,
    mark: &str,
) -> Result<i64, StoreError> {
    let row: Option<i64> = sqlx::query_scalar(
        "SELECT opening.id FROM opening JOIN job ON job.id = opening.job_id
         WHERE job.code = ? AND opening.mark = ?",
    )
    .bind(code)
    .bind(mark)
    .fetch_optional(conn)
    .await?;
    row.ok_or(StoreError::Missing("opening"))
}

/// Who leads the opening's job.
///
/// # Errors
/// `Missing`, the database's.
pub async fn foreman(pool: &SqlitePool, opening: i64) -> Result<Option<i64>, StoreError> {
    let row: Option<Option<i64>> = sqlx::query_scalar(
        "SELECT job.foreman_id FROM opening JOIN job ON job.id = opening.job_id WHERE opening.id = ?",
    )
    .bind(opening)
    .fetch_optional(pool)
    .await?;
    row.ok_or(StoreError::Missing("opening"))
}

/// What was measured of the opening, for findings and for what suits it.
///
/// # Errors
/// `Missing`, the database's.
pub async fn surveyed(app: &AppState, opening: i64) -> Result<Surveyed, StoreError> {
    Ok(crate::openings::surveyed(app, OpeningId::new(opening))
        .await?
        .1)
}
