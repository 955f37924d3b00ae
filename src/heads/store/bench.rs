//! Facts from the saw and the bench: ticks and as-built measures.

use serde_json::Value;
use sqlx::{FromRow, SqliteConnection, SqlitePool};

use crate::access::Made;
use crate::db::{Stamp, StoreError, Tx};
use crate::heads::model::{HeadId, Tick};

/// The bench's measures as last written down; `None` if there are none or the
/// head went back to its design.
///
/// # Errors
/// `Unreadable` if the stored JSON no longer parses.
pub async fn as_built(pool: &SqlitePool, id: HeadId) -> Result<Option<Value>, StoreError> {
    let row: Option<(i64, String)> = sqlx::query_as(
        "SELECT id, as_built FROM measured WHERE head_id = ? ORDER BY id DESC LIMIT 1",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?;
    let Some((row, text)) = row else {
        return Ok(None);
    };
    let value: Value = serde_json::from_str(&text)
        .map_err(|why| StoreError::unreadable("measured", "as_built", row, why))?;
    Ok((!value.is_null()).then_some(value))
}

#[derive(FromRow)]
struct TickRow {
    label: String,
    who: Option<String>,
    created_at: i64,
}

/// The pieces of this version of the sheet that are done.
///
/// # Errors
/// The database's.
pub async fn ticks(
    pool: &SqlitePool,
    id: HeadId,
    sheet_version: i64,
) -> Result<Vec<Tick>, StoreError> {
    let mut conn = pool.acquire().await?;
    ticks_in(&mut conn, id, sheet_version).await
}

/// The version of a head's sheet, inside a transaction.
///
/// # Errors
/// `Missing`, the database's.
pub async fn sheet_version(conn: &mut SqliteConnection, id: HeadId) -> Result<i64, StoreError> {
    let found: Option<i64> = sqlx::query_scalar("SELECT sheet_version FROM head WHERE id = ?")
        .bind(id.get())
        .fetch_optional(conn)
        .await?;
    found.ok_or(StoreError::Missing("head"))
}

/// As [`ticks`], inside a transaction.
///
/// # Errors
/// The database's.
pub async fn ticks_in(
    conn: &mut SqliteConnection,
    id: HeadId,
    sheet_version: i64,
) -> Result<Vec<Tick>, StoreError> {
    let rows: Vec<TickRow> = sqlx::query_as(
        "SELECT t.label, user.name AS who, t.created_at FROM piece_tick t
         LEFT JOIN user ON user.id = t.created_by
         WHERE t.head_id = ?1 AND t.sheet_version = ?2 AND t.done = 1
           AND t.id = (SELECT max(id) FROM piece_tick l
                       WHERE l.head_id = ?1 AND l.sheet_version = ?2 AND l.label = t.label)
         ORDER BY t.id",
    )
    .bind(id.get())
    .bind(sheet_version)
    .fetch_all(conn)
    .await?;
    let tick = |row: TickRow| Tick {
        label: row.label,
        who: row.who,
        at: Stamp::from_millis(row.created_at),
    };
    Ok(rows.into_iter().map(tick).collect())
}

/// Adds a tick, or takes one back: a row either way.
///
/// # Errors
/// `Stale` if the sheet is another one by now, `Missing`, the database's.
pub async fn tick(
    tx: &mut Tx,
    made: Made,
    (id, sheet_version): (HeadId, i64),
    label: &str,
    done: bool,
) -> Result<(), StoreError> {
    let now: Option<i64> = sqlx::query_scalar("SELECT sheet_version FROM head WHERE id = ?")
        .bind(id.get())
        .fetch_optional(&mut **tx)
        .await?;
    match now {
        None => return Err(StoreError::Missing("head")),
        Some(now) if now != sheet_version => return Err(StoreError::Stale("cut sheet")),
        Some(_) => {}
    }
    sqlx::query(
        "INSERT INTO piece_tick (created_at, created_by, head_id, sheet_version, label, done)
         VALUES (?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(id.get())
    .bind(sheet_version)
    .bind(label)
    .bind(done)
    .execute(&mut **tx)
    .await?;
    Ok(())
}
