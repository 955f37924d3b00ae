//! What was asked, what came out, what was bought and what is cut: rows that
//! never change.

use std::collections::BTreeMap;

use sqlx::SqlitePool;

use crate::access::Made;
use crate::db::{Stamp, StoreError, Tx};
use crate::measure::{Length, Money};
use crate::orders::model::{
    How, OrderId, Outcome, Purchase, PurchaseLine, Request, SoldRef, Solve, SolveId,
};
use crate::stock::{StockItemId, SupplierId};

/// Keeps what is asked of one moulding.
///
/// # Errors
/// The database's.
pub async fn add_solve(
    tx: &mut Tx,
    made: Made,
    (order, round): (OrderId, i64),
    (name, item): (&str, StockItemId),
    request: &Request,
) -> Result<SolveId, StoreError> {
    let text = serde_json::to_string(request)
        .map_err(|why| StoreError::unreadable("lumber_solve", "request", order.get(), why))?;
    let done = sqlx::query(
        "INSERT INTO lumber_solve (order_id, round, name, item_id, request, created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(order.get())
    .bind(round)
    .bind(name)
    .bind(item.get())
    .bind(text)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    Ok(SolveId::new(done.last_insert_rowid()))
}

/// Keeps what came out; once.
///
/// # Errors
/// `Taken` if it has come out already; the database's.
pub async fn put_result(
    tx: &mut Tx,
    at: Stamp,
    solve: SolveId,
    how: How,
    outcome: Option<&Outcome>,
) -> Result<(), StoreError> {
    let text = serde_json::to_string(&outcome)
        .map_err(|why| StoreError::unreadable("lumber_result", "result", solve.get(), why))?;
    sqlx::query(
        "INSERT INTO lumber_result (solve_id, how, result, created_at) VALUES (?, ?, ?, ?)",
    )
    .bind(solve.get())
    .bind(how.code())
    .bind(text)
    .bind(at.millis())
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("result"))?;
    Ok(())
}

#[derive(sqlx::FromRow)]
struct SolveRow {
    id: i64,
    name: String,
    item_id: i64,
    item_name: String,
    request: String,
    how: Option<String>,
    result: Option<String>,
}

impl TryFrom<SolveRow> for Solve {
    type Error = StoreError;

    fn try_from(row: SolveRow) -> Result<Self, StoreError> {
        let request = serde_json::from_str(&row.request)
            .map_err(|why| StoreError::unreadable("lumber_solve", "request", row.id, why))?;
        let outcome = match (row.how, row.result) {
            (Some(how), Some(text)) => {
                let how = How::from_code(&how)
                    .ok_or_else(|| StoreError::unreadable("lumber_result", "how", row.id, how))?;
                let outcome: Option<Outcome> = serde_json::from_str(&text).map_err(|why| {
                    StoreError::unreadable("lumber_result", "result", row.id, why)
                })?;
                Some((how, outcome))
            }
            _ => None,
        };
        Ok(Self {
            id: SolveId::new(row.id),
            name: row.name,
            item: StockItemId::new(row.item_id),
            item_name: row.item_name,
            request,
            outcome,
        })
    }
}

/// The mouldings and boards of one round.
///
/// # Errors
/// `Unreadable` if what is stored no longer parses; the database's.
pub async fn solves(
    pool: &SqlitePool,
    order: OrderId,
    round: i64,
) -> Result<Vec<Solve>, StoreError> {
    let rows: Vec<SolveRow> = sqlx::query_as(
        "SELECT s.id, s.name, s.item_id, i.name AS item_name, s.request, r.how, r.result
         FROM lumber_solve s JOIN stock_item i ON i.id = s.item_id
         LEFT JOIN lumber_result r ON r.solve_id = s.id
         WHERE s.order_id = ? AND s.round = ? ORDER BY s.id",
    )
    .bind(order.get())
    .bind(round)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// The round after `seen`, for the solves of one press of the button.
///
/// # Errors
/// `Stale` if the order was placed or worked out again since; the database's.
pub async fn next_round(tx: &mut Tx, order: OrderId, seen: i64) -> Result<i64, StoreError> {
    let (round, last): (i64, Option<String>) = sqlx::query_as(
        "SELECT (SELECT coalesce(max(round), 0) FROM lumber_solve WHERE order_id = ?1),
                (SELECT what FROM lumber_event WHERE order_id = ?1 ORDER BY nth DESC LIMIT 1)",
    )
    .bind(order.get())
    .fetch_one(&mut **tx)
    .await?;
    if round != seen || last.as_deref() == Some("placed") {
        return Err(StoreError::Stale("lumber order"));
    }
    Ok(seen + 1)
}

/// Notes that an order is placed with this round, or taken back.
///
/// # Errors
/// `Stale` if it stands so already, or a newer round was worked out; the
/// database's.
pub async fn add_event(
    tx: &mut Tx,
    made: Made,
    (order, round): (OrderId, i64),
    placed: bool,
) -> Result<i64, StoreError> {
    let what = if placed { "placed" } else { "taken-back" };
    let done = sqlx::query(
        "INSERT INTO lumber_event (order_id, nth, what, round, created_at, created_by)
         SELECT ?1, (SELECT coalesce(max(nth), 0) + 1 FROM lumber_event WHERE order_id = ?1),
                ?2, ?3, ?4, ?5
         WHERE coalesce((SELECT what FROM lumber_event WHERE order_id = ?1 ORDER BY nth DESC LIMIT 1),
                        'taken-back') <> ?2
           AND (SELECT max(round) FROM lumber_solve WHERE order_id = ?1) = ?3",
    )
    .bind(order.get())
    .bind(what)
    .bind(round)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "lumber order")?;
    Ok(done.last_insert_rowid())
}

/// Keeps what is bought of one supplier: item, length as sold, how many.
///
/// # Errors
/// The database's.
pub async fn add_purchase(
    tx: &mut Tx,
    made: Made,
    event: i64,
    supplier: SupplierId,
    lines: &[(StockItemId, SoldRef, i64)],
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO purchase (event_id, supplier_id, created_at, created_by) VALUES (?, ?, ?, ?)",
    )
    .bind(event)
    .bind(supplier.get())
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    let purchase = done.last_insert_rowid();
    for (item, sold, qty) in lines {
        sqlx::query(
            "INSERT INTO purchase_line (purchase_id, item_id, length_nm, qty, price_cents, lead_days,
                                        created_at, created_by)
             VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        )
        .bind(purchase)
        .bind(item.get())
        .bind(sold.length_nm)
        .bind(qty)
        .bind(sold.price_cents)
        .bind(sold.lead_days)
        .bind(made.at.millis())
        .bind(made.user())
        .execute(&mut **tx)
        .await?;
    }
    Ok(())
}

#[derive(sqlx::FromRow)]
struct BoughtRow {
    purchase_id: i64,
    supplier_name: String,
    phone: String,
    item_id: i64,
    item_name: String,
    match_runs: bool,
    length_nm: i64,
    qty: i64,
    price_cents: i64,
    lead_days: Option<i64>,
}

/// What a placing buys, by supplier.
///
/// # Errors
/// The database's.
pub async fn purchases(pool: &SqlitePool, event: i64) -> Result<Vec<Purchase>, StoreError> {
    let rows: Vec<BoughtRow> = sqlx::query_as(
        "SELECT p.id AS purchase_id, s.name AS supplier_name, s.phone, l.item_id,
                i.name AS item_name, i.match_runs, l.length_nm, l.qty, l.price_cents, l.lead_days
         FROM purchase p JOIN supplier s ON s.id = p.supplier_id
         JOIN purchase_line l ON l.purchase_id = p.id JOIN stock_item i ON i.id = l.item_id
         WHERE p.event_id = ? ORDER BY s.name COLLATE NOCASE, p.id, i.name COLLATE NOCASE, l.length_nm",
    )
    .bind(event)
    .fetch_all(pool)
    .await?;
    let mut out: Vec<Purchase> = Vec::new();
    for row in rows {
        let line = PurchaseLine {
            item: StockItemId::new(row.item_id),
            item_name: row.item_name,
            length: Length::from_nanometres(row.length_nm),
            qty: row.qty,
            price: Money::from_cents(row.price_cents),
            lead_days: row.lead_days,
            match_runs: row.match_runs,
        };
        match out.last_mut() {
            Some(last) if last.id == row.purchase_id => last.lines.push(line),
            _ => out.push(Purchase {
                id: row.purchase_id,
                supplier_name: row.supplier_name,
                phone: row.phone,
                lines: vec![line],
            }),
        }
    }
    Ok(out)
}

/// Which sticks of a round are cut: solve, stick from 1, by whom.
///
/// # Errors
/// The database's.
pub async fn cut_sticks(
    pool: &SqlitePool,
    order: OrderId,
    round: i64,
) -> Result<BTreeMap<(SolveId, i64), String>, StoreError> {
    let rows: Vec<(i64, i64, Option<String>)> = sqlx::query_as(
        "SELECT c.solve_id, c.stick, user.name FROM stick_cut c
         JOIN lumber_solve s ON s.id = c.solve_id LEFT JOIN user ON user.id = c.created_by
         WHERE s.order_id = ? AND s.round = ?",
    )
    .bind(order.get())
    .bind(round)
    .fetch_all(pool)
    .await?;
    Ok(rows
        .into_iter()
        .map(|(solve, stick, who)| {
            let who = who.unwrap_or_else(|| "somebody".into());
            ((SolveId::new(solve), stick), who)
        })
        .collect())
}

/// Notes that a stick is cut; once.
///
/// # Errors
/// `Taken` if it is cut already; the database's.
pub async fn cut_stick(
    tx: &mut Tx,
    made: Made,
    solve: SolveId,
    stick: i64,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO stick_cut (solve_id, stick, created_at, created_by) VALUES (?, ?, ?, ?)",
    )
    .bind(solve.get())
    .bind(stick)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("stick"))?;
    Ok(())
}

/// Whether any stick of a round is cut.
///
/// # Errors
/// The database's.
pub async fn any_cut(tx: &mut Tx, order: OrderId, round: i64) -> Result<bool, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT EXISTS (SELECT 1 FROM stick_cut c JOIN lumber_solve s ON s.id = c.solve_id
                        WHERE s.order_id = ? AND s.round = ?)",
    )
    .bind(order.get())
    .bind(round)
    .fetch_one(&mut **tx)
    .await?)
}

/// Whether an order is placed with this round, asked inside the transaction
/// that counts on it.
///
/// # Errors
/// `Stale` if it is not; the database's.
pub async fn still_placed(tx: &mut Tx, order: OrderId, round: i64) -> Result<(), StoreError> {
    let now: Option<(String, i64)> = sqlx::query_as(
        "SELECT what, round FROM lumber_event WHERE order_id = ? ORDER BY nth DESC LIMIT 1",
    )
    .bind(order.get())
    .fetch_optional(&mut **tx)
    .await?;
    if now == Some(("placed".into(), round)) {
        Ok(())
    } else {
        Err(StoreError::Stale("lumber order"))
    }
}
