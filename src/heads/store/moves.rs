//! Writing a head: every change and its event in one transaction.

use serde_json::Value;

use super::undo::snapshot;
use super::{at_in, steps_in};
use crate::access::Made;
use crate::db::{StoreError, Tx};
use crate::heads::model::{At, FORM_VERSION, HeadId, HeadName, NewHead, What};
use crate::heads::steps::{Illegal, Move, Standing, StepId, moved};

/// Why a change was not made; nothing was written.
#[derive(Debug)]
pub enum MoveError {
    /// The rules do not allow it.
    Illegal(Illegal),
    /// The store's reason.
    Store(StoreError),
}

impl<E: Into<StoreError>> From<E> for MoveError {
    fn from(error: E) -> Self {
        Self::Store(error.into())
    }
}

/// What an event says beside who and when.
#[derive(Default)]
pub(super) struct Said<'a> {
    pub from: Option<StepId>,
    pub to: Option<StepId>,
    pub person: Option<i64>,
    pub reason: Option<&'a str>,
    pub old: Option<&'a str>,
    pub new: Option<&'a str>,
    /// How the head stood before, where the change can be taken back.
    pub before: Option<&'a str>,
}

pub(super) async fn write_down(
    tx: &mut Tx,
    made: Made,
    (head, version): (HeadId, i64),
    what: What,
    said: Said<'_>,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO head_event (created_at, created_by, head_id, head_version, what, from_step,
                                 to_step, person_id, reason, old_value, new_value, before)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(head.get())
    .bind(version)
    .bind(what.code())
    .bind(said.from.map(StepId::get))
    .bind(said.to.map(StepId::get))
    .bind(said.person)
    .bind(said.reason)
    .bind(said.old)
    .bind(said.new)
    .bind(said.before)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Puts a head down at the first step.
///
/// # Errors
/// The database's.
pub async fn create(tx: &mut Tx, made: Made, new: &NewHead) -> Result<HeadId, StoreError> {
    let steps = steps_in(tx).await?;
    let first = steps.first().ok_or(StoreError::Missing("step"))?.id;
    let design = new.design.to_string();
    let done = sqlx::query(
        "INSERT INTO head (created_at, created_by, opening_id, name, kind, form_version, design, step_id)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(new.opening)
    .bind(new.name.as_str())
    .bind(kind_of(&new.design))
    .bind(FORM_VERSION)
    .bind(&design)
    .bind(first.get())
    .execute(&mut **tx)
    .await?;
    let id = HeadId::new(done.last_insert_rowid());
    let said = Said {
        to: Some(first),
        new: Some(&design),
        ..Said::default()
    };
    write_down(tx, made, (id, 1), What::Created, said).await?;
    Ok(id)
}

fn kind_of(design: &Value) -> &str {
    design.get("kind").and_then(Value::as_str).unwrap_or("runs")
}

/// Reads where a head stands and refuses another version than `seen`.
pub(super) async fn standing(tx: &mut Tx, id: HeadId, seen: i64) -> Result<At, StoreError> {
    let at = at_in(tx, id).await?;
    if at.version == seen {
        Ok(at)
    } else {
        Err(StoreError::Stale("head"))
    }
}

/// Saves a changed name and design; the old design stays in the event.
/// Gives the new version; nothing changed gives the same version and no event.
///
/// # Errors
/// `Stale` if the head moved on, `Missing`, or the database's.
pub async fn redraw(
    tx: &mut Tx,
    made: Made,
    (id, seen): (HeadId, i64),
    name: &HeadName,
    design: &Value,
) -> Result<i64, StoreError> {
    standing(tx, id, seen).await?;
    let (old_name, old): (String, String) =
        sqlx::query_as("SELECT name, design FROM head WHERE id = ?")
            .bind(id.get())
            .fetch_one(&mut **tx)
            .await?;
    let new = design.to_string();
    let (renamed, redrawn) = (old_name != name.as_str(), drawing_differs(&old, design));
    if !renamed && !redrawn {
        return Ok(seen);
    }
    let version = seen + 1;
    sqlx::query(
        "UPDATE head SET name = ?, kind = ?, design = ?, form_version = ?, version = ?,
                sheet_version = sheet_version + ? WHERE id = ?",
    )
    .bind(name.as_str())
    .bind(kind_of(design))
    .bind(&new)
    .bind(FORM_VERSION)
    .bind(version)
    .bind(i64::from(redrawn))
    .bind(id.get())
    .execute(&mut **tx)
    .await?;
    if renamed {
        let said = Said {
            old: Some(&old_name),
            new: Some(name.as_str()),
            ..Said::default()
        };
        write_down(tx, made, (id, version), What::Renamed, said).await?;
    }
    if redrawn {
        let said = Said {
            old: Some(&old),
            new: Some(&new),
            ..Said::default()
        };
        write_down(tx, made, (id, version), What::Redrawn, said).await?;
    }
    Ok(version)
}

/// Whether two designs differ in more than the head's name.
fn drawing_differs(old: &str, new: &Value) -> bool {
    let Ok(Value::Object(mut old)) = serde_json::from_str(old) else {
        return true;
    };
    let Value::Object(new) = new else { return true };
    let mut new = new.clone();
    old.remove("name");
    new.remove("name");
    old != new
}

/// Makes one move along the steps. Gives the new version.
///
/// # Errors
/// [`MoveError::Illegal`] with the reason; `Stale`, `Missing`, the database's.
pub async fn step(
    tx: &mut Tx,
    made: Made,
    (id, seen): (HeadId, i64),
    asked: &Move,
) -> Result<i64, MoveError> {
    let steps = steps_in(tx).await?;
    let at = standing(tx, id, seen).await?.standing;
    let to = moved(&steps, &at, asked).map_err(MoveError::Illegal)?;
    let before = snapshot(tx, id).await?;
    let version = seen + 1;
    sqlx::query("UPDATE head SET step_id = ?, held_reason = ?, version = ? WHERE id = ?")
        .bind(to.step.get())
        .bind(&to.held)
        .bind(version)
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    if let Move::NotNeeded(step, _) | Move::Needed(step) = asked {
        mark(tx, id, *step, matches!(asked, Move::NotNeeded(..))).await?;
    }
    let (what, said) = said_of(&at, asked);
    let said = Said {
        before: Some(&before),
        ..said
    };
    write_down(tx, made, (id, version), what, said).await?;
    Ok(version)
}

/// What the record says of a move from this standing.
fn said_of<'a>(at: &'a Standing, asked: &'a Move) -> (What, Said<'a>) {
    let said = |from: Option<StepId>, to: Option<StepId>, reason: Option<&'a str>| Said {
        from,
        to,
        reason,
        ..Said::default()
    };
    let from = Some(at.step);
    match asked {
        Move::To(step) => (What::Moved, said(from, Some(*step), None)),
        Move::Hold(why) => (What::Held, said(from, None, Some(why.as_str()))),
        Move::Release => (What::Released, said(from, None, at.held.as_deref())),
        Move::SendBack(step, why) => (What::SentBack, said(from, Some(*step), Some(why.as_str()))),
        Move::NotNeeded(step, why) => {
            (What::NotNeeded, said(None, Some(*step), Some(why.as_str())))
        }
        Move::Needed(step) => (What::Needed, said(None, Some(*step), None)),
    }
}

async fn mark(tx: &mut Tx, id: HeadId, step: StepId, not_needed: bool) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO head_stage (head_id, step_id, not_needed) VALUES (?, ?, ?)
         ON CONFLICT (head_id, step_id) DO UPDATE SET not_needed = excluded.not_needed",
    )
    .bind(id.get())
    .bind(step.get())
    .bind(not_needed)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Gives steps of a head to somebody, or to nobody. Gives the new version.
///
/// # Errors
/// `Stale`, `Missing`, the database's.
pub async fn assign(
    tx: &mut Tx,
    made: Made,
    (id, seen): (HeadId, i64),
    given: &[StepId],
    person: Option<i64>,
) -> Result<i64, StoreError> {
    standing(tx, id, seen).await?;
    let before = snapshot(tx, id).await?;
    let version = seen + 1;
    for step in given {
        sqlx::query(
            "INSERT INTO head_stage (head_id, step_id, assignee_id) VALUES (?, ?, ?)
             ON CONFLICT (head_id, step_id) DO UPDATE SET assignee_id = excluded.assignee_id",
        )
        .bind(id.get())
        .bind(step.get())
        .bind(person)
        .execute(&mut **tx)
        .await?;
        let said = Said {
            to: Some(*step),
            person,
            before: Some(&before),
            ..Said::default()
        };
        write_down(tx, made, (id, version), What::Assigned, said).await?;
    }
    bump(tx, id, version).await?;
    Ok(version)
}

/// Gives steps of a head to somebody at whatever version it stands: for a plan
/// that hands on many heads in one move. Gives the new version.
///
/// # Errors
/// `Missing`, the database's.
pub async fn give(
    tx: &mut Tx,
    made: Made,
    id: HeadId,
    given: &[StepId],
    person: Option<i64>,
) -> Result<i64, StoreError> {
    let version = at_in(tx, id).await?.version;
    assign(tx, made, (id, version), given, person).await
}

pub(super) async fn bump(tx: &mut Tx, id: HeadId, version: i64) -> Result<(), StoreError> {
    sqlx::query("UPDATE head SET version = ? WHERE id = ?")
        .bind(version)
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Puts a head away or takes it out again. Gives the new version.
///
/// # Errors
/// `Stale`, `Missing`, the database's.
pub async fn archive(
    tx: &mut Tx,
    made: Made,
    (id, seen): (HeadId, i64),
    away: bool,
) -> Result<i64, StoreError> {
    standing(tx, id, seen).await?;
    let before = snapshot(tx, id).await?;
    let version = seen + 1;
    // A step may have been retired while the head lay away: it comes back to
    // the step before that one.
    sqlx::query(
        "UPDATE head SET archived_at = ?1, step_id =
            coalesce((SELECT s.id FROM head_step s WHERE s.retired_at IS NULL AND s.position <=
                        (SELECT o.position FROM head_step o WHERE o.id = head.step_id)
                      ORDER BY s.position DESC LIMIT 1),
                     (SELECT s.id FROM head_step s WHERE s.retired_at IS NULL ORDER BY s.position LIMIT 1),
                     head.step_id)
         WHERE id = ?2",
    )
        .bind(away.then_some(made.at.millis()))
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    bump(tx, id, version).await?;
    let what = if away {
        What::Archived
    } else {
        What::BroughtBack
    };
    let said = Said {
        before: Some(&before),
        ..Said::default()
    };
    write_down(tx, made, (id, version), what, said).await?;
    Ok(version)
}

/// Lets go of what the bench measured, as the new design has no place for it.
/// The sheet is that of the redrawing in the same transaction.
///
/// # Errors
/// The database's.
pub async fn forget(
    tx: &mut Tx,
    made: Made,
    (id, version): (HeadId, i64),
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO measured (created_at, created_by, head_id, as_built) VALUES (?, ?, ?, 'null')",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(id.get())
    .execute(&mut **tx)
    .await?;
    let said = Said {
        new: Some("null"),
        ..Said::default()
    };
    write_down(tx, made, (id, version), What::Measured, said).await
}

/// Writes down what the bench measured: the sheet is another one from here.
/// `None` goes back to the design as drawn. Gives the new version.
///
/// # Errors
/// `Stale`, `Missing`, the database's.
pub async fn measure(
    tx: &mut Tx,
    made: Made,
    (id, seen): (HeadId, i64),
    as_built: Option<&Value>,
) -> Result<i64, StoreError> {
    standing(tx, id, seen).await?;
    let version = seen + 1;
    let text = as_built.map_or_else(|| "null".to_owned(), Value::to_string);
    sqlx::query(
        "INSERT INTO measured (created_at, created_by, head_id, as_built) VALUES (?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(id.get())
    .bind(&text)
    .execute(&mut **tx)
    .await?;
    sqlx::query("UPDATE head SET version = ?, sheet_version = sheet_version + 1 WHERE id = ?")
        .bind(version)
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    let said = Said {
        new: Some(&text),
        ..Said::default()
    };
    write_down(tx, made, (id, version), What::Measured, said).await?;
    Ok(version)
}
