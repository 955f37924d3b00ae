//! Taking the last change to a head back, within ten seconds and once; and
//! having a piece made again.
//!
//! Every event keeps how the head stood before it. Taking back puts that whole
//! state back and is itself an event: the record loses nothing.

use std::time::Duration;

use serde::{Deserialize, Serialize};
use sqlx::{FromRow, SqlitePool};

use super::moves::{MoveError, Said, standing, write_down};
use super::steps_in;
use crate::access::Made;
use crate::db::{Stamp, StoreError, Tx};
use crate::heads::model::{Again, HeadId, Undoable, What};
use crate::heads::steps::{Illegal, Reason, StepId};

/// How long a change may be taken back by whoever made it.
pub const UNDO_FOR: Duration = Duration::from_secs(10);

/// How a head stood before a change.
#[derive(Serialize, Deserialize)]
pub(super) struct Before {
    step: i64,
    held: Option<String>,
    archived: Option<i64>,
    /// Step, assignee, not needed.
    stages: Vec<(i64, Option<i64>, bool)>,
    piece: Option<PieceBefore>,
}

/// How a piece's tick stood before it was to be made again.
#[derive(Serialize, Deserialize)]
struct PieceBefore {
    label: String,
    sheet_version: i64,
    done: bool,
    again: Option<String>,
}

/// How the head stands now, as text for the event.
pub(super) async fn snapshot(tx: &mut Tx, id: HeadId) -> Result<String, StoreError> {
    let before = before(tx, id, None).await?;
    text(&before)
}

fn text(before: &Before) -> Result<String, StoreError> {
    serde_json::to_string(before)
        .map_err(|why| StoreError::unreadable("head_event", "before", 0, why))
}

async fn before(tx: &mut Tx, id: HeadId, piece: Option<PieceBefore>) -> Result<Before, StoreError> {
    let (step, held, archived): (i64, Option<String>, Option<i64>) =
        sqlx::query_as("SELECT step_id, held_reason, archived_at FROM head WHERE id = ?")
            .bind(id.get())
            .fetch_one(&mut **tx)
            .await?;
    let stages =
        sqlx::query_as("SELECT step_id, assignee_id, not_needed FROM head_stage WHERE head_id = ?")
            .bind(id.get())
            .fetch_all(&mut **tx)
            .await?;
    Ok(Before {
        step,
        held,
        archived,
        stages,
        piece,
    })
}

#[derive(FromRow)]
struct LastRow {
    id: i64,
    created_at: i64,
    created_by: Option<i64>,
    head_version: i64,
    what: String,
    before: Option<String>,
}

const LAST: &str = "SELECT id, created_at, created_by, head_version, what, before FROM head_event
                    WHERE head_id = ? ORDER BY id DESC LIMIT 1";

fn within(row: &LastRow, user: i64, now: Stamp) -> bool {
    row.created_by == Some(user)
        && row.before.is_some()
        && now.since(Stamp::from_millis(row.created_at)) <= UNDO_FOR
}

fn what(row: &LastRow) -> Result<What, StoreError> {
    What::from_code(&row.what)
        .ok_or_else(|| StoreError::unreadable("head_event", "what", row.id, &row.what))
}

/// The last change to a head if this person may still take it back.
///
/// # Errors
/// The database's.
pub async fn undoable(
    pool: &SqlitePool,
    id: HeadId,
    user: i64,
    now: Stamp,
) -> Result<Option<Undoable>, StoreError> {
    let row: Option<LastRow> = sqlx::query_as(LAST)
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    let Some(row) = row.filter(|row| within(row, user, now)) else {
        return Ok(None);
    };
    Ok(Some(Undoable {
        what: what(&row)?,
        left: UNDO_FOR.saturating_sub(now.since(Stamp::from_millis(row.created_at))),
    }))
}

/// Takes the last change back. Gives the new version.
///
/// # Errors
/// [`MoveError::Illegal`] if it is too late, another's, or undone already;
/// `Stale`, `Missing`, the database's.
pub async fn undo(tx: &mut Tx, made: Made, (id, seen): (HeadId, i64)) -> Result<i64, MoveError> {
    standing(tx, id, seen).await?;
    let row: Option<LastRow> = sqlx::query_as(LAST)
        .bind(id.get())
        .fetch_optional(&mut **tx)
        .await?;
    let too_late = || {
        MoveError::Illegal(Illegal(
            "The ten seconds for taking this back are over, or it was taken back already. \
             Send the head back or on by hand instead."
                .into(),
        ))
    };
    let user = made.user().unwrap_or(0);
    let row = row
        .filter(|row| row.head_version == seen && within(row, user, made.at))
        .ok_or_else(too_late)?;
    let before: Before = serde_json::from_str(row.before.as_deref().unwrap_or(""))
        .map_err(|why| StoreError::unreadable("head_event", "before", row.id, why))?;
    let steps = steps_in(tx).await?;
    if steps.get(StepId::new(before.step)).is_none() {
        return Err(too_late());
    }
    let from = super::at_in(tx, id).await?.standing.step;
    put_back(tx, made, id, &before).await?;
    let version = seen + 1;
    super::moves::bump(tx, id, version).await?;
    let undone = what(&row)?;
    let said = Said {
        from: Some(from),
        to: Some(StepId::new(before.step)),
        old: Some(undone.words()),
        ..Said::default()
    };
    write_down(tx, made, (id, version), What::Undone, said).await?;
    Ok(version)
}

async fn put_back(tx: &mut Tx, made: Made, id: HeadId, b: &Before) -> Result<(), StoreError> {
    sqlx::query("UPDATE head SET step_id = ?, held_reason = ?, archived_at = ? WHERE id = ?")
        .bind(b.step)
        .bind(&b.held)
        .bind(b.archived)
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    sqlx::query("DELETE FROM head_stage WHERE head_id = ?")
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    for (step, assignee, not_needed) in &b.stages {
        sqlx::query(
            "INSERT INTO head_stage (head_id, step_id, assignee_id, not_needed) VALUES (?, ?, ?, ?)",
        )
        .bind(id.get())
        .bind(step)
        .bind(assignee)
        .bind(not_needed)
        .execute(&mut **tx)
        .await?;
    }
    if let Some(piece) = &b.piece {
        mark_piece(tx, made, id, piece).await?;
    }
    Ok(())
}

async fn mark_piece(
    tx: &mut Tx,
    made: Made,
    id: HeadId,
    piece: &PieceBefore,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO piece_tick (created_at, created_by, head_id, sheet_version, label, done, again_reason)
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(id.get())
    .bind(piece.sheet_version)
    .bind(&piece.label)
    .bind(piece.done)
    .bind(&piece.again)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Has a piece made again: its tick is taken back with the reason, and the
/// head's record says so. Gives the new version.
///
/// # Errors
/// `Stale`, `Missing`, the database's.
pub async fn make_again(
    tx: &mut Tx,
    made: Made,
    (id, seen): (HeadId, i64),
    label: &str,
    why: &Reason,
) -> Result<i64, StoreError> {
    let at = standing(tx, id, seen).await?;
    let sheet_version: i64 = sqlx::query_scalar("SELECT sheet_version FROM head WHERE id = ?")
        .bind(id.get())
        .fetch_one(&mut **tx)
        .await?;
    let now: Option<(bool, Option<String>)> = sqlx::query_as(
        "SELECT done, again_reason FROM piece_tick
         WHERE head_id = ? AND sheet_version = ? AND label = ? ORDER BY id DESC LIMIT 1",
    )
    .bind(id.get())
    .bind(sheet_version)
    .bind(label)
    .fetch_optional(&mut **tx)
    .await?;
    let (done, again) = now.unwrap_or((false, None));
    let piece = |done, again| PieceBefore {
        label: label.to_owned(),
        sheet_version,
        done,
        again,
    };
    let was = text(&before(tx, id, Some(piece(done, again))).await?)?;
    mark_piece(tx, made, id, &piece(false, Some(why.as_str().to_owned()))).await?;
    let version = seen + 1;
    super::moves::bump(tx, id, version).await?;
    let said = Said {
        from: Some(at.standing.step),
        reason: Some(why.as_str()),
        new: Some(label),
        before: Some(&was),
        ..Said::default()
    };
    write_down(tx, made, (id, version), What::Again, said).await?;
    Ok(version)
}

/// The pieces of this sheet that are to be made again.
///
/// # Errors
/// The database's.
pub async fn to_make_again(
    pool: &SqlitePool,
    id: HeadId,
    sheet_version: i64,
) -> Result<Vec<Again>, StoreError> {
    let rows: Vec<(String, String)> = sqlx::query_as(
        "SELECT t.label, t.again_reason FROM piece_tick t
         WHERE t.head_id = ?1 AND t.sheet_version = ?2 AND t.again_reason IS NOT NULL
           AND t.id = (SELECT max(id) FROM piece_tick l
                       WHERE l.head_id = ?1 AND l.sheet_version = ?2 AND l.label = t.label)
         ORDER BY t.id",
    )
    .bind(id.get())
    .bind(sheet_version)
    .fetch_all(pool)
    .await?;
    Ok(rows
        .into_iter()
        .map(|(label, reason)| Again { label, reason })
        .collect())
}
