//! Two records every area writes to, each inside the transaction of the effect:
//! what was done (audit), and which form was already taken (posted key).

use sqlx::SqlitePool;

use super::{Stamp, StoreError, Tx};

/// Adds an audit row. `detail` must hold no client data, price or secret.
///
/// # Errors
/// The database's.
pub async fn audit(
    tx: &mut Tx,
    at: Stamp,
    user: Option<i64>,
    event: &str,
    thing: (&str, Option<i64>),
    detail: &serde_json::Value,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO audit (at, user_id, event, thing, thing_id, detail) VALUES (?, ?, ?, ?, ?, ?)",
    )
    .bind(at.millis())
    .bind(user)
    .bind(event)
    .bind(thing.0)
    .bind(thing.1)
    .bind(detail.to_string())
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// One thing done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AuditRow {
    /// When.
    pub at: Stamp,
    /// By whom, by name; nobody for what the console did.
    pub who: Option<String>,
    /// What, as `job.added`.
    pub event: String,
}

/// What was done to one record, oldest first.
///
/// # Errors
/// The database's.
pub async fn audit_of(
    pool: &SqlitePool,
    thing: &str,
    id: i64,
) -> Result<Vec<AuditRow>, StoreError> {
    let rows: Vec<(i64, Option<String>, String)> = sqlx::query_as(
        "SELECT audit.at, user.name, audit.event FROM audit LEFT JOIN user ON user.id = audit.user_id
         WHERE thing = ? AND thing_id = ? ORDER BY audit.id",
    )
    .bind(thing)
    .bind(id)
    .fetch_all(pool)
    .await?;
    Ok(rows
        .into_iter()
        .map(|(at, who, event)| AuditRow {
            at: Stamp::from_millis(at),
            who,
            event,
        })
        .collect())
}

/// The newest things done in the firm.
///
/// # Errors
/// The database's.
pub async fn recent_audit(
    pool: &SqlitePool,
    (limit, offset): (i64, i64),
) -> Result<Vec<AuditRow>, StoreError> {
    let rows: Vec<(i64, Option<String>, String)> = sqlx::query_as(
        "SELECT audit.at, user.name, audit.event FROM audit LEFT JOIN user ON user.id = audit.user_id
         ORDER BY audit.id DESC LIMIT ? OFFSET ?",
    )
    .bind(limit)
    .bind(offset)
    .fetch_all(pool)
    .await?;
    let row = |(at, who, event)| AuditRow {
        at: Stamp::from_millis(at),
        who,
        event,
    };
    Ok(rows.into_iter().map(row).collect())
}

/// When something of this name last happened, if it ever did.
///
/// # Errors
/// The database's.
pub async fn last_of(pool: &SqlitePool, event: &str) -> Result<Option<Stamp>, StoreError> {
    let at: Option<i64> = sqlx::query_scalar("SELECT max(at) FROM audit WHERE event = ?")
        .bind(event)
        .fetch_one(pool)
        .await?;
    Ok(at.map(Stamp::from_millis))
}

/// What is known of a posted key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum KeyState {
    /// Not seen: do the work.
    New,
    /// Done with this very body: give the same reply.
    Done(String),
    /// Used for another body: refuse.
    OtherBody,
}

/// Looks a key up, inside the transaction that would do its work.
///
/// # Errors
/// The database's.
pub async fn key_state(
    tx: &mut Tx,
    user: i64,
    key: &str,
    body_sha: &[u8],
) -> Result<KeyState, StoreError> {
    let row: Option<(Vec<u8>, String)> =
        sqlx::query_as("SELECT body_sha, reply FROM posted_key WHERE user_id = ? AND key = ?")
            .bind(user)
            .bind(key)
            .fetch_optional(&mut **tx)
            .await?;
    Ok(match row {
        None => KeyState::New,
        Some((sha, reply)) if sha == body_sha => KeyState::Done(reply),
        Some(_) => KeyState::OtherBody,
    })
}

/// Keeps a key with the address its reply sends the browser to.
///
/// # Errors
/// The database's.
pub async fn keep_key(
    tx: &mut Tx,
    at: Stamp,
    user: i64,
    key: (&str, &[u8]),
    reply: &str,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO posted_key (user_id, key, body_sha, reply, created_at) VALUES (?, ?, ?, ?, ?)",
    )
    .bind(user)
    .bind(key.0)
    .bind(key.1)
    .bind(reply)
    .bind(at.millis())
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Drops keys older than `before`, so that the table stays small.
///
/// # Errors
/// The database's.
pub async fn forget_old_keys(tx: &mut Tx, before: Stamp) -> Result<u64, StoreError> {
    let done = sqlx::query("DELETE FROM posted_key WHERE created_at < ?")
        .bind(before.millis())
        .execute(&mut **tx)
        .await?;
    Ok(done.rows_affected())
}
