//! Suppliers, boards and mouldings in their tables; the rack is in `rack`.

pub mod rack;

use sqlx::SqlitePool;

use crate::access::Made;
use crate::db::{Stamp, StoreError, Tx};
use crate::measure::{Length, Money};
use crate::web::ListQuery;

use super::model::{
    Flip, ItemFacts, Sold, StockForm, StockItem, StockItemId, StockLength, StockLengthId, Supplier,
    SupplierFacts, SupplierId,
};

#[derive(sqlx::FromRow)]
struct SupplierRow {
    id: i64,
    name: String,
    phone: String,
    note: String,
    version: i64,
    archived_at: Option<i64>,
}

impl From<SupplierRow> for Supplier {
    fn from(row: SupplierRow) -> Self {
        Self {
            id: SupplierId::new(row.id),
            facts: SupplierFacts {
                name: row.name,
                phone: row.phone,
                note: row.note,
            },
            version: row.version,
            archived_at: row.archived_at.map(Stamp::from_millis),
        }
    }
}

/// Every supplier, live ones first.
///
/// # Errors
/// The database's.
pub async fn suppliers(pool: &SqlitePool) -> Result<Vec<Supplier>, StoreError> {
    let rows: Vec<SupplierRow> = sqlx::query_as(
        "SELECT id, name, phone, note, version, archived_at FROM supplier
         ORDER BY archived_at IS NOT NULL, name COLLATE NOCASE LIMIT 500",
    )
    .fetch_all(pool)
    .await?;
    Ok(rows.into_iter().map(Supplier::from).collect())
}

/// One supplier.
///
/// # Errors
/// `Missing`; the database's.
pub async fn supplier(pool: &SqlitePool, id: SupplierId) -> Result<Supplier, StoreError> {
    let row: Option<SupplierRow> = sqlx::query_as(
        "SELECT id, name, phone, note, version, archived_at FROM supplier WHERE id = ?",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?;
    row.map(Supplier::from)
        .ok_or(StoreError::Missing("supplier"))
}

/// Adds a supplier.
///
/// # Errors
/// `Taken("name")`; the database's.
pub async fn add_supplier(
    tx: &mut Tx,
    made: Made,
    facts: &SupplierFacts,
) -> Result<SupplierId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO supplier (name, phone, note, created_at, created_by) VALUES (?, ?, ?, ?, ?)",
    )
    .bind(&facts.name)
    .bind(&facts.phone)
    .bind(&facts.note)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("name"))?;
    Ok(SupplierId::new(done.last_insert_rowid()))
}

/// Writes a supplier's facts over version `version`.
///
/// # Errors
/// `Taken("name")`; `Stale`; the database's.
pub async fn change_supplier(
    tx: &mut Tx,
    id: SupplierId,
    version: i64,
    facts: &SupplierFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE supplier SET name = ?, phone = ?, note = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(&facts.name)
    .bind(&facts.phone)
    .bind(&facts.note)
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("name"))?;
    StoreError::unless_one(done.rows_affected(), "supplier")
}

#[derive(sqlx::FromRow)]
struct ItemRow {
    id: i64,
    name: String,
    form: String,
    material: String,
    section: String,
    section_id: Option<i64>,
    nominal: String,
    thickness_nm: i64,
    width_nm: i64,
    flip: String,
    match_runs: bool,
    keep_nm: i64,
    note: String,
    version: i64,
    archived_at: Option<i64>,
}

impl TryFrom<ItemRow> for StockItem {
    type Error = StoreError;

    fn try_from(row: ItemRow) -> Result<Self, StoreError> {
        let bad = |column, value: &str| StoreError::unreadable("stock_item", column, row.id, value);
        Ok(Self {
            id: StockItemId::new(row.id),
            version: row.version,
            archived_at: row.archived_at.map(Stamp::from_millis),
            facts: ItemFacts {
                form: StockForm::from_code(&row.form).ok_or_else(|| bad("form", &row.form))?,
                flip: Flip::from_code(&row.flip).ok_or_else(|| bad("flip", &row.flip))?,
                name: row.name,
                material: row.material,
                section: row.section,
                drawn: row.section_id,
                nominal: row.nominal,
                thickness: Length::from_nanometres(row.thickness_nm),
                width: Length::from_nanometres(row.width_nm),
                match_runs: row.match_runs,
                keep: Length::from_nanometres(row.keep_nm),
                note: row.note,
            },
        })
    }
}

/// Boards and mouldings of one page of the list, one more if more follow.
///
/// # Errors
/// The database's.
pub async fn items(pool: &SqlitePool, query: &ListQuery) -> Result<Vec<StockItem>, StoreError> {
    let (most, skip) = query.window();
    let rows: Vec<ItemRow> = sqlx::query_as(
        r"SELECT * FROM stock_item
          WHERE (archived_at IS NOT NULL) = ?1
            AND (name LIKE ?2 ESCAPE '\' OR material LIKE ?2 ESCAPE '\'
                 OR section LIKE ?2 ESCAPE '\' OR nominal LIKE ?2 ESCAPE '\')
            AND (?3 = '' OR form = ?3)
          ORDER BY CASE ?4 WHEN 'material' THEN material END COLLATE NOCASE,
                   form DESC, name COLLATE NOCASE LIMIT ?5 OFFSET ?6",
    )
    .bind(query.wants_archived())
    .bind(query.like())
    .bind(StockForm::from_code(&query.only).map_or("", StockForm::code))
    .bind(&query.sort)
    .bind(most)
    .bind(skip)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Every live board and moulding, for choosing from.
///
/// # Errors
/// The database's.
pub async fn live_items(pool: &SqlitePool) -> Result<Vec<StockItem>, StoreError> {
    let rows: Vec<ItemRow> = sqlx::query_as(
        "SELECT * FROM stock_item WHERE archived_at IS NULL
         ORDER BY form DESC, name COLLATE NOCASE LIMIT 1000",
    )
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// One board or moulding.
///
/// # Errors
/// `Missing`; the database's.
pub async fn item(pool: &SqlitePool, id: StockItemId) -> Result<StockItem, StoreError> {
    let row: Option<ItemRow> = sqlx::query_as("SELECT * FROM stock_item WHERE id = ?")
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.ok_or(StoreError::Missing("stock item"))?.try_into()
}

/// Adds a board or moulding.
///
/// # Errors
/// `Taken("name")`; the database's.
pub async fn add_item(
    tx: &mut Tx,
    made: Made,
    facts: &ItemFacts,
) -> Result<StockItemId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO stock_item (name, form, material, section, nominal, thickness_nm, width_nm,
                                 flip, match_runs, keep_nm, note, section_id, created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(&facts.name)
    .bind(facts.form.code())
    .bind(&facts.material)
    .bind(&facts.section)
    .bind(&facts.nominal)
    .bind(facts.thickness.nanometres())
    .bind(facts.width.nanometres())
    .bind(facts.flip.code())
    .bind(facts.match_runs)
    .bind(facts.keep.nanometres())
    .bind(&facts.note)
    .bind(facts.drawn)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("name"))?;
    Ok(StockItemId::new(done.last_insert_rowid()))
}

/// Writes an item's facts over version `version`.
///
/// # Errors
/// `Taken("name")`; `Stale`; the database's.
pub async fn change_item(
    tx: &mut Tx,
    id: StockItemId,
    version: i64,
    facts: &ItemFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE stock_item SET name = ?, form = ?, material = ?, section = ?, nominal = ?,
                thickness_nm = ?, width_nm = ?, flip = ?, match_runs = ?, keep_nm = ?, note = ?,
                section_id = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(&facts.name)
    .bind(facts.form.code())
    .bind(&facts.material)
    .bind(&facts.section)
    .bind(&facts.nominal)
    .bind(facts.thickness.nanometres())
    .bind(facts.width.nanometres())
    .bind(facts.flip.code())
    .bind(facts.match_runs)
    .bind(facts.keep.nanometres())
    .bind(&facts.note)
    .bind(facts.drawn)
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("name"))?;
    StoreError::unless_one(done.rows_affected(), "stock item")
}

/// Puts an item away, or brings it back.
///
/// # Errors
/// `Stale`; the database's.
pub async fn archive_item(
    tx: &mut Tx,
    made: Made,
    id: StockItemId,
    version: i64,
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE stock_item SET archived_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "stock item")
}

#[derive(sqlx::FromRow)]
struct LengthRow {
    id: i64,
    item_id: i64,
    supplier_id: i64,
    supplier_name: String,
    length_nm: i64,
    price_cents: i64,
    lead_days: Option<i64>,
}

/// The lengths sold of every live item, or of one: item and length.
///
/// # Errors
/// The database's.
pub async fn lengths(
    pool: &SqlitePool,
    item: Option<StockItemId>,
) -> Result<Vec<(StockItemId, StockLength)>, StoreError> {
    let rows: Vec<LengthRow> = sqlx::query_as(
        "SELECT l.id, l.item_id, l.supplier_id, s.name AS supplier_name, l.length_nm,
                l.price_cents, l.lead_days
         FROM stock_length l JOIN supplier s ON s.id = l.supplier_id
         WHERE l.archived_at IS NULL AND s.archived_at IS NULL AND (?1 IS NULL OR l.item_id = ?1)
         ORDER BY l.item_id, l.length_nm, s.name COLLATE NOCASE LIMIT 10000",
    )
    .bind(item.map(StockItemId::get))
    .fetch_all(pool)
    .await?;
    let length = |row: LengthRow| {
        let sold = Sold {
            supplier: SupplierId::new(row.supplier_id),
            length: Length::from_nanometres(row.length_nm),
            price: Money::from_cents(row.price_cents),
            lead_days: row.lead_days,
        };
        let length = StockLength {
            id: StockLengthId::new(row.id),
            sold,
            supplier_name: row.supplier_name,
        };
        (StockItemId::new(row.item_id), length)
    };
    Ok(rows.into_iter().map(length).collect())
}

/// Adds a length sold; the same length of the same supplier takes the new
/// price.
///
/// # Errors
/// The database's.
pub async fn put_length(
    tx: &mut Tx,
    made: Made,
    item: StockItemId,
    sold: &Sold,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO stock_length (item_id, supplier_id, length_nm, price_cents, lead_days,
                                   created_at, created_by)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
         ON CONFLICT (item_id, supplier_id, length_nm)
         DO UPDATE SET price_cents = ?4, lead_days = ?5, archived_at = NULL",
    )
    .bind(item.get())
    .bind(sold.supplier.get())
    .bind(sold.length.nanometres())
    .bind(sold.price.cents())
    .bind(sold.lead_days)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Takes a length off the shelf.
///
/// # Errors
/// `Missing` if the item has no such length; the database's.
pub async fn drop_length(
    tx: &mut Tx,
    made: Made,
    item: StockItemId,
    length: StockLengthId,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE stock_length SET archived_at = ? WHERE id = ? AND item_id = ? AND archived_at IS NULL",
    )
    .bind(made.at.millis())
    .bind(length.get())
    .bind(item.get())
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Err(StoreError::Missing("length sold"));
    }
    Ok(())
}
