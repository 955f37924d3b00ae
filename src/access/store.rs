//! People and invites in the database; sessions and misses in the files below.

mod misses;
mod sessions;

use sqlx::SqlitePool;

use crate::db::{Stamp, StoreError, Tx};

use super::model::INVITE_LIFE;
use super::{Invite, InviteId, Made, Person, Role, UserId};

pub use misses::{Attempt, begin_attempt, forget_old_misses, forgive};
pub use sessions::{
    Held, add_session, asked_again, end_by_token, end_other_sessions, end_session, forget_ended,
    session_of, sessions, touch_session,
};

#[derive(sqlx::FromRow)]
struct Row {
    id: i64,
    sign_in: String,
    name: String,
    phone: String,
    role: String,
    disabled_at: Option<i64>,
    version: i64,
}

fn role_of(table: &'static str, row: i64, word: &str) -> Result<Role, StoreError> {
    Role::from_word(word)
        .ok_or_else(|| StoreError::unreadable(table, "role", row, format_args!("no role {word:?}")))
}

impl TryFrom<Row> for Person {
    type Error = StoreError;

    fn try_from(row: Row) -> Result<Self, StoreError> {
        Ok(Self {
            id: UserId::new(row.id),
            role: role_of("user", row.id, &row.role)?,
            sign_in: row.sign_in,
            name: row.name,
            phone: row.phone,
            disabled_at: row.disabled_at.map(Stamp::from_millis),
            version: row.version,
        })
    }
}

/// Everyone, by name.
///
/// # Errors
/// The database's.
pub async fn people(pool: &SqlitePool) -> Result<Vec<Person>, StoreError> {
    sqlx::query_as::<_, Row>(
        "SELECT id, sign_in, name, phone, role, disabled_at, version FROM user
         ORDER BY disabled_at IS NOT NULL, name, id",
    )
    .fetch_all(pool)
    .await?
    .into_iter()
    .map(Person::try_from)
    .collect()
}

/// One person.
///
/// # Errors
/// `Missing`; the database's.
pub async fn person(pool: &SqlitePool, id: UserId) -> Result<Person, StoreError> {
    sqlx::query_as::<_, Row>(
        "SELECT id, sign_in, name, phone, role, disabled_at, version FROM user WHERE id = ?",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?
    .ok_or(StoreError::Missing("person"))?
    .try_into()
}

/// How many people there are.
pub async fn count_people(pool: &SqlitePool) -> Result<i64, StoreError> {
    Ok(sqlx::query_scalar("SELECT count(*) FROM user")
        .fetch_one(pool)
        .await?)
}

/// A person to add: sign-in name, name, role, hash.
pub struct NewPerson<'a> {
    /// What they sign in with, lower case.
    pub sign_in: &'a str,
    /// Their name.
    pub name: &'a str,
    /// Their role.
    pub role: Role,
    /// Their password's hash.
    pub hash: &'a str,
}

/// Adds a person.
///
/// # Errors
/// `Taken("sign-in name")`; the database's.
pub async fn add_person(
    tx: &mut Tx,
    new: &NewPerson<'_>,
    made: Made,
) -> Result<UserId, StoreError> {
    let id: Option<i64> = sqlx::query_scalar(
        "INSERT INTO user (sign_in, name, role, password_hash, created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?) RETURNING id",
    )
    .bind(new.sign_in)
    .bind(new.name)
    .bind(new.role.word())
    .bind(new.hash)
    .bind(made.at.millis())
    .bind(made.user())
    .fetch_one(&mut **tx)
    .await
    .map_err(StoreError::taken("sign-in name"))?;
    id.map(UserId::new)
        .ok_or(StoreError::Missing("new person's id"))
}

/// Id, hash and role of whoever may sign in under this name.
pub async fn credentials(
    pool: &SqlitePool,
    sign_in: &str,
) -> Result<Option<(UserId, String, Role)>, StoreError> {
    let row: Option<(i64, String, String)> = sqlx::query_as(
        "SELECT id, password_hash, role FROM user WHERE sign_in = ? AND disabled_at IS NULL",
    )
    .bind(sign_in)
    .fetch_optional(pool)
    .await?;
    row.map(|(id, hash, role)| Ok((UserId::new(id), hash, role_of("user", id, &role)?)))
        .transpose()
}

/// The stored hash of one person.
pub async fn hash_of(pool: &SqlitePool, id: UserId) -> Result<Option<String>, StoreError> {
    Ok(
        sqlx::query_scalar("SELECT password_hash FROM user WHERE id = ?")
            .bind(id.get())
            .fetch_optional(pool)
            .await?,
    )
}

/// Replaces a person's password hash.
///
/// # Errors
/// The database's.
pub async fn set_password(tx: &mut Tx, id: UserId, hash: &str) -> Result<(), StoreError> {
    sqlx::query("UPDATE user SET password_hash = ? WHERE id = ?")
        .bind(hash)
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Changes name, telephone and role of a person at `version`. A changed role
/// ends all the person's sessions.
///
/// # Errors
/// `Stale` if the version moved on; the database's.
pub async fn save_person(
    tx: &mut Tx,
    id: UserId,
    version: i64,
    (name, phone, role): (&str, &str, Role),
) -> Result<(), StoreError> {
    sqlx::query(
        "DELETE FROM session WHERE user_id = ? AND EXISTS
                 (SELECT 1 FROM user WHERE id = ? AND version = ? AND role <> ?)",
    )
    .bind(id.get())
    .bind(id.get())
    .bind(version)
    .bind(role.word())
    .execute(&mut **tx)
    .await?;
    let done = sqlx::query(
        "UPDATE user SET name = ?, phone = ?, role = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(name)
    .bind(phone)
    .bind(role.word())
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "person")
}

/// Changes one's own name and telephone at `version`.
///
/// # Errors
/// `Stale` if the version moved on; the database's.
pub async fn save_profile(
    tx: &mut Tx,
    id: UserId,
    version: i64,
    (name, phone): (&str, &str),
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE user SET name = ?, phone = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(name)
    .bind(phone)
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "person")
}

/// Changes a role from the console, and ends the person's sessions.
///
/// # Errors
/// The database's.
pub async fn set_role(tx: &mut Tx, id: UserId, role: Role) -> Result<(), StoreError> {
    sqlx::query("UPDATE user SET role = ?, version = version + 1 WHERE id = ?")
        .bind(role.word())
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    sessions::end_all(tx, id).await
}

/// Shuts a person out at once, or lets them in again.
///
/// # Errors
/// `Stale` if the version moved on; the database's.
pub async fn set_disabled(
    tx: &mut Tx,
    id: UserId,
    version: i64,
    since: Option<Stamp>,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE user SET disabled_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(since.map(Stamp::millis))
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "person")?;
    sessions::end_all(tx, id).await
}

/// Owners who may sign in: the last one can neither be shut out nor demoted.
pub async fn count_owners(tx: &mut Tx) -> Result<i64, StoreError> {
    Ok(
        sqlx::query_scalar(
            "SELECT count(*) FROM user WHERE role = 'owner' AND disabled_at IS NULL",
        )
        .fetch_one(&mut **tx)
        .await?,
    )
}

/// Adds an invite, its code kept as a SHA-256.
///
/// # Errors
/// The database's.
pub async fn invite(
    tx: &mut Tx,
    (name, role): (&str, Role),
    code_sha: &[u8; 32],
    made: Made,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO invite (code_sha, name, role, created_at, created_by) VALUES (?, ?, ?, ?, ?)",
    )
    .bind(code_sha.as_slice())
    .bind(name)
    .bind(role.word())
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    Ok(())
}

type InviteRow = (i64, String, String, i64);

fn invite_of((id, name, role, at): InviteRow) -> Result<Invite, StoreError> {
    Ok(Invite {
        id: InviteId::new(id),
        name,
        role: role_of("invite", id, &role)?,
        ends_at: Stamp::from_millis(at).plus(INVITE_LIFE),
    })
}

/// Invites still open at `now`.
///
/// # Errors
/// The database's.
pub async fn invites(pool: &SqlitePool, now: Stamp) -> Result<Vec<Invite>, StoreError> {
    let rows: Vec<InviteRow> = sqlx::query_as(
        "SELECT id, name, role, created_at FROM invite WHERE used_at IS NULL ORDER BY id",
    )
    .fetch_all(pool)
    .await?;
    let open: Result<Vec<Invite>, StoreError> = rows.into_iter().map(invite_of).collect();
    Ok(open?
        .into_iter()
        .filter(|invite| invite.ends_at > now)
        .collect())
}

/// The open invite of a code, if it is still good at `now`.
pub async fn invite_by_code(
    pool: &SqlitePool,
    code_sha: &[u8; 32],
    now: Stamp,
) -> Result<Option<Invite>, StoreError> {
    let row: Option<InviteRow> = sqlx::query_as(
        "SELECT id, name, role, created_at FROM invite WHERE code_sha = ? AND used_at IS NULL",
    )
    .bind(code_sha.as_slice())
    .fetch_optional(pool)
    .await?;
    Ok(row
        .map(invite_of)
        .transpose()?
        .filter(|invite| invite.ends_at > now))
}

/// Marks an invite used; false if it was used meanwhile.
pub async fn use_invite(
    tx: &mut Tx,
    id: InviteId,
    by: UserId,
    at: Stamp,
) -> Result<bool, StoreError> {
    let done =
        sqlx::query("UPDATE invite SET used_at = ?, used_by = ? WHERE id = ? AND used_at IS NULL")
            .bind(at.millis())
            .bind(by.get())
            .bind(id.get())
            .execute(&mut **tx)
            .await?;
    Ok(done.rows_affected() == 1)
}

/// Takes an open invite back.
///
/// # Errors
/// `Missing` if there is none open; the database's.
pub async fn withdraw_invite(tx: &mut Tx, id: InviteId, at: Stamp) -> Result<(), StoreError> {
    let done = sqlx::query("UPDATE invite SET used_at = ? WHERE id = ? AND used_at IS NULL")
        .bind(at.millis())
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    if done.rows_affected() == 1 {
        Ok(())
    } else {
        Err(StoreError::Missing("invite"))
    }
}

/// Drops what no longer counts: old misses, sessions past any life, old form keys.
///
/// # Errors
/// The database's.
pub async fn sweep(tx: &mut Tx, now: Stamp) -> Result<(), StoreError> {
    let days = |n: i64| Stamp::from_millis(now.millis() - n * 24 * 3600 * 1000);
    forget_old_misses(tx, days(1)).await?;
    forget_ended(tx, days(31)).await?;
    crate::db::forget_old_keys(tx, days(30)).await?;
    Ok(())
}
