//! The tables of heads: read into private rows, turned into the model.
//!
//! Reading is here; `moves` writes the head and its record, `bench` the facts
//! from the saw and the bench.

/// A `SELECT` of what lists show of heads, and more columns if given.
macro_rules! cards {
    ($rest:literal) => {
        cards!("", $rest)
    };
    ($more:literal, $rest:literal) => {
        concat!(
            "SELECT head.id, head.name, head.kind, head.version, head.sheet_version, head.archived_at,
                    head.opening_id, opening.mark, job.id AS job_id, job.code, job.title,
                    head.step_id, head_step.name AS step_name, head.held_reason",
            $more,
            " FROM head JOIN opening ON opening.id = head.opening_id
                   JOIN job ON job.id = opening.job_id
                   JOIN head_step ON head_step.id = head.step_id ",
            $rest
        )
    };
}

/// The same with the design.
macro_rules! whole_heads {
    ($rest:literal) => {
        cards!(
            ", head.form_version, head.design, head.created_at,
               (SELECT user.name FROM user WHERE user.id = head.created_by) AS created_by_name",
            $rest
        )
    };
}

pub mod bench;
pub mod changes;
pub mod from_site;
pub mod material;
pub mod moves;
pub mod openings;
pub mod saws;
pub mod step_list;
pub mod undo;
pub mod waiting;

use std::collections::BTreeSet;

use serde_json::Value;
use sqlx::{FromRow, SqliteConnection, SqlitePool};

use super::model::{At, Card, Event, FORM_VERSION, Head, HeadId, Place, Stage, What};
use super::steps::{Standing, StepId};
use crate::db::{Stamp, StoreError};

pub use step_list::steps;
use step_list::steps_in;

#[derive(FromRow)]
struct CardRow {
    id: i64,
    name: String,
    kind: String,
    version: i64,
    sheet_version: i64,
    archived_at: Option<i64>,
    opening_id: i64,
    mark: String,
    job_id: i64,
    code: String,
    title: String,
    step_id: i64,
    step_name: String,
    held_reason: Option<String>,
}

impl From<CardRow> for Card {
    fn from(row: CardRow) -> Self {
        Self {
            id: HeadId::new(row.id),
            name: row.name,
            kind: row.kind,
            version: row.version,
            sheet_version: row.sheet_version,
            archived_at: row.archived_at.map(Stamp::from_millis),
            place: Place {
                opening: row.opening_id,
                mark: row.mark,
                job: row.job_id,
                job_code: row.code,
                job_title: row.title,
            },
            step: StepId::new(row.step_id),
            step_name: row.step_name,
            held: row.held_reason,
        }
    }
}

/// Which heads a list shows.
#[derive(Debug, Clone, Default)]
pub struct Filter {
    /// `LIKE` pattern over name, mark, job code and title; see `ListQuery::like`.
    pub like: String,
    /// Of this job only.
    pub job: Option<i64>,
    /// At this step only.
    pub step: Option<i64>,
    /// With a step given to this person.
    pub assignee: Option<i64>,
    /// Only what this person may read; `None` for everything.
    pub only_for: Option<i64>,
    /// Of jobs that this person leads.
    pub led_by: Option<i64>,
    /// Those put away instead of the live ones.
    pub archived: bool,
    /// Held ones only.
    pub held: bool,
}

/// One page of heads by job and mark; (limit, offset) as `ListQuery::window`.
///
/// # Errors
/// The database's.
pub async fn list(
    pool: &SqlitePool,
    f: &Filter,
    window: (i64, i64),
) -> Result<Vec<Card>, StoreError> {
    let rows: Vec<CardRow> = sqlx::query_as(cards!(
        r"WHERE (head.name LIKE ?1 ESCAPE '\' OR opening.mark LIKE ?1 ESCAPE '\'
                 OR job.code LIKE ?1 ESCAPE '\' OR job.title LIKE ?1 ESCAPE '\')
            AND (?2 IS NULL OR job.id = ?2)
            AND (?3 IS NULL OR head.step_id = ?3)
            AND (?4 IS NULL OR EXISTS (SELECT 1 FROM head_stage s
                                       WHERE s.head_id = head.id AND s.assignee_id = ?4))
            AND (?5 IS NULL OR EXISTS (SELECT 1 FROM head_stage s
                                       WHERE s.head_id = head.id AND s.assignee_id = ?5))
            AND (head.archived_at IS NOT NULL) = ?6
            AND (?7 = 0 OR head.held_reason IS NOT NULL)
            AND (?8 IS NULL OR job.foreman_id = ?8)
          ORDER BY job.code, length(opening.mark), opening.mark, head.id
          LIMIT ?9 OFFSET ?10"
    ))
    .bind(&f.like)
    .bind(f.job)
    .bind(f.step)
    .bind(f.assignee)
    .bind(f.only_for)
    .bind(f.archived)
    .bind(f.held)
    .bind(f.led_by)
    .bind(window.0)
    .bind(window.1)
    .fetch_all(pool)
    .await?;
    Ok(rows.into_iter().map(Card::from).collect())
}

/// The live heads of one opening.
///
/// # Errors
/// The database's.
pub async fn of_opening(pool: &SqlitePool, opening: i64) -> Result<Vec<Card>, StoreError> {
    let rows: Vec<CardRow> = sqlx::query_as(cards!(
        r"WHERE head.opening_id = ? AND head.archived_at IS NULL ORDER BY head.id"
    ))
    .bind(opening)
    .fetch_all(pool)
    .await?;
    Ok(rows.into_iter().map(Card::from).collect())
}

#[derive(FromRow)]
struct HeadRow {
    #[sqlx(flatten)]
    card: CardRow,
    form_version: i64,
    design: String,
    created_at: i64,
    created_by_name: Option<String>,
}

/// One head with its design, archived or not.
///
/// # Errors
/// `Missing`, or `Unreadable` if the stored design no longer parses.
pub async fn head(pool: &SqlitePool, id: HeadId) -> Result<Head, StoreError> {
    let row: HeadRow = sqlx::query_as(whole_heads!("WHERE head.id = ?"))
        .bind(id.get())
        .fetch_optional(pool)
        .await?
        .ok_or(StoreError::Missing("head"))?;
    let mut head = whole(row)?;
    head.as_built = bench::as_built(pool, id).await?;
    if let Some((at, by)) = last_drawn(pool, id).await? {
        (head.drawn_at, head.drawn_by) = (at, by);
    }
    Ok(head)
}

/// The live heads of one job with their designs, for the strip.
///
/// # Errors
/// As [`head`].
pub async fn of_job(pool: &SqlitePool, job: i64) -> Result<Vec<Head>, StoreError> {
    let rows: Vec<HeadRow> = sqlx::query_as(whole_heads!(
        "WHERE job.id = ? AND head.archived_at IS NULL
         ORDER BY length(opening.mark), opening.mark, head.id LIMIT 500"
    ))
    .bind(job)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(whole).collect()
}

fn whole(row: HeadRow) -> Result<Head, StoreError> {
    let id = row.card.id;
    if row.form_version != FORM_VERSION {
        let why = format!(
            "form {} is not known, only {FORM_VERSION}",
            row.form_version
        );
        return Err(StoreError::unreadable("head", "form_version", id, why));
    }
    let design: Value = serde_json::from_str(&row.design)
        .map_err(|why| StoreError::unreadable("head", "design", id, why))?;
    Ok(Head {
        card: row.card.into(),
        design,
        as_built: None,
        drawn_at: Stamp::from_millis(row.created_at),
        drawn_by: row.created_by_name,
    })
}

async fn last_drawn(
    pool: &SqlitePool,
    id: HeadId,
) -> Result<Option<(Stamp, Option<String>)>, StoreError> {
    let row: Option<(i64, Option<String>)> = sqlx::query_as(
        "SELECT head_event.created_at, user.name FROM head_event
         LEFT JOIN user ON user.id = head_event.created_by
         WHERE head_id = ? AND what IN ('created', 'redrawn', 'measured')
         ORDER BY head_event.id DESC LIMIT 1",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?;
    Ok(row.map(|(at, by)| (Stamp::from_millis(at), by)))
}

/// Where a head stands.
///
/// # Errors
/// `Missing`, or the database's.
pub async fn at(pool: &SqlitePool, id: HeadId) -> Result<At, StoreError> {
    let mut conn = pool.acquire().await?;
    at_in(&mut conn, id).await
}

async fn at_in(conn: &mut SqliteConnection, id: HeadId) -> Result<At, StoreError> {
    let row: Option<(i64, i64, Option<String>)> =
        sqlx::query_as("SELECT version, step_id, held_reason FROM head WHERE id = ?")
            .bind(id.get())
            .fetch_optional(&mut *conn)
            .await?;
    let (version, step, held) = row.ok_or(StoreError::Missing("head"))?;
    let skipped: Vec<i64> =
        sqlx::query_scalar("SELECT step_id FROM head_stage WHERE head_id = ? AND not_needed = 1")
            .bind(id.get())
            .fetch_all(conn)
            .await?;
    let not_needed: BTreeSet<StepId> = skipped.into_iter().map(StepId::new).collect();
    Ok(At {
        version,
        standing: Standing {
            step: StepId::new(step),
            held,
            not_needed,
        },
    })
}

#[derive(FromRow)]
struct StageRow {
    step_id: i64,
    assignee_id: Option<i64>,
    assignee_name: Option<String>,
    not_needed: bool,
}

/// What is planned for the steps of a head; steps with no plan are left out.
///
/// # Errors
/// The database's.
pub async fn stages(pool: &SqlitePool, id: HeadId) -> Result<Vec<Stage>, StoreError> {
    let rows: Vec<StageRow> = sqlx::query_as(
        "SELECT step_id, assignee_id, user.name AS assignee_name, not_needed
         FROM head_stage LEFT JOIN user ON user.id = assignee_id WHERE head_id = ?",
    )
    .bind(id.get())
    .fetch_all(pool)
    .await?;
    let stage = |row: StageRow| Stage {
        step: StepId::new(row.step_id),
        assignee: row.assignee_id,
        assignee_name: row.assignee_name,
        not_needed: row.not_needed,
    };
    Ok(rows.into_iter().map(stage).collect())
}

#[derive(FromRow)]
struct EventRow {
    id: i64,
    created_at: i64,
    who: Option<String>,
    what: String,
    head_version: i64,
    from_name: Option<String>,
    to_name: Option<String>,
    person: Option<String>,
    reason: Option<String>,
    old_value: Option<String>,
    new_value: Option<String>,
}

/// What happened to a head, the latest first.
///
/// # Errors
/// The database's.
pub async fn events(pool: &SqlitePool, id: HeadId) -> Result<Vec<Event>, StoreError> {
    let rows: Vec<EventRow> = sqlx::query_as(
        "SELECT e.id, e.created_at, u.name AS who, e.what, e.head_version, f.name AS from_name,
                t.name AS to_name, p.name AS person, e.reason, e.old_value, e.new_value
         FROM head_event e LEFT JOIN user u ON u.id = e.created_by
              LEFT JOIN head_step f ON f.id = e.from_step LEFT JOIN head_step t ON t.id = e.to_step
              LEFT JOIN user p ON p.id = e.person_id
         WHERE e.head_id = ? ORDER BY e.id DESC LIMIT 500",
    )
    .bind(id.get())
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(event).collect()
}

fn event(row: EventRow) -> Result<Event, StoreError> {
    let what = What::from_code(&row.what)
        .ok_or_else(|| StoreError::unreadable("head_event", "what", row.id, &row.what))?;
    Ok(Event {
        id: row.id,
        at: Stamp::from_millis(row.created_at),
        who: row.who,
        what,
        head_version: row.head_version,
        from: row.from_name,
        to: row.to_name,
        person: row.person,
        reason: row.reason,
        old: row.old_value,
        new: row.new_value,
    })
}

/// Whether a step of this head is given to this person.
///
/// # Errors
/// The database's.
pub async fn is_assigned(pool: &SqlitePool, id: HeadId, user: i64) -> Result<bool, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT EXISTS (SELECT 1 FROM head_stage WHERE head_id = ? AND assignee_id = ?)",
    )
    .bind(id.get())
    .bind(user)
    .fetch_one(pool)
    .await?)
}

/// The opening of a head, and its job and the job's foreman.
///
/// # Errors
/// `Missing`, or the database's.
pub async fn foreman(pool: &SqlitePool, id: HeadId) -> Result<Option<i64>, StoreError> {
    let row: Option<Option<i64>> = sqlx::query_scalar(
        "SELECT job.foreman_id FROM head JOIN opening ON opening.id = head.opening_id
         JOIN job ON job.id = opening.job_id WHERE head.id = ?",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?;
    row.ok_or(StoreError::Missing("head"))
}

/// Jobs that have heads, for a list's filter: row and words.
///
/// # Errors
/// The database's.
pub async fn jobs(
    pool: &SqlitePool,
    only_for: Option<i64>,
) -> Result<Vec<(i64, String)>, StoreError> {
    Ok(sqlx::query_as(
        "SELECT DISTINCT job.id, job.code || ' · ' || job.title FROM job
         JOIN opening ON opening.job_id = job.id JOIN head ON head.opening_id = opening.id
         WHERE ?1 IS NULL OR EXISTS (SELECT 1 FROM head_stage s
                                     WHERE s.head_id = head.id AND s.assignee_id = ?1)
         ORDER BY job.code LIMIT 1000",
    )
    .bind(only_for)
    .fetch_all(pool)
    .await?)
}
