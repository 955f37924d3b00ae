//! Calendar links in their table.

use sqlx::SqlitePool;

use crate::access::{Made, Role, UserId};
use crate::db::{Stamp, StoreError, Tx};

/// When a person's link was made; `None` if there is none.
///
/// # Errors
/// The database's.
pub async fn made_at(pool: &SqlitePool, user: UserId) -> Result<Option<Stamp>, StoreError> {
    let at: Option<i64> =
        sqlx::query_scalar("SELECT created_at FROM calendar_link WHERE user_id = ?")
            .bind(user.get())
            .fetch_optional(pool)
            .await?;
    Ok(at.map(Stamp::from_millis))
}

/// Keeps a person's link by its token's digest; the old one ends.
///
/// # Errors
/// The database's.
pub async fn put(tx: &mut Tx, made: Made, user: UserId, sha: &[u8; 32]) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO calendar_link (user_id, created_at, token_sha) VALUES (?, ?, ?)
         ON CONFLICT (user_id) DO UPDATE SET created_at = excluded.created_at,
                                             token_sha = excluded.token_sha",
    )
    .bind(user.get())
    .bind(made.at.millis())
    .bind(sha.as_slice())
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Ends a person's link.
///
/// # Errors
/// The database's.
pub async fn end(tx: &mut Tx, user: UserId) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM calendar_link WHERE user_id = ?")
        .bind(user.get())
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Whose feed a token opens: nobody's who was shut out.
///
/// # Errors
/// The database's.
pub async fn owner(
    pool: &SqlitePool,
    sha: &[u8; 32],
) -> Result<Option<(UserId, Role)>, StoreError> {
    let row: Option<(i64, String)> = sqlx::query_as(
        "SELECT u.id, u.role FROM calendar_link c JOIN user u ON u.id = c.user_id
         WHERE c.token_sha = ? AND u.disabled_at IS NULL",
    )
    .bind(sha.as_slice())
    .fetch_optional(pool)
    .await?;
    Ok(row.and_then(|(id, role)| Some((UserId::new(id), Role::from_word(&role)?))))
}
