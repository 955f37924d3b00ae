//! Enquiries in their table.

use sqlx::SqlitePool;

use crate::access::{Made, UserId};
use crate::clients::model::{
    ClientId, Email, Enquiry, EnquiryFacts, EnquiryId, EnquiryState, Phone,
};
use crate::db::{Stamp, StoreError, Tx};
use crate::web::ListQuery;

#[derive(sqlx::FromRow)]
struct EnquiryRow {
    id: i64,
    name: String,
    phone: String,
    email: String,
    heard_of: String,
    wants: String,
    day: String,
    state: String,
    reason: String,
    client_id: Option<i64>,
    version: i64,
    archived_at: Option<i64>,
}

impl TryFrom<EnquiryRow> for Enquiry {
    type Error = StoreError;

    fn try_from(row: EnquiryRow) -> Result<Self, StoreError> {
        let bad = |column, why: String| StoreError::unreadable("enquiry", column, row.id, why);
        let state = EnquiryState::from_code(&row.state)
            .ok_or_else(|| bad("state", format!("no state {}", row.state)))?;
        Ok(Self {
            facts: EnquiryFacts {
                phone: Phone::parse(&row.phone).map_err(|why| bad("phone", why.into()))?,
                email: Email::parse(&row.email).map_err(|why| bad("email", why.into()))?,
                day: row.day.parse().map_err(|e| bad("day", format!("{e}")))?,
                name: row.name,
                heard_of: row.heard_of,
                wants: row.wants,
                state,
                reason: row.reason,
            },
            id: EnquiryId::new(row.id),
            client: row.client_id.map(ClientId::new),
            version: row.version,
            archived_at: row.archived_at.map(Stamp::from_millis),
        })
    }
}

/// The enquiry of this id.
///
/// # Errors
/// `Missing` if there is none; the database's.
pub async fn enquiry(pool: &SqlitePool, id: EnquiryId) -> Result<Enquiry, StoreError> {
    let row: Option<EnquiryRow> = sqlx::query_as("SELECT * FROM enquiry WHERE id = ?")
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("enquiry"))?.try_into()
}

/// The enquiries of one page of the list; `state` empty for all.
///
/// # Errors
/// The database's.
pub async fn enquiries(
    pool: &SqlitePool,
    query: &ListQuery,
    state: &str,
) -> Result<Vec<Enquiry>, StoreError> {
    let (most, skip) = query.window();
    let rows: Vec<EnquiryRow> = sqlx::query_as(
        r"SELECT * FROM enquiry
          WHERE (archived_at IS NOT NULL) = ?1
            AND (name LIKE ?2 ESCAPE '\' OR phone LIKE ?2 ESCAPE '\' OR wants LIKE ?2 ESCAPE '\'
                 OR heard_of LIKE ?2 ESCAPE '\')
            AND (?3 = '' OR state = ?3)
          ORDER BY CASE ?4 WHEN 'name' THEN name END COLLATE NOCASE,
                   CASE ?4 WHEN 'heard' THEN heard_of END COLLATE NOCASE, day DESC, id DESC
          LIMIT ?5 OFFSET ?6",
    )
    .bind(query.wants_archived())
    .bind(query.like())
    .bind(state)
    .bind(&query.sort)
    .bind(most)
    .bind(skip)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// The enquiries that led to this client, oldest first.
///
/// # Errors
/// The database's.
pub async fn enquiries_of(pool: &SqlitePool, client: ClientId) -> Result<Vec<Enquiry>, StoreError> {
    let rows: Vec<EnquiryRow> =
        sqlx::query_as("SELECT * FROM enquiry WHERE client_id = ? ORDER BY day, id")
            .bind(client.get())
            .fetch_all(pool)
            .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Live enquiries that nobody has answered, oldest first.
///
/// # Errors
/// The database's.
pub async fn unanswered(pool: &SqlitePool) -> Result<Vec<Enquiry>, StoreError> {
    let rows: Vec<EnquiryRow> = sqlx::query_as(
        "SELECT * FROM enquiry WHERE state = 'new' AND archived_at IS NULL ORDER BY day, id LIMIT 20",
    )
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Adds an enquiry.
///
/// # Errors
/// The database's.
pub async fn add_enquiry(
    tx: &mut Tx,
    made: Made,
    facts: &EnquiryFacts,
) -> Result<EnquiryId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO enquiry (name, phone, email, heard_of, wants, day, state, reason,
                              created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(&facts.name)
    .bind(facts.phone.as_str())
    .bind(facts.email.as_str())
    .bind(&facts.heard_of)
    .bind(&facts.wants)
    .bind(facts.day.to_string())
    .bind(facts.state.code())
    .bind(&facts.reason)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    Ok(EnquiryId::new(done.last_insert_rowid()))
}

/// Writes an enquiry's facts over version `version`.
///
/// # Errors
/// `Stale` if someone else changed it meanwhile.
pub async fn change_enquiry(
    tx: &mut Tx,
    id: EnquiryId,
    version: i64,
    facts: &EnquiryFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE enquiry SET name = ?, phone = ?, email = ?, heard_of = ?, wants = ?, day = ?,
                state = ?, reason = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(&facts.name)
    .bind(facts.phone.as_str())
    .bind(facts.email.as_str())
    .bind(&facts.heard_of)
    .bind(&facts.wants)
    .bind(facts.day.to_string())
    .bind(facts.state.code())
    .bind(&facts.reason)
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "enquiry")
}

/// Puts an enquiry away, or brings it back.
///
/// # Errors
/// `Stale` if someone else changed it meanwhile.
pub async fn archive_enquiry(
    tx: &mut Tx,
    made: Made,
    id: EnquiryId,
    version: i64,
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE enquiry SET archived_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "enquiry")
}

/// Ties an enquiry to the client it became; only one that has none yet.
///
/// # Errors
/// `Stale` if someone else changed it meanwhile.
pub async fn tie_enquiry(
    tx: &mut Tx,
    id: EnquiryId,
    version: i64,
    client: ClientId,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE enquiry SET client_id = ?, version = version + 1
         WHERE id = ? AND version = ? AND client_id IS NULL",
    )
    .bind(client.get())
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "enquiry")
}

/// Moves the client's open enquiries on: to *visit agreed* when a visit is
/// made, to *won* when a job is. One that is further on stays.
///
/// # Errors
/// The database's.
pub async fn move_enquiries_on(
    tx: &mut Tx,
    client: ClientId,
    to: EnquiryState,
) -> Result<(), StoreError> {
    sqlx::query(
        "UPDATE enquiry SET state = ?1, version = version + 1
         WHERE client_id = ?2 AND archived_at IS NULL
           AND (state = 'new' OR (state = 'visit-agreed' AND ?1 = 'won'))",
    )
    .bind(to.code())
    .bind(client.get())
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Whether this foreman has to do with the client that the enquiry became.
/// `None` if there is no such enquiry.
///
/// # Errors
/// The database's.
pub async fn leads_enquiry(
    pool: &SqlitePool,
    user: UserId,
    enquiry: i64,
) -> Result<Option<bool>, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT EXISTS (SELECT 1 FROM job WHERE client_id = enquiry.client_id AND foreman_id = ?1)
             OR EXISTS (SELECT 1 FROM visit WHERE client_id = enquiry.client_id AND goes_id = ?1)
         FROM enquiry WHERE id = ?2",
    )
    .bind(user.get())
    .bind(enquiry)
    .fetch_optional(pool)
    .await?)
}
