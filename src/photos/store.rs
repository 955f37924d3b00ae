//! Photos in their table.

use sqlx::{FromRow, SqlitePool};

use super::model::{NewPhoto, Photo, PhotoFacts, PhotoId, PhotoKind};
use crate::access::{Made, UserId};
use crate::db::{Stamp, StoreError, Tx};
use crate::heads::HeadId;
use crate::jobs::JobId;
use crate::openings::OpeningId;

#[derive(FromRow)]
struct PhotoRow {
    id: i64,
    job_id: i64,
    job_code: String,
    opening_id: i64,
    mark: String,
    head_id: Option<i64>,
    head_name: Option<String>,
    kind: String,
    caption: String,
    beside_id: Option<i64>,
    name: String,
    width: u32,
    height: u32,
    who: Option<String>,
    created_at: i64,
    version: i64,
    archived: bool,
}

impl TryFrom<PhotoRow> for Photo {
    type Error = StoreError;

    fn try_from(row: PhotoRow) -> Result<Self, StoreError> {
        let kind = PhotoKind::from_code(&row.kind)
            .ok_or_else(|| StoreError::unreadable("photo", "kind", row.id, &row.kind))?;
        Ok(Self {
            id: PhotoId::new(row.id),
            job: JobId::new(row.job_id),
            job_code: row.job_code,
            opening: OpeningId::new(row.opening_id),
            mark: row.mark,
            head: row.head_id.map(HeadId::new).zip(row.head_name),
            facts: PhotoFacts {
                kind,
                caption: row.caption,
                beside: row.beside_id.map(PhotoId::new),
            },
            name: row.name,
            size: (row.width, row.height),
            by: row.who.unwrap_or_else(|| "the program".to_owned()),
            at: Stamp::from_millis(row.created_at),
            version: row.version,
            archived: row.archived,
        })
    }
}

macro_rules! photos {
    ($rest:literal) => {
        concat!(
            "SELECT p.id, o.job_id, j.code AS job_code, p.opening_id, o.mark, p.head_id,
                    h.name AS head_name, p.kind, p.caption, p.beside_id, p.name, p.width, p.height,
                    u.name AS who, p.created_at, p.version, p.archived_at IS NOT NULL AS archived
             FROM photo p JOIN opening o ON o.id = p.opening_id JOIN job j ON j.id = o.job_id
             LEFT JOIN head h ON h.id = p.head_id LEFT JOIN user u ON u.id = p.created_by ",
            $rest
        )
    };
}

/// One photo.
///
/// # Errors
/// `Missing`, the database's.
pub async fn photo(pool: &SqlitePool, id: PhotoId) -> Result<Photo, StoreError> {
    let row: Option<PhotoRow> = sqlx::query_as(photos!("WHERE p.id = ?"))
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("photo"))?.try_into()
}

/// An opening's photos and those of its heads, the newest first.
///
/// # Errors
/// The database's.
pub async fn photos_of_opening(
    pool: &SqlitePool,
    opening: OpeningId,
    archived: bool,
) -> Result<Vec<Photo>, StoreError> {
    let rows: Vec<PhotoRow> = sqlx::query_as(photos!(
        "WHERE p.opening_id = ? AND (p.archived_at IS NOT NULL) = ? ORDER BY p.id DESC LIMIT 500"
    ))
    .bind(opening.get())
    .bind(archived)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// A job's photos, opening by opening, the newest first.
///
/// # Errors
/// The database's.
pub async fn photos_of_job(pool: &SqlitePool, job: JobId) -> Result<Vec<Photo>, StoreError> {
    let rows: Vec<PhotoRow> = sqlx::query_as(photos!(
        "WHERE o.job_id = ? AND p.archived_at IS NULL ORDER BY o.id, p.id DESC LIMIT 2000"
    ))
    .bind(job.get())
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Whether the wall behind a head was photographed.
///
/// # Errors
/// The database's.
pub async fn has_wall(
    pool: &SqlitePool,
    head: HeadId,
    opening: OpeningId,
) -> Result<bool, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT EXISTS (SELECT 1 FROM photo WHERE opening_id = ?1 AND kind = 'wall'
             AND archived_at IS NULL AND (head_id = ?2 OR head_id IS NULL))",
    )
    .bind(opening.get())
    .bind(head.get())
    .fetch_one(pool)
    .await?)
}

/// How many photos a person sent since, and when the first of them came.
///
/// # Errors
/// The database's.
pub async fn sent_since(
    pool: &SqlitePool,
    who: UserId,
    since: i64,
) -> Result<(i64, Option<i64>), StoreError> {
    Ok(sqlx::query_as(
        "SELECT count(*), min(created_at) FROM photo WHERE created_by = ? AND created_at > ?",
    )
    .bind(who.get())
    .bind(since)
    .fetch_one(pool)
    .await?)
}

/// Adds a photo.
///
/// # Errors
/// The database's.
pub async fn add_photo(tx: &mut Tx, made: Made, new: &NewPhoto) -> Result<PhotoId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO photo (created_at, created_by, opening_id, head_id, kind, caption, beside_id,
                            name, width, height)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(new.opening.get())
    .bind(new.head.map(HeadId::get))
    .bind(new.facts.kind.code())
    .bind(&new.facts.caption)
    .bind(new.facts.beside.map(PhotoId::get))
    .bind(&new.name)
    .bind(new.size.0)
    .bind(new.size.1)
    .execute(&mut **tx)
    .await?;
    Ok(PhotoId::new(done.last_insert_rowid()))
}

/// Writes what is said of a photo over version `seen`.
///
/// # Errors
/// `Stale`, the database's.
pub async fn change_photo(
    tx: &mut Tx,
    (id, seen): (PhotoId, i64),
    facts: &PhotoFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE photo SET kind = ?, caption = ?, beside_id = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(facts.kind.code())
    .bind(&facts.caption)
    .bind(facts.beside.map(PhotoId::get))
    .bind(id.get())
    .bind(seen)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "photo")
}

/// Puts a photo away, or brings it back.
///
/// # Errors
/// `Stale`, the database's.
pub async fn archive_photo(
    tx: &mut Tx,
    made: Made,
    (id, seen): (PhotoId, i64),
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE photo SET archived_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(seen)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "photo")
}
