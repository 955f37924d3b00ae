//! Signed checklists: rows are added and never touched again.

use sqlx::{FromRow, SqlitePool};

use crate::access::Made;
use crate::db::{Stamp, StoreError, Tx};
use crate::heads::HeadId;
use crate::jobs::JobId;
use crate::safety::model::{ChecklistId, NewChecklist, Signed, TemplateId};

#[derive(FromRow)]
struct SignedRow {
    id: i64,
    template_id: i64,
    title: String,
    source: String,
    job_id: i64,
    head_id: Option<i64>,
    day: String,
    clear: bool,
    answers: String,
    note: String,
    who: String,
    created_at: i64,
}

impl TryFrom<SignedRow> for Signed {
    type Error = StoreError;

    fn try_from(row: SignedRow) -> Result<Self, StoreError> {
        Ok(Self {
            id: ChecklistId::new(row.id),
            template: TemplateId::new(row.template_id),
            title: row.title,
            source: row.source,
            job: JobId::new(row.job_id),
            head: row.head_id.map(HeadId::new),
            day: row.day,
            clear: row.clear,
            answers: serde_json::from_str(&row.answers)
                .map_err(|why| StoreError::unreadable("checklist", "answers", row.id, why))?,
            note: row.note,
            who: row.who,
            at: Stamp::from_millis(row.created_at),
        })
    }
}

macro_rules! signed {
    ($rest:literal) => {
        concat!(
            "SELECT c.id, c.template_id, e.title, e.source, c.job_id, c.head_id, c.day, c.clear,
                    c.answers, c.note, u.name AS who, c.created_at
             FROM checklist c JOIN user u ON u.id = c.created_by
             JOIN checklist_edition e ON e.template_id = c.template_id AND e.edition = c.edition ",
            $rest
        )
    };
}

/// Signs a checklist.
///
/// # Errors
/// `Stale` if the questions were changed meanwhile; the database's.
pub async fn sign(tx: &mut Tx, made: Made, new: &NewChecklist) -> Result<ChecklistId, StoreError> {
    let now: Option<i64> =
        sqlx::query_scalar("SELECT version FROM checklist_template WHERE id = ?")
            .bind(new.template.get())
            .fetch_optional(&mut **tx)
            .await?;
    if now != Some(new.edition) {
        return Err(StoreError::Stale("checklist"));
    }
    let answers = serde_json::to_string(&new.answers)
        .map_err(|why| StoreError::unreadable("checklist", "answers", 0, why))?;
    let done = sqlx::query(
        "INSERT INTO checklist (created_at, created_by, template_id, edition, job_id, head_id, day,
                                clear, answers, note)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(new.template.get())
    .bind(new.edition)
    .bind(new.job.get())
    .bind(new.head.map(HeadId::get))
    .bind(new.day.to_string())
    .bind(new.is_clear())
    .bind(answers)
    .bind(&new.note)
    .execute(&mut **tx)
    .await?;
    Ok(ChecklistId::new(done.last_insert_rowid()))
}

/// One signed checklist.
///
/// # Errors
/// `Missing`, the database's.
pub async fn checklist(pool: &SqlitePool, id: ChecklistId) -> Result<Signed, StoreError> {
    let row: Option<SignedRow> = sqlx::query_as(signed!("WHERE c.id = ?"))
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("checklist"))?.try_into()
}

/// What was signed for a job, the newest first. Of each checklist and head the
/// newest row of today and the newest of all are in it, however long ago: the
/// first that fits is the one that counts. With them the last sixty of all.
///
/// # Errors
/// The database's.
pub async fn of_job(pool: &SqlitePool, job: JobId, today: &str) -> Result<Vec<Signed>, StoreError> {
    let rows: Vec<SignedRow> = sqlx::query_as(signed!(
        "WHERE c.id IN (SELECT max(id) FROM checklist WHERE job_id = ?1
                        GROUP BY template_id, head_id, day = ?2)
            OR c.id IN (SELECT id FROM checklist WHERE job_id = ?1 ORDER BY id DESC LIMIT 60)
         ORDER BY c.id DESC"
    ))
    .bind(job.get())
    .bind(today)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// The job of a signed checklist.
///
/// # Errors
/// The database's.
pub async fn job_of(pool: &SqlitePool, id: i64) -> Result<Option<i64>, StoreError> {
    Ok(
        sqlx::query_scalar("SELECT job_id FROM checklist WHERE id = ?")
            .bind(id)
            .fetch_optional(pool)
            .await?,
    )
}
