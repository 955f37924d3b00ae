//! Sessions in the database: only the SHA-256 of a token is kept.

use sqlx::SqlitePool;

use crate::db::{Stamp, StoreError, Tx};

use super::super::model::MOST_SESSIONS;
use super::super::{Role, SessionId, SessionRow, UserId};
use super::role_of;

/// A session with what the guard needs of its person.
#[derive(Debug, Clone)]
pub struct Held {
    /// The session.
    pub session: SessionRow,
    /// The person's name.
    pub name: String,
    /// The person's role now.
    pub role: Role,
}

#[derive(sqlx::FromRow)]
struct Row {
    id: i64,
    user_id: i64,
    agent: String,
    created_at: i64,
    seen_at: i64,
    asked_at: i64,
}

impl From<Row> for SessionRow {
    fn from(row: Row) -> Self {
        Self {
            id: SessionId::new(row.id),
            user: UserId::new(row.user_id),
            agent: row.agent,
            created_at: Stamp::from_millis(row.created_at),
            seen_at: Stamp::from_millis(row.seen_at),
            asked_at: Stamp::from_millis(row.asked_at),
        }
    }
}

#[derive(sqlx::FromRow)]
struct HeldRow {
    #[sqlx(flatten)]
    session: Row,
    name: String,
    role: String,
}

/// The session of a token, unless its person is shut out.
pub async fn session_of(pool: &SqlitePool, sha: &[u8; 32]) -> Result<Option<Held>, StoreError> {
    let row: Option<HeldRow> = sqlx::query_as(
        "SELECT session.id, session.user_id, session.agent, session.created_at, session.seen_at,
                session.asked_at, user.name, user.role
         FROM session JOIN user ON user.id = session.user_id
         WHERE session.token_sha = ? AND user.disabled_at IS NULL",
    )
    .bind(sha.as_slice())
    .fetch_optional(pool)
    .await?;
    row.map(|row| {
        let role = role_of("user", row.session.user_id, &row.role)?;
        Ok(Held {
            session: row.session.into(),
            name: row.name,
            role,
        })
    })
    .transpose()
}

/// Adds a session and ends the person's oldest ones beyond five.
pub async fn add_session(
    tx: &mut Tx,
    user: UserId,
    sha: &[u8; 32],
    agent: &str,
    now: Stamp,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO session (user_id, token_sha, agent, created_at, seen_at, asked_at)
         VALUES (?, ?, ?, ?, ?, ?)",
    )
    .bind(user.get())
    .bind(sha.as_slice())
    .bind(agent)
    .bind(now.millis())
    .bind(now.millis())
    .bind(now.millis())
    .execute(&mut **tx)
    .await?;
    sqlx::query(
        "DELETE FROM session WHERE user_id = ? AND id NOT IN
         (SELECT id FROM session WHERE user_id = ? ORDER BY id DESC LIMIT ?)",
    )
    .bind(user.get())
    .bind(user.get())
    .bind(MOST_SESSIONS)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// A person's sessions, newest first.
///
/// # Errors
/// The database's.
pub async fn sessions(pool: &SqlitePool, user: UserId) -> Result<Vec<SessionRow>, StoreError> {
    let rows: Vec<Row> = sqlx::query_as(
        "SELECT id, user_id, agent, created_at, seen_at, asked_at FROM session
         WHERE user_id = ? ORDER BY id DESC",
    )
    .bind(user.get())
    .fetch_all(pool)
    .await?;
    Ok(rows.into_iter().map(SessionRow::from).collect())
}

/// Notes the last use.
pub async fn touch_session(tx: &mut Tx, id: SessionId, now: Stamp) -> Result<(), StoreError> {
    sqlx::query("UPDATE session SET seen_at = ? WHERE id = ?")
        .bind(now.millis())
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// The password was given again: a new token for the session.
pub async fn asked_again(
    tx: &mut Tx,
    id: SessionId,
    sha: &[u8; 32],
    now: Stamp,
) -> Result<(), StoreError> {
    sqlx::query("UPDATE session SET asked_at = ?, seen_at = ?, token_sha = ? WHERE id = ?")
        .bind(now.millis())
        .bind(now.millis())
        .bind(sha.as_slice())
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Ends one session of a person.
///
/// # Errors
/// `Missing` if it is not theirs; the database's.
pub async fn end_session(tx: &mut Tx, user: UserId, id: SessionId) -> Result<(), StoreError> {
    let done = sqlx::query("DELETE FROM session WHERE id = ? AND user_id = ?")
        .bind(id.get())
        .bind(user.get())
        .execute(&mut **tx)
        .await?;
    if done.rows_affected() == 1 {
        Ok(())
    } else {
        Err(StoreError::Missing("session"))
    }
}

/// Ends the session of a token, if there is one.
pub async fn end_by_token(tx: &mut Tx, sha: &[u8; 32]) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM session WHERE token_sha = ?")
        .bind(sha.as_slice())
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Ends every session of a person but one.
pub async fn end_other_sessions(
    tx: &mut Tx,
    user: UserId,
    keep: SessionId,
) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM session WHERE user_id = ? AND id <> ?")
        .bind(user.get())
        .bind(keep.get())
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Ends every session of a person.
pub async fn end_all(tx: &mut Tx, user: UserId) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM session WHERE user_id = ?")
        .bind(user.get())
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Drops sessions begun before `before`: longer than any may live.
pub async fn forget_ended(tx: &mut Tx, before: Stamp) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM session WHERE created_at < ?")
        .bind(before.millis())
        .execute(&mut **tx)
        .await?;
    Ok(())
}
