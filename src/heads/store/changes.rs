//! What became of cut pieces when their sheet was changed.

use sqlx::{FromRow, SqlitePool};

use crate::access::Made;
use crate::db::{Stamp, StoreError, Tx};
use crate::heads::changes::{Decision, FateWord, Kept, NewChange};
use crate::heads::model::HeadId;
use crate::measure::Length;

/// Writes down what a change did to the cut pieces; those that serve as they
/// are stay ticked on the new sheet, by whom and when they were cut.
///
/// # Errors
/// The database's.
pub async fn record(
    tx: &mut Tx,
    made: Made,
    (id, from, to): (HeadId, i64, i64),
    changes: &[NewChange],
) -> Result<(), StoreError> {
    for change in changes {
        sqlx::query(
            "INSERT INTO piece_change (created_at, created_by, head_id, from_version, to_version,
                                       label, run, now_label, fate, why, usable_nm)
             VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        )
        .bind(made.at.millis())
        .bind(made.user())
        .bind(id.get())
        .bind(from)
        .bind(to)
        .bind(&change.label)
        .bind(&change.run)
        .bind(&change.now)
        .bind(change.fate.code())
        .bind(&change.why)
        .bind(change.usable.map(Length::nanometres))
        .execute(&mut **tx)
        .await?;
        if let (FateWord::Kept, Some(now)) = (change.fate, &change.now) {
            carry(tx, (id, from, to), &change.label, now).await?;
        }
    }
    Ok(())
}

/// The tick of a piece on the new sheet, as it was made on the old one.
async fn carry(
    tx: &mut Tx,
    (id, from, to): (HeadId, i64, i64),
    was: &str,
    now: &str,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO piece_tick (created_at, created_by, head_id, sheet_version, label, done)
         SELECT created_at, created_by, head_id, ?, ?, 1 FROM piece_tick
         WHERE head_id = ? AND sheet_version = ? AND label = ? ORDER BY id DESC LIMIT 1",
    )
    .bind(to)
    .bind(now)
    .bind(id.get())
    .bind(from)
    .bind(was)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

#[derive(FromRow)]
struct Row {
    id: i64,
    created_at: i64,
    from_version: i64,
    to_version: i64,
    label: String,
    run: String,
    now_label: Option<String>,
    fate: String,
    why: String,
    usable_nm: Option<i64>,
    decision: Option<String>,
    note: Option<String>,
    decided_at: Option<i64>,
    decided_by: Option<String>,
}

/// Every change of a cut piece of this head with the last decision on it, the
/// latest first.
///
/// # Errors
/// The database's; `Unreadable` for a word that is not known.
pub async fn of_head(pool: &SqlitePool, id: HeadId) -> Result<Vec<Kept>, StoreError> {
    let rows: Vec<Row> = sqlx::query_as(
        "SELECT c.id, c.created_at, c.from_version, c.to_version, c.label, c.run, c.now_label,
                c.fate, c.why, c.usable_nm, d.decision, d.note, d.created_at AS decided_at,
                u.name AS decided_by
         FROM piece_change c
         LEFT JOIN piece_decision d ON d.id =
              (SELECT max(l.id) FROM piece_decision l WHERE l.piece_change_id = c.id)
         LEFT JOIN user u ON u.id = d.created_by
         WHERE c.head_id = ? ORDER BY c.to_version DESC, c.id LIMIT 2000",
    )
    .bind(id.get())
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(kept).collect()
}

fn kept(row: Row) -> Result<Kept, StoreError> {
    let unknown = |column, why: &str| StoreError::unreadable("piece_change", column, row.id, why);
    let fate = FateWord::from_code(&row.fate).ok_or_else(|| unknown("fate", &row.fate))?;
    let decision = match &row.decision {
        None => None,
        Some(word) => Some(Decision::from_code(word).ok_or_else(|| unknown("decision", word))?),
    };
    Ok(Kept {
        id: row.id,
        at: Stamp::from_millis(row.created_at),
        from: row.from_version,
        to: row.to_version,
        change: NewChange {
            label: row.label,
            run: row.run,
            now: row.now_label,
            fate,
            why: row.why,
            usable: row.usable_nm.map(Length::from_nanometres),
        },
        decision,
        note: row.note.unwrap_or_default(),
        decided_at: row.decided_at.map(Stamp::from_millis),
        decided_by: row.decided_by,
    })
}

/// How many cut pieces of this head wait for a decision.
///
/// # Errors
/// The database's.
pub async fn waiting(pool: &SqlitePool, id: HeadId) -> Result<i64, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT count(*) FROM piece_change c WHERE c.head_id = ? AND c.fate <> 'kept'
           AND NOT EXISTS (SELECT 1 FROM piece_decision d WHERE d.piece_change_id = c.id)",
    )
    .bind(id.get())
    .fetch_one(pool)
    .await?)
}

/// Writes down a decision. A piece kept as it is counts as cut on the sheet
/// that it was changed to, if that is still the sheet.
///
/// # Errors
/// `Missing` if the change is not this head's, `Taken` if it is decided
/// already, `Stale` if a piece is to be kept on a sheet that has changed since;
/// the database's.
pub async fn decide(
    tx: &mut Tx,
    made: Made,
    (id, change): (HeadId, i64),
    decision: Decision,
    note: &str,
) -> Result<(), StoreError> {
    let found: Option<(i64, i64, Option<String>)> = sqlx::query_as(
        "SELECT c.to_version, h.sheet_version, c.now_label FROM piece_change c
         JOIN head h ON h.id = c.head_id WHERE c.id = ? AND c.head_id = ?",
    )
    .bind(change)
    .bind(id.get())
    .fetch_optional(&mut **tx)
    .await?;
    let (to, sheet, now) = found.ok_or(StoreError::Missing("piece"))?;
    let decided: bool = sqlx::query_scalar(
        "SELECT EXISTS (SELECT 1 FROM piece_decision WHERE piece_change_id = ?)",
    )
    .bind(change)
    .fetch_one(&mut **tx)
    .await?;
    if decided {
        return Err(StoreError::Taken("decision"));
    }
    sqlx::query(
        "INSERT INTO piece_decision (created_at, created_by, piece_change_id, decision, note)
         VALUES (?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(change)
    .bind(decision.code())
    .bind(note)
    .execute(&mut **tx)
    .await?;
    if decision == Decision::Keep {
        let now = now.ok_or(StoreError::Missing("piece"))?;
        if to != sheet {
            return Err(StoreError::Stale("cut sheet"));
        }
        super::bench::tick(tx, made, (id, sheet), &now, true).await?;
    }
    Ok(())
}
