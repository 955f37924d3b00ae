//! The firm's settings in the database.

use sqlx::SqlitePool;

use crate::db::StoreError;
use crate::web::{FirmBasics, Unit};

#[derive(sqlx::FromRow)]
struct Row {
    name: String,
    zone: String,
    unit: String,
    fraction: i64,
}

/// What every page needs of the settings.
///
/// # Errors
/// A stored value that no longer parses; the database's.
pub async fn basics(pool: &SqlitePool) -> Result<FirmBasics, StoreError> {
    let row: Row = sqlx::query_as("SELECT name, zone, unit, fraction FROM firm WHERE id = 1")
        .fetch_one(pool)
        .await?;
    let bad = |column, why: &str| StoreError::unreadable("firm", column, 1, why);
    Ok(FirmBasics {
        zone: row
            .zone
            .parse()
            .map_err(|_| bad("zone", "no such time zone"))?,
        unit: Unit::from_code(&row.unit).ok_or_else(|| bad("unit", "neither in nor mm"))?,
        fraction: u8::try_from(row.fraction).map_err(|_| bad("fraction", "out of range"))?,
        name: row.name,
    })
}
