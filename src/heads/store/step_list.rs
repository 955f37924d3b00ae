//! The firm's list of steps in its table, and changes to it.

use sqlx::{FromRow, SqliteConnection, SqlitePool};

use crate::access::Made;
use crate::db::{StoreError, Tx};
use crate::heads::gate::GateKind;
use crate::heads::steps::{FirmStep, NewStep, Step, StepId, Steps};

#[derive(FromRow)]
struct StepRow {
    id: i64,
    name: String,
    by_office: bool,
    by_hand: bool,
    gates: Option<String>,
    version: i64,
    retired: bool,
    heads: i64,
}

const ALL: &str = "SELECT id, name, by_office, by_hand, version, retired_at IS NOT NULL AS retired,
        (SELECT group_concat(gate) FROM head_step_gate WHERE step_id = head_step.id) AS gates,
        (SELECT count(*) FROM head WHERE step_id = head_step.id AND archived_at IS NULL) AS heads
     FROM head_step ORDER BY position";

fn known(row: StepRow) -> Result<FirmStep, StoreError> {
    let mut gates = Vec::new();
    for code in row.gates.as_deref().unwrap_or("").split(',') {
        if code.is_empty() {
            continue;
        }
        let gate = GateKind::from_code(code)
            .ok_or_else(|| StoreError::unreadable("head_step_gate", "gate", row.id, code))?;
        gates.push(gate);
    }
    Ok(FirmStep {
        step: Step {
            id: StepId::new(row.id),
            name: row.name,
            by_office: row.by_office,
            by_hand: row.by_hand,
            gates,
        },
        version: row.version,
        retired: row.retired,
        heads: row.heads,
    })
}

async fn read(conn: &mut SqliteConnection) -> Result<Vec<FirmStep>, StoreError> {
    let rows: Vec<StepRow> = sqlx::query_as(ALL).fetch_all(conn).await?;
    rows.into_iter().map(known).collect()
}

/// Every step the firm has or had, in order.
///
/// # Errors
/// The database's.
pub async fn firm_steps(pool: &SqlitePool) -> Result<Vec<FirmStep>, StoreError> {
    let mut conn = pool.acquire().await?;
    read(&mut conn).await
}

/// The firm's steps in order.
///
/// # Errors
/// The database's; `Missing` if the list is empty.
pub async fn steps(pool: &SqlitePool) -> Result<Steps, StoreError> {
    let mut conn = pool.acquire().await?;
    steps_in(&mut conn).await
}

pub(in crate::heads) async fn steps_in(conn: &mut SqliteConnection) -> Result<Steps, StoreError> {
    let live = read(conn).await?.into_iter().filter(|s| !s.retired);
    Steps::new(live.map(|s| s.step).collect()).ok_or(StoreError::Missing("step"))
}

/// Whether there is such a step, retired or not.
///
/// # Errors
/// The database's.
pub async fn has_step(pool: &SqlitePool, id: i64) -> Result<bool, StoreError> {
    Ok(
        sqlx::query_scalar("SELECT EXISTS (SELECT 1 FROM head_step WHERE id = ?)")
            .bind(id)
            .fetch_one(pool)
            .await?,
    )
}

/// Adds a step after another, or as the first.
///
/// # Errors
/// `Taken("name")`; the database's.
pub async fn add_step(
    tx: &mut Tx,
    new: &NewStep,
    after: Option<StepId>,
) -> Result<StepId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO head_step (position, name, by_office, by_hand)
         VALUES ((SELECT max(position) + 1 FROM head_step), ?, ?, ?)",
    )
    .bind(&new.name)
    .bind(new.by_office)
    .bind(new.by_hand)
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("name"))?;
    let id = StepId::new(done.last_insert_rowid());
    set_gates(tx, id, &new.gates).await?;
    place_after(tx, id, after).await?;
    Ok(id)
}

/// Changes a step and its place at `version`.
///
/// # Errors
/// `Stale`, `Taken("name")`; the database's.
pub async fn change_step(
    tx: &mut Tx,
    (id, version): (StepId, i64),
    new: &NewStep,
    after: Option<StepId>,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE head_step SET name = ?, by_office = ?, by_hand = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(&new.name)
    .bind(new.by_office)
    .bind(new.by_hand)
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("name"))?;
    StoreError::unless_one(done.rows_affected(), "step")?;
    set_gates(tx, id, &new.gates).await?;
    place_after(tx, id, after).await
}

/// Retires a step or brings it back, at `version`. The caller has seen to it
/// that no live head stands at it.
///
/// # Errors
/// `Stale`; the database's.
pub async fn retire_step(
    tx: &mut Tx,
    made: Made,
    (id, version): (StepId, i64),
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE head_step SET retired_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "step")
}

/// How many live heads stand at a step now, and how many steps are in use.
///
/// # Errors
/// The database's.
pub async fn in_use(tx: &mut Tx, id: StepId) -> Result<(i64, i64), StoreError> {
    Ok(sqlx::query_as(
        "SELECT (SELECT count(*) FROM head WHERE step_id = ? AND archived_at IS NULL),
                (SELECT count(*) FROM head_step WHERE retired_at IS NULL)",
    )
    .bind(id.get())
    .fetch_one(&mut **tx)
    .await?)
}

async fn set_gates(tx: &mut Tx, id: StepId, gates: &[GateKind]) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM head_step_gate WHERE step_id = ?")
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    for gate in gates {
        sqlx::query("INSERT OR IGNORE INTO head_step_gate (step_id, gate) VALUES (?, ?)")
            .bind(id.get())
            .bind(gate.code())
            .execute(&mut **tx)
            .await?;
    }
    Ok(())
}

/// Puts a step after another and numbers the whole list afresh. Places are
/// unique, so they are first moved out of one another's way.
async fn place_after(tx: &mut Tx, id: StepId, after: Option<StepId>) -> Result<(), StoreError> {
    let mut order: Vec<i64> =
        sqlx::query_scalar("SELECT id FROM head_step WHERE id <> ? ORDER BY position")
            .bind(id.get())
            .fetch_all(&mut **tx)
            .await?;
    let at = after
        .and_then(|after| order.iter().position(|step| *step == after.get()))
        .map_or(0, |place| place + 1);
    order.insert(at.min(order.len()), id.get());
    sqlx::query("UPDATE head_step SET position = position + 1000000")
        .execute(&mut **tx)
        .await?;
    for (step, place) in order.into_iter().zip(1_i64..) {
        sqlx::query("UPDATE head_step SET position = ? WHERE id = ?")
            .bind(place)
            .bind(step)
            .execute(&mut **tx)
            .await?;
    }
    Ok(())
}
