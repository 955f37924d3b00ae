//! Lumber orders in their tables; what came out of them is in `plans`.

pub mod plans;

use sqlx::SqlitePool;

use crate::access::{Made, Ties, UserId};
use crate::db::{Stamp, StoreError, Tx};
use crate::measure::Length;

use super::model::{Choosable, LumberOrder, OrderCard, OrderFacts, OrderId, Placed};

/// Which orders a list shows.
#[derive(Debug, Clone, Copy, Default)]
pub struct Shown {
    /// Only those all of whose heads are of jobs that this person leads.
    pub led_by: Option<i64>,
    /// Only those with a head that has a step given to this person.
    pub given_to: Option<i64>,
    /// Only those that were placed.
    pub placed: bool,
}

#[derive(sqlx::FromRow)]
struct CardRow {
    id: i64,
    name: String,
    created_at: i64,
    heads: i64,
    jobs: Option<String>,
    round: Option<i64>,
    placed: Option<String>,
}

/// Orders, the newest first.
///
/// # Errors
/// The database's.
pub async fn orders(
    pool: &SqlitePool,
    shown: Shown,
    (most, skip): (i64, i64),
) -> Result<Vec<OrderCard>, StoreError> {
    let rows: Vec<CardRow> = sqlx::query_as(
        "SELECT o.id, o.name, o.created_at,
                (SELECT count(*) FROM lumber_order_head h WHERE h.order_id = o.id) AS heads,
                (SELECT group_concat(code, ', ') FROM (
                    SELECT DISTINCT job.code FROM lumber_order_head h
                    JOIN head ON head.id = h.head_id JOIN opening ON opening.id = head.opening_id
                    JOIN job ON job.id = opening.job_id WHERE h.order_id = o.id ORDER BY job.code)) AS jobs,
                (SELECT max(round) FROM lumber_solve s WHERE s.order_id = o.id) AS round,
                (SELECT what FROM lumber_event e WHERE e.order_id = o.id ORDER BY nth DESC LIMIT 1) AS placed
         FROM lumber_order o
         WHERE o.archived_at IS NULL
           AND (?1 IS NULL OR NOT EXISTS (
                SELECT 1 FROM lumber_order_head h JOIN head ON head.id = h.head_id
                JOIN opening ON opening.id = head.opening_id JOIN job ON job.id = opening.job_id
                WHERE h.order_id = o.id AND job.foreman_id IS NOT ?1))
           AND (?2 IS NULL OR EXISTS (
                SELECT 1 FROM lumber_order_head h JOIN head_stage s ON s.head_id = h.head_id
                WHERE h.order_id = o.id AND s.assignee_id = ?2))
           AND (?3 = 0 OR placed = 'placed')
         ORDER BY o.id DESC LIMIT ?4 OFFSET ?5",
    )
    .bind(shown.led_by)
    .bind(shown.given_to)
    .bind(shown.placed)
    .bind(most)
    .bind(skip)
    .fetch_all(pool)
    .await?;
    let card = |row: CardRow| OrderCard {
        id: OrderId::new(row.id),
        name: row.name,
        at: Stamp::from_millis(row.created_at),
        heads: row.heads,
        jobs: row.jobs.unwrap_or_default(),
        round: row.round.unwrap_or(0),
        placed: row.placed.as_deref() == Some("placed"),
    };
    Ok(rows.into_iter().map(card).collect())
}

#[derive(sqlx::FromRow)]
struct OrderRow {
    name: String,
    spare: i64,
    end_trim_nm: i64,
    seconds: i64,
    created_at: i64,
    by: Option<String>,
    round: Option<i64>,
}

#[derive(sqlx::FromRow)]
struct PlacedRow {
    id: i64,
    round: i64,
    what: String,
    created_at: i64,
    by: Option<String>,
}

/// One order.
///
/// # Errors
/// `Missing`; the database's.
pub async fn order(pool: &SqlitePool, id: OrderId) -> Result<LumberOrder, StoreError> {
    let row: Option<OrderRow> = sqlx::query_as(
        "SELECT o.name, o.spare, o.end_trim_nm, o.seconds, o.created_at, user.name AS by,
                (SELECT max(round) FROM lumber_solve s WHERE s.order_id = o.id) AS round
         FROM lumber_order o LEFT JOIN user ON user.id = o.created_by WHERE o.id = ?",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?;
    let row = row.ok_or(StoreError::Missing("lumber order"))?;
    let heads: Vec<i64> = sqlx::query_scalar(
        "SELECT h.head_id FROM lumber_order_head h JOIN head ON head.id = h.head_id
         JOIN opening ON opening.id = head.opening_id JOIN job ON job.id = opening.job_id
         WHERE h.order_id = ? ORDER BY job.code, length(opening.mark), opening.mark, head.id",
    )
    .bind(id.get())
    .fetch_all(pool)
    .await?;
    let event: Option<PlacedRow> = sqlx::query_as(
        "SELECT e.id, e.round, e.what, e.created_at, user.name AS by
         FROM lumber_event e LEFT JOIN user ON user.id = e.created_by
         WHERE e.order_id = ? ORDER BY e.nth DESC LIMIT 1",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?;
    let placed = event.filter(|e| e.what == "placed").map(|e| Placed {
        event: e.id,
        round: e.round,
        at: Stamp::from_millis(e.created_at),
        by: e.by,
    });
    Ok(LumberOrder {
        id,
        at: Stamp::from_millis(row.created_at),
        by: row.by,
        round: row.round.unwrap_or(0),
        placed,
        facts: OrderFacts {
            name: row.name,
            spare: row.spare,
            end_trim: Length::from_nanometres(row.end_trim_nm),
            seconds: row.seconds,
            heads,
        },
    })
}

/// Begins an order.
///
/// # Errors
/// The database's.
pub async fn add_order(tx: &mut Tx, made: Made, facts: &OrderFacts) -> Result<OrderId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO lumber_order (name, spare, end_trim_nm, seconds, created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?)",
    )
    .bind(&facts.name)
    .bind(facts.spare)
    .bind(facts.end_trim.nanometres())
    .bind(facts.seconds)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    let id = OrderId::new(done.last_insert_rowid());
    for head in &facts.heads {
        sqlx::query("INSERT INTO lumber_order_head (order_id, head_id) VALUES (?, ?)")
            .bind(id.get())
            .bind(head)
            .execute(&mut **tx)
            .await?;
    }
    Ok(id)
}

/// A person's ties to an order: own if every head is of a job that the person
/// leads, assigned if a step of one is given to them. `None` if there is none.
///
/// # Errors
/// The database's.
pub async fn ties(pool: &SqlitePool, user: UserId, id: i64) -> Result<Option<Ties>, StoreError> {
    let row: Option<(bool, bool)> = sqlx::query_as(
        "SELECT NOT EXISTS (
                    SELECT 1 FROM lumber_order_head h JOIN head ON head.id = h.head_id
                    JOIN opening ON opening.id = head.opening_id JOIN job ON job.id = opening.job_id
                    WHERE h.order_id = o.id AND job.foreman_id IS NOT ?1),
                EXISTS (
                    SELECT 1 FROM lumber_order_head h JOIN head_stage s ON s.head_id = h.head_id
                    WHERE h.order_id = o.id AND s.assignee_id = ?1)
         FROM lumber_order o WHERE o.id = ?2",
    )
    .bind(user.get())
    .bind(id)
    .fetch_optional(pool)
    .await?;
    Ok(row.map(|(own, assigned)| Ties { own, assigned }))
}

#[derive(sqlx::FromRow)]
struct ChoosableRow {
    id: i64,
    job_id: i64,
    job_words: String,
    mark: String,
    name: String,
    step: String,
    ordered: bool,
}

/// The live heads that an order may take in, of the jobs that a foreman leads
/// or of all.
///
/// # Errors
/// The database's.
pub async fn choosable(
    pool: &SqlitePool,
    led_by: Option<i64>,
) -> Result<Vec<Choosable>, StoreError> {
    let rows: Vec<ChoosableRow> = sqlx::query_as(
        "SELECT head.id, job.id AS job_id, job.code || ' · ' || job.title AS job_words, opening.mark,
                head.name, head_step.name AS step,
                EXISTS (SELECT 1 FROM lumber_order_head h JOIN lumber_event e ON e.order_id = h.order_id
                        WHERE h.head_id = head.id AND e.what = 'placed'
                          AND e.nth = (SELECT max(nth) FROM lumber_event m WHERE m.order_id = h.order_id))
                    AS ordered
         FROM head JOIN opening ON opening.id = head.opening_id
         JOIN job ON job.id = opening.job_id JOIN head_step ON head_step.id = head.step_id
         WHERE head.archived_at IS NULL AND job.archived_at IS NULL
           AND (?1 IS NULL OR job.foreman_id = ?1)
         ORDER BY job.code, length(opening.mark), opening.mark, head.id LIMIT 2000",
    )
    .bind(led_by)
    .fetch_all(pool)
    .await?;
    let head = |row: ChoosableRow| Choosable {
        id: row.id,
        job: row.job_id,
        job_words: row.job_words,
        mark: row.mark,
        name: row.name,
        step: row.step,
        ordered: row.ordered,
    };
    Ok(rows.into_iter().map(head).collect())
}

/// Heads that have a step given to this person.
///
/// # Errors
/// The database's.
pub async fn heads_given(pool: &SqlitePool, user: UserId) -> Result<Vec<i64>, StoreError> {
    Ok(
        sqlx::query_scalar("SELECT DISTINCT head_id FROM head_stage WHERE assignee_id = ?")
            .bind(user.get())
            .fetch_all(pool)
            .await?,
    )
}
