//! Notes: added, seen, never changed.

use sqlx::{FromRow, SqlitePool};

use crate::access::{Made, UserId};
use crate::crew::model::{Note, NoteId};
use crate::db::{Stamp, StoreError, Tx};
use crate::heads::HeadId;
use crate::jobs::JobId;

#[derive(FromRow)]
struct NoteRow {
    id: i64,
    from_name: String,
    to_id: Option<i64>,
    to_name: Option<String>,
    job_id: i64,
    code: String,
    head_id: Option<i64>,
    head_name: Option<String>,
    words: String,
    created_at: i64,
    seen: bool,
}

impl From<NoteRow> for Note {
    fn from(row: NoteRow) -> Self {
        Self {
            id: NoteId::new(row.id),
            from: row.from_name,
            to: row.to_id.map(UserId::new).zip(row.to_name),
            job: JobId::new(row.job_id),
            code: row.code,
            head: row.head_id.map(HeadId::new).zip(row.head_name),
            words: row.words,
            at: Stamp::from_millis(row.created_at),
            seen: row.seen,
        }
    }
}

macro_rules! notes {
    ($rest:literal) => {
        concat!(
            "SELECT n.id, f.name AS from_name, n.to_id, t.name AS to_name, n.job_id, job.code,
                    n.head_id, opening.mark || ' ' || head.name AS head_name, n.words, n.created_at,
                    EXISTS (SELECT 1 FROM note_seen s WHERE s.note_id = n.id) AS seen
             FROM note n JOIN user f ON f.id = n.created_by LEFT JOIN user t ON t.id = n.to_id
             JOIN job ON job.id = n.job_id
             LEFT JOIN head ON head.id = n.head_id LEFT JOIN opening ON opening.id = head.opening_id ",
            $rest
        )
    };
}

/// A job's notes, the newest first.
///
/// # Errors
/// The database's.
pub async fn of_job(pool: &SqlitePool, job: JobId) -> Result<Vec<Note>, StoreError> {
    let rows: Vec<NoteRow> =
        sqlx::query_as(notes!("WHERE n.job_id = ? ORDER BY n.id DESC LIMIT 300"))
            .bind(job.get())
            .fetch_all(pool)
            .await?;
    Ok(rows.into_iter().map(Note::from).collect())
}

/// Notes for one person that were not seen yet, the oldest first.
///
/// # Errors
/// The database's.
pub async fn waiting(pool: &SqlitePool, user: UserId) -> Result<Vec<Note>, StoreError> {
    let rows: Vec<NoteRow> = sqlx::query_as(notes!(
        "WHERE n.to_id = ? AND NOT EXISTS (SELECT 1 FROM note_seen s WHERE s.note_id = n.id)
         ORDER BY n.id LIMIT 100"
    ))
    .bind(user.get())
    .fetch_all(pool)
    .await?;
    Ok(rows.into_iter().map(Note::from).collect())
}

/// Adds a note.
///
/// # Errors
/// The database's.
pub async fn add(
    tx: &mut Tx,
    made: Made,
    (job, head): (JobId, Option<HeadId>),
    to: Option<UserId>,
    words: &str,
) -> Result<NoteId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO note (created_at, created_by, job_id, head_id, to_id, words) VALUES (?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(job.get())
    .bind(head.map(HeadId::get))
    .bind(to.map(UserId::get))
    .bind(words)
    .execute(&mut **tx)
    .await?;
    Ok(NoteId::new(done.last_insert_rowid()))
}

/// Whoever it is for has seen it.
///
/// # Errors
/// `Missing` if it is not for this person; the database's.
pub async fn see(tx: &mut Tx, made: Made, id: NoteId, user: UserId) -> Result<(), StoreError> {
    let mine: Option<i64> = sqlx::query_scalar("SELECT id FROM note WHERE id = ? AND to_id = ?")
        .bind(id.get())
        .bind(user.get())
        .fetch_optional(&mut **tx)
        .await?;
    mine.ok_or(StoreError::Missing("note"))?;
    sqlx::query("INSERT OR IGNORE INTO note_seen (note_id, seen_at, seen_by) VALUES (?, ?, ?)")
        .bind(id.get())
        .bind(made.at.millis())
        .bind(user.get())
        .execute(&mut **tx)
        .await?;
    Ok(())
}
