//! Clients in their table.

use sqlx::SqlitePool;

use crate::access::{Made, UserId};
use crate::db::{Stamp, StoreError, Tx};
use crate::web::ListQuery;

use super::model::{Client, ClientFacts, ClientId, Email, Phone};

#[derive(sqlx::FromRow)]
struct ClientRow {
    id: i64,
    name: String,
    firm: String,
    phone: String,
    email: String,
    address: String,
    heard_of: String,
    note: String,
    version: i64,
    archived_at: Option<i64>,
}

impl TryFrom<ClientRow> for Client {
    type Error = StoreError;

    fn try_from(row: ClientRow) -> Result<Self, StoreError> {
        let bad = |column, why| StoreError::unreadable("client", column, row.id, why);
        Ok(Self {
            facts: ClientFacts {
                phone: Phone::parse(&row.phone).map_err(|why| bad("phone", why))?,
                email: Email::parse(&row.email).map_err(|why| bad("email", why))?,
                name: row.name,
                firm: row.firm,
                address: row.address,
                heard_of: row.heard_of,
                note: row.note,
            },
            id: ClientId::new(row.id),
            version: row.version,
            archived_at: row.archived_at.map(Stamp::from_millis),
        })
    }
}

/// The client of this id.
///
/// # Errors
/// `Missing` if there is none; the database's.
pub async fn client(pool: &SqlitePool, id: ClientId) -> Result<Client, StoreError> {
    let row: Option<ClientRow> = sqlx::query_as("SELECT * FROM client WHERE id = ?")
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("client"))?.try_into()
}

/// The clients of one page of the list, one more than the page holds if more
/// follow. With `led_by`, only those whom this foreman has to do with.
///
/// # Errors
/// The database's.
pub async fn clients(
    pool: &SqlitePool,
    query: &ListQuery,
    led_by: Option<UserId>,
) -> Result<Vec<Client>, StoreError> {
    let (most, skip) = query.window();
    let rows: Vec<ClientRow> = sqlx::query_as(
        r"SELECT * FROM client
          WHERE (archived_at IS NOT NULL) = ?1
            AND (name LIKE ?2 ESCAPE '\' OR firm LIKE ?2 ESCAPE '\' OR phone LIKE ?2 ESCAPE '\'
                 OR email LIKE ?2 ESCAPE '\' OR address LIKE ?2 ESCAPE '\')
            AND (?3 IS NULL
                 OR EXISTS (SELECT 1 FROM job WHERE client_id = client.id AND foreman_id = ?3)
                 OR EXISTS (SELECT 1 FROM visit WHERE client_id = client.id AND goes_id = ?3))
          ORDER BY CASE ?4 WHEN 'newest' THEN -id END, name COLLATE NOCASE, id
          LIMIT ?5 OFFSET ?6",
    )
    .bind(query.wants_archived())
    .bind(query.like())
    .bind(led_by.map(UserId::get))
    .bind(&query.sort)
    .bind(most)
    .bind(skip)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Every client a job may be made for, by name: id and words.
///
/// # Errors
/// The database's.
pub async fn client_choices(pool: &SqlitePool) -> Result<Vec<(ClientId, String)>, StoreError> {
    let rows: Vec<(i64, String)> = sqlx::query_as(
        "SELECT id, CASE firm WHEN '' THEN name WHEN name THEN name ELSE name || ', ' || firm END
         FROM client WHERE archived_at IS NULL ORDER BY name COLLATE NOCASE, id",
    )
    .fetch_all(pool)
    .await?;
    Ok(rows
        .into_iter()
        .map(|(id, words)| (ClientId::new(id), words))
        .collect())
}

/// Adds a client.
///
/// # Errors
/// The database's.
pub async fn add_client(
    tx: &mut Tx,
    made: Made,
    facts: &ClientFacts,
) -> Result<ClientId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO client (name, firm, phone, email, address, heard_of, note, created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(&facts.name)
    .bind(&facts.firm)
    .bind(facts.phone.as_str())
    .bind(facts.email.as_str())
    .bind(&facts.address)
    .bind(&facts.heard_of)
    .bind(&facts.note)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    Ok(ClientId::new(done.last_insert_rowid()))
}

/// Writes a client's facts over version `version`.
///
/// # Errors
/// `Stale` if someone else changed it meanwhile, `Missing` if there is none.
pub async fn change_client(
    tx: &mut Tx,
    id: ClientId,
    version: i64,
    facts: &ClientFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE client SET name = ?, firm = ?, phone = ?, email = ?, address = ?, heard_of = ?,
                note = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(&facts.name)
    .bind(&facts.firm)
    .bind(facts.phone.as_str())
    .bind(facts.email.as_str())
    .bind(&facts.address)
    .bind(&facts.heard_of)
    .bind(&facts.note)
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "client")
}

/// Puts a client away, or brings it back.
///
/// # Errors
/// As [`change_client`].
pub async fn archive_client(
    tx: &mut Tx,
    made: Made,
    id: ClientId,
    version: i64,
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE client SET archived_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "client")
}

/// Whether this foreman has to do with the client: leads one of their jobs or
/// goes on a visit to them. `None` if there is no such client.
///
/// # Errors
/// The database's.
pub async fn leads_client(
    pool: &SqlitePool,
    user: UserId,
    client: i64,
) -> Result<Option<bool>, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT EXISTS (SELECT 1 FROM job WHERE client_id = client.id AND foreman_id = ?1)
             OR EXISTS (SELECT 1 FROM visit WHERE client_id = client.id AND goes_id = ?1)
         FROM client WHERE id = ?2",
    )
    .bind(user.get())
    .bind(client)
    .fetch_optional(pool)
    .await?)
}

/// Every client's id and name.
///
/// # Errors
/// The database's.
pub async fn client_names(pool: &SqlitePool) -> Result<Vec<(ClientId, String)>, StoreError> {
    let rows: Vec<(i64, String)> = sqlx::query_as("SELECT id, name FROM client ORDER BY id")
        .fetch_all(pool)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(id, name)| (ClientId::new(id), name))
        .collect())
}
