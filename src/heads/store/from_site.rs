//! Ticks that a phone had queued, and those that met a changed sheet.

use sqlx::{FromRow, SqlitePool};

use crate::access::Made;
use crate::db::{Stamp, StoreError, Tx};
use crate::heads::model::{HeadId, LateTick, LateTickId};

/// A queued tick as the phone sends it.
#[derive(Debug, Clone)]
pub struct SentTick<'a> {
    /// The piece.
    pub label: &'a str,
    /// Of which sheet.
    pub sheet_version: i64,
    /// Cut, or not after all.
    pub done: bool,
    /// When, by the phone's clock.
    pub said_at: Stamp,
    /// The piece stands on the present sheet.
    pub known: bool,
}

/// Writes a queued tick down, and counts it if the sheet is still the same.
/// Gives whether it was too late for that.
///
/// # Errors
/// `Missing`, the database's.
pub async fn take(
    tx: &mut Tx,
    made: Made,
    id: HeadId,
    sent: &SentTick<'_>,
) -> Result<bool, StoreError> {
    let key = (id, sent.sheet_version);
    let late = if sent.known && !overtaken(tx, made, id, sent).await? {
        match super::bench::tick(tx, made, key, sent.label, sent.done).await {
            Ok(()) => false,
            Err(StoreError::Stale(_)) => true,
            Err(other) => return Err(other),
        }
    } else {
        true
    };
    sqlx::query(
        "INSERT INTO site_tick (created_at, created_by, head_id, sheet_version, label, done,
                                said_at, late)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(id.get())
    .bind(sent.sheet_version)
    .bind(sent.label)
    .bind(sent.done)
    .bind(sent.said_at.millis())
    .bind(late)
    .execute(&mut **tx)
    .await?;
    Ok(late)
}

/// Whether somebody else said otherwise of this piece after the phone did: what
/// was done earlier must not undo what came later, so a person decides.
async fn overtaken(
    tx: &mut Tx,
    made: Made,
    id: HeadId,
    sent: &SentTick<'_>,
) -> Result<bool, StoreError> {
    let last: Option<(bool, i64)> = sqlx::query_as(
        "SELECT done, created_at FROM piece_tick
         WHERE head_id = ? AND sheet_version = ? AND label = ? AND created_by IS NOT ?
         ORDER BY id DESC LIMIT 1",
    )
    .bind(id.get())
    .bind(sent.sheet_version)
    .bind(sent.label)
    .bind(made.user())
    .fetch_optional(&mut **tx)
    .await?;
    Ok(last.is_some_and(|(done, at)| done != sent.done && at > sent.said_at.millis()))
}

#[derive(FromRow)]
struct LateRow {
    id: i64,
    label: String,
    sheet_version: i64,
    done: bool,
    said_at: i64,
    who: Option<String>,
}

impl From<LateRow> for LateTick {
    fn from(row: LateRow) -> Self {
        Self {
            id: LateTickId::new(row.id),
            label: row.label,
            sheet_version: row.sheet_version,
            done: row.done,
            said_at: Stamp::from_millis(row.said_at),
            who: row.who,
        }
    }
}

/// Late ticks of a head that nobody has decided about yet.
///
/// # Errors
/// The database's.
pub async fn undecided(pool: &SqlitePool, id: HeadId) -> Result<Vec<LateTick>, StoreError> {
    let rows: Vec<LateRow> = sqlx::query_as(
        "SELECT t.id, t.label, t.sheet_version, t.done, t.said_at, user.name AS who
         FROM site_tick t LEFT JOIN user ON user.id = t.created_by
         WHERE t.head_id = ? AND t.late = 1
           AND NOT EXISTS (SELECT 1 FROM site_tick_look l WHERE l.site_tick_id = t.id)
         ORDER BY t.id",
    )
    .bind(id.get())
    .fetch_all(pool)
    .await?;
    Ok(rows.into_iter().map(LateTick::from).collect())
}

/// Heads with late ticks that nobody has decided about yet, of the jobs this
/// person leads or of all.
///
/// # Errors
/// The database's.
pub async fn heads_to_look_at(
    pool: &SqlitePool,
    leads: Option<i64>,
) -> Result<Vec<(HeadId, String, i64)>, StoreError> {
    let rows: Vec<(i64, String, i64)> = sqlx::query_as(
        "SELECT head.id, job.code || ' ' || opening.mark || ' ' || head.name, count(*)
         FROM site_tick t
         JOIN head ON head.id = t.head_id
         JOIN opening ON opening.id = head.opening_id
         JOIN job ON job.id = opening.job_id
         WHERE t.late = 1 AND head.archived_at IS NULL AND (?1 IS NULL OR job.foreman_id = ?1)
           AND NOT EXISTS (SELECT 1 FROM site_tick_look l WHERE l.site_tick_id = t.id)
         GROUP BY head.id ORDER BY min(t.id) LIMIT 50",
    )
    .bind(leads)
    .fetch_all(pool)
    .await?;
    Ok(rows
        .into_iter()
        .map(|(id, words, count)| (HeadId::new(id), words, count))
        .collect())
}

/// Decides about a late tick of this head. `counts` ticks the piece on the
/// present sheet, whose version was seen.
///
/// # Errors
/// `Missing` for no such late tick, `Taken` if it is decided already, `Stale`
/// if the sheet changed again, the database's.
pub async fn decide_late(
    tx: &mut Tx,
    made: Made,
    (id, sheet_version): (HeadId, i64),
    tick: LateTickId,
    counts: bool,
) -> Result<(), StoreError> {
    let found: Option<(String, bool)> = sqlx::query_as(
        "SELECT label, done FROM site_tick WHERE id = ? AND head_id = ? AND late = 1",
    )
    .bind(tick.get())
    .bind(id.get())
    .fetch_optional(&mut **tx)
    .await?;
    let (label, done) = found.ok_or(StoreError::Missing("late tick"))?;
    sqlx::query(
        "INSERT INTO site_tick_look (created_at, created_by, site_tick_id, counts)
         VALUES (?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(tick.get())
    .bind(counts)
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("decision"))?;
    if counts {
        super::bench::tick(tx, made, (id, sheet_version), &label, done).await?;
    }
    Ok(())
}

/// The last thing that a person's phone sent: when it came.
///
/// # Errors
/// The database's.
pub async fn last_from(pool: &SqlitePool, user: i64) -> Result<Option<Stamp>, StoreError> {
    let at: Option<i64> =
        sqlx::query_scalar("SELECT max(created_at) FROM site_tick WHERE created_by = ?")
            .bind(user)
            .fetch_one(pool)
            .await?;
    Ok(at.map(Stamp::from_millis))
}
