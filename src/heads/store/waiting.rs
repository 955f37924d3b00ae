//! Heads that wait for somebody: for Today, and for the guard of jobs.

use sqlx::{FromRow, SqlitePool};

use super::CardRow;
use crate::db::StoreError;
use crate::heads::model::Card;
use crate::heads::steps::StepId;

#[derive(FromRow)]
struct WaitingRow {
    #[sqlx(flatten)]
    card: CardRow,
    next_id: Option<i64>,
}

fn in_words(rows: Vec<WaitingRow>) -> Vec<(Card, Option<StepId>)> {
    rows.into_iter()
        .map(|row| (row.card.into(), row.next_id.map(StepId::new)))
        .collect()
}

/// Live heads whose next needed step is given to this person, the furthest
/// along first.
///
/// # Errors
/// The database's.
pub async fn waiting_for(
    pool: &SqlitePool,
    user: i64,
) -> Result<Vec<(Card, Option<StepId>)>, StoreError> {
    let rows: Vec<WaitingRow> = sqlx::query_as(cards!(
        ", next.id AS next_id",
        "JOIN head_step next ON next.position =
                   (SELECT min(s.position) FROM head_step s WHERE s.position > head_step.position
                    AND s.retired_at IS NULL
                    AND NOT EXISTS (SELECT 1 FROM head_stage g WHERE g.head_id = head.id
                                    AND g.step_id = s.id AND g.not_needed = 1))
              JOIN head_stage given ON given.head_id = head.id AND given.step_id = next.id
         WHERE given.assignee_id = ? AND head.archived_at IS NULL
         ORDER BY head.held_reason IS NOT NULL, head_step.position DESC, job.first_day, job.code,
                  length(opening.mark), opening.mark LIMIT 200"
    ))
    .bind(user)
    .fetch_all(pool)
    .await?;
    Ok(in_words(rows))
}

/// Live heads that are held, of the jobs this person leads or of all.
///
/// # Errors
/// The database's.
pub async fn held(pool: &SqlitePool, leads: Option<i64>) -> Result<Vec<Card>, StoreError> {
    let rows: Vec<CardRow> = sqlx::query_as(cards!(
        r"WHERE head.held_reason IS NOT NULL AND head.archived_at IS NULL
           AND (?1 IS NULL OR job.foreman_id = ?1)
         ORDER BY job.code, length(opening.mark), opening.mark LIMIT 50"
    ))
    .bind(leads)
    .fetch_all(pool)
    .await?;
    Ok(rows.into_iter().map(Card::from).collect())
}

/// Live heads whose next needed step is a carpenter's and given to nobody.
///
/// # Errors
/// The database's.
pub async fn unassigned(
    pool: &SqlitePool,
    leads: Option<i64>,
) -> Result<Vec<(Card, Option<StepId>)>, StoreError> {
    let rows: Vec<WaitingRow> = sqlx::query_as(cards!(
        ", next.id AS next_id",
        "JOIN head_step next ON next.position =
                   (SELECT min(s.position) FROM head_step s WHERE s.position > head_step.position
                    AND s.retired_at IS NULL
                    AND NOT EXISTS (SELECT 1 FROM head_stage g WHERE g.head_id = head.id
                                    AND g.step_id = s.id AND g.not_needed = 1))
              LEFT JOIN head_stage given ON given.head_id = head.id AND given.step_id = next.id
         WHERE next.by_hand = 1 AND given.assignee_id IS NULL AND head.held_reason IS NULL
           AND head.archived_at IS NULL AND (?1 IS NULL OR job.foreman_id = ?1)
         ORDER BY job.first_day, job.code, length(opening.mark), opening.mark LIMIT 50"
    ))
    .bind(leads)
    .fetch_all(pool)
    .await?;
    Ok(in_words(rows))
}

/// Live heads whose next needed step nobody does by hand: those the office
/// records, or the others; in the order of the steps.
///
/// # Errors
/// The database's.
pub async fn at_the_desk(
    pool: &SqlitePool,
    leads: Option<i64>,
    by_office: bool,
) -> Result<Vec<(Card, Option<StepId>)>, StoreError> {
    let rows: Vec<WaitingRow> = sqlx::query_as(cards!(
        ", next.id AS next_id",
        "JOIN head_step next ON next.position =
                   (SELECT min(s.position) FROM head_step s WHERE s.position > head_step.position
                    AND s.retired_at IS NULL
                    AND NOT EXISTS (SELECT 1 FROM head_stage g WHERE g.head_id = head.id
                                    AND g.step_id = s.id AND g.not_needed = 1))
         WHERE next.by_hand = 0 AND next.by_office = ?2 AND head.held_reason IS NULL
           AND head.archived_at IS NULL AND (?1 IS NULL OR job.foreman_id = ?1)
         ORDER BY next.position, job.first_day, job.code, length(opening.mark), opening.mark
         LIMIT 100"
    ))
    .bind(leads)
    .bind(by_office)
    .fetch_all(pool)
    .await?;
    Ok(in_words(rows))
}

/// The openings over which this person has a step of a live head.
///
/// # Errors
/// The database's.
pub async fn openings_assigned(pool: &SqlitePool, user: i64) -> Result<Vec<i64>, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT DISTINCT head.opening_id FROM head_stage JOIN head ON head.id = head_stage.head_id
         WHERE head_stage.assignee_id = ? AND head.archived_at IS NULL",
    )
    .bind(user)
    .fetch_all(pool)
    .await?)
}

/// The live heads of which this person has a step.
///
/// # Errors
/// The database's.
pub async fn heads_assigned(pool: &SqlitePool, user: i64) -> Result<Vec<i64>, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT DISTINCT head_id FROM head_stage JOIN head ON head.id = head_stage.head_id
         WHERE head_stage.assignee_id = ? AND head.archived_at IS NULL",
    )
    .bind(user)
    .fetch_all(pool)
    .await?)
}

/// The jobs on which this person has a step of a live head.
///
/// # Errors
/// The database's.
pub async fn jobs_assigned(pool: &SqlitePool, user: i64) -> Result<Vec<i64>, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT DISTINCT opening.job_id FROM head_stage
         JOIN head ON head.id = head_stage.head_id JOIN opening ON opening.id = head.opening_id
         WHERE head_stage.assignee_id = ? AND head.archived_at IS NULL",
    )
    .bind(user)
    .fetch_all(pool)
    .await?)
}
