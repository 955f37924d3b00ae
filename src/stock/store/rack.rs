//! Sticks on the rack and what happens to them: rows are added, the last one
//! says where a stick stands.

use serde_json::json;
use sqlx::{FromRow, SqlitePool};

use crate::access::Made;
use crate::db::{Stamp, StoreError, Tx};
use crate::measure::Length;
use crate::stock::model::{
    Defect, MoveRow, Offcut, OffcutFacts, OffcutId, RackState, StockItemId, StockMove,
};
use crate::web::ListQuery;

#[derive(FromRow)]
struct OffcutRow {
    id: i64,
    item_id: i64,
    item_name: String,
    length_nm: i64,
    width_nm: Option<i64>,
    place: String,
    job_id: Option<i64>,
    job_code: Option<String>,
    batch: String,
    defects: String,
    note: String,
    version: i64,
    what: String,
    order_id: Option<i64>,
}

impl TryFrom<OffcutRow> for Offcut {
    type Error = StoreError;

    fn try_from(row: OffcutRow) -> Result<Self, StoreError> {
        let what = StockMove::from_code(&row.what)
            .ok_or_else(|| StoreError::unreadable("stock_move", "what", row.id, &row.what))?;
        let pairs: Vec<(i64, i64)> = serde_json::from_str(&row.defects)
            .map_err(|why| StoreError::unreadable("offcut", "defects", row.id, why))?;
        let length = Length::from_nanometres;
        Ok(Self {
            id: OffcutId::new(row.id),
            item_name: row.item_name,
            job_code: row.job_code,
            state: what.state(),
            order: row.order_id,
            version: row.version,
            facts: OffcutFacts {
                item: StockItemId::new(row.item_id),
                length: length(row.length_nm),
                width: row.width_nm.map(length),
                place: row.place,
                job: row.job_id,
                batch: row.batch,
                defects: pairs
                    .into_iter()
                    .map(|(f, t)| (length(f), length(t)))
                    .collect(),
                note: row.note,
            },
        })
    }
}

/// A `SELECT` of sticks with their last move.
macro_rules! sticks {
    ($rest:literal) => {
        concat!(
            "SELECT o.id, o.item_id, i.name AS item_name, o.length_nm, o.width_nm, o.place,
                    o.job_id, job.code AS job_code, o.batch, o.defects, o.note, o.version,
                    m.what, m.order_id
             FROM offcut o JOIN stock_item i ON i.id = o.item_id
             LEFT JOIN job ON job.id = o.job_id
             JOIN stock_move m ON m.offcut_id = o.id
                  AND m.nth = (SELECT max(nth) FROM stock_move WHERE offcut_id = o.id) ",
            $rest
        )
    };
}

/// The sticks of one page of the rack, one more if more follow. `query.only`
/// is a state; without it those that are there.
///
/// # Errors
/// The database's.
pub async fn rack(pool: &SqlitePool, query: &ListQuery) -> Result<Vec<Offcut>, StoreError> {
    let (most, skip) = query.window();
    let rows: Vec<OffcutRow> = sqlx::query_as(sticks!(
        r"WHERE (i.name LIKE ?1 ESCAPE '\' OR o.place LIKE ?1 ESCAPE '\' OR o.batch LIKE ?1 ESCAPE '\'
                 OR 'R' || o.id LIKE ?1 ESCAPE '\')
            AND CASE ?2 WHEN 'free' THEN m.what IN ('racked', 'released')
                        WHEN 'reserved' THEN m.what = 'reserved'
                        WHEN 'used' THEN m.what = 'used'
                        WHEN 'scrapped' THEN m.what = 'scrapped'
                        ELSE m.what IN ('racked', 'released', 'reserved') END
          ORDER BY CASE ?3 WHEN 'place' THEN o.place END COLLATE NOCASE,
                   CASE ?3 WHEN 'long' THEN -o.length_nm END,
                   i.name COLLATE NOCASE, o.length_nm DESC, o.id LIMIT ?4 OFFSET ?5"
    ))
    .bind(query.like())
    .bind(RackState::from_code(&query.only).map_or("", RackState::code))
    .bind(&query.sort)
    .bind(most)
    .bind(skip)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// The free sticks of an item, the longest first.
///
/// # Errors
/// The database's.
pub async fn free_of(pool: &SqlitePool, item: StockItemId) -> Result<Vec<Offcut>, StoreError> {
    let rows: Vec<OffcutRow> = sqlx::query_as(sticks!(
        "WHERE o.item_id = ? AND m.what IN ('racked', 'released')
         ORDER BY o.length_nm DESC, o.id LIMIT 400"
    ))
    .bind(item.get())
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// One stick.
///
/// # Errors
/// `Missing`; the database's.
pub async fn offcut(pool: &SqlitePool, id: OffcutId) -> Result<Offcut, StoreError> {
    let row: Option<OffcutRow> = sqlx::query_as(sticks!("WHERE o.id = ?"))
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("offcut"))?.try_into()
}

fn defects_json(defects: &[Defect]) -> String {
    let pairs: Vec<(i64, i64)> = defects
        .iter()
        .map(|(f, t)| (f.nanometres(), t.nanometres()))
        .collect();
    json!(pairs).to_string()
}

/// Puts a stick on the rack; `order` where it is left over from one.
///
/// # Errors
/// The database's.
pub async fn add_offcut(
    tx: &mut Tx,
    made: Made,
    facts: &OffcutFacts,
    order: Option<i64>,
) -> Result<OffcutId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO offcut (item_id, length_nm, width_nm, place, job_id, batch, defects, note,
                             created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(facts.item.get())
    .bind(facts.length.nanometres())
    .bind(facts.width.map(Length::nanometres))
    .bind(&facts.place)
    .bind(facts.job)
    .bind(&facts.batch)
    .bind(defects_json(&facts.defects))
    .bind(&facts.note)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    let id = OffcutId::new(done.last_insert_rowid());
    move_offcut(tx, made, id, StockMove::Racked, order, "").await?;
    Ok(id)
}

/// Writes a stick's facts over version `version`; only while it is free.
///
/// # Errors
/// `Stale` if someone else changed or took it meanwhile; the database's.
pub async fn change_offcut(
    tx: &mut Tx,
    id: OffcutId,
    version: i64,
    facts: &OffcutFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE offcut SET item_id = ?, length_nm = ?, width_nm = ?, place = ?, job_id = ?,
                batch = ?, defects = ?, note = ?, version = version + 1
         WHERE id = ? AND version = ?
           AND (SELECT what FROM stock_move WHERE offcut_id = offcut.id ORDER BY nth DESC LIMIT 1)
               IN ('racked', 'released')",
    )
    .bind(facts.item.get())
    .bind(facts.length.nanometres())
    .bind(facts.width.map(Length::nanometres))
    .bind(&facts.place)
    .bind(facts.job)
    .bind(&facts.batch)
    .bind(defects_json(&facts.defects))
    .bind(&facts.note)
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "offcut")
}

/// Adds a move, if the stick stands so that it can be moved so: only a free
/// stick is reserved, a reserved one is used by the order that reserved it.
///
/// # Errors
/// `Stale("offcut")` if it does not; the database's.
pub async fn move_offcut(
    tx: &mut Tx,
    made: Made,
    id: OffcutId,
    what: StockMove,
    order: Option<i64>,
    reason: &str,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO stock_move (offcut_id, nth, what, order_id, reason, created_at, created_by)
         SELECT ?1, now.nth + 1, ?2, ?3, ?4, ?5, ?6 FROM (
             SELECT (SELECT what FROM stock_move WHERE offcut_id = ?1 ORDER BY nth DESC LIMIT 1) AS last,
                    (SELECT order_id FROM stock_move WHERE offcut_id = ?1 ORDER BY nth DESC LIMIT 1) AS holder,
                    (SELECT coalesce(max(nth), 0) FROM stock_move WHERE offcut_id = ?1) AS nth
         ) AS now
         WHERE CASE ?2
             WHEN 'racked' THEN now.last IS NULL OR now.last = 'scrapped'
             WHEN 'reserved' THEN now.last IN ('racked', 'released')
             WHEN 'released' THEN now.last = 'reserved'
             ELSE now.last IN ('racked', 'released', 'reserved') END
           AND (now.last IS NOT 'reserved' OR ?3 IS NULL OR now.holder IS ?3)",
    )
    .bind(id.get())
    .bind(what.code())
    .bind(order)
    .bind(reason)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "offcut")
}

#[derive(FromRow)]
struct MovedRow {
    id: i64,
    created_at: i64,
    who: Option<String>,
    what: String,
    order_id: Option<i64>,
    reason: String,
}

/// What happened to a stick, the latest first.
///
/// # Errors
/// The database's.
pub async fn moves(pool: &SqlitePool, id: OffcutId) -> Result<Vec<MoveRow>, StoreError> {
    let rows: Vec<MovedRow> = sqlx::query_as(
        "SELECT m.id, m.created_at, user.name AS who, m.what, m.order_id, m.reason
         FROM stock_move m LEFT JOIN user ON user.id = m.created_by
         WHERE m.offcut_id = ? ORDER BY m.nth DESC",
    )
    .bind(id.get())
    .fetch_all(pool)
    .await?;
    rows.into_iter()
        .map(|row| {
            let what = StockMove::from_code(&row.what)
                .ok_or_else(|| StoreError::unreadable("stock_move", "what", row.id, &row.what))?;
            Ok(MoveRow {
                at: Stamp::from_millis(row.created_at),
                who: row.who,
                what,
                order: row.order_id,
                reason: row.reason,
            })
        })
        .collect()
}

/// Live jobs for the form: row and words, no client in them.
///
/// # Errors
/// The database's.
pub async fn job_choices(pool: &SqlitePool) -> Result<Vec<(i64, String)>, StoreError> {
    Ok(sqlx::query_as(
        "SELECT id, code || ' · ' || title FROM job WHERE archived_at IS NULL ORDER BY code LIMIT 1000",
    )
    .fetch_all(pool)
    .await?)
}
