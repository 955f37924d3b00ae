//! The firm's settings in the database.

use sqlx::SqlitePool;

use crate::db::{StoreError, Tx};
use crate::measure::{Length, Rounding, Unit};
use crate::web::FirmBasics;

use super::Firm;

#[derive(sqlx::FromRow)]
struct Row {
    name: String,
    zone: String,
    unit: String,
    fraction: i64,
    short_piece_nm: i64,
    version: i64,
}

impl TryFrom<Row> for Firm {
    type Error = StoreError;

    fn try_from(row: Row) -> Result<Self, StoreError> {
        let bad = |column, why: &str| StoreError::unreadable("firm", column, 1, why);
        let unit = Unit::from_symbol(&row.unit).ok_or_else(|| bad("unit", "neither in nor mm"))?;
        let rounding = match (unit.is_metric(), row.fraction) {
            (true, _) => Rounding::HalfMillimetre,
            (false, 16) => Rounding::Sixteenth,
            (false, 32) => Rounding::ThirtySecond,
            _ => return Err(bad("fraction", "neither 16 nor 32")),
        };
        let basics = FirmBasics {
            zone: row
                .zone
                .parse()
                .map_err(|_| bad("zone", "no such time zone"))?,
            name: row.name,
            unit,
            rounding,
            short_piece: Length::from_nanometres(row.short_piece_nm),
        };
        Ok(Self {
            basics,
            version: row.version,
        })
    }
}

/// The settings.
///
/// # Errors
/// A stored value that no longer parses; the database's.
pub async fn firm(pool: &SqlitePool) -> Result<Firm, StoreError> {
    sqlx::query_as::<_, Row>(
        "SELECT name, zone, unit, fraction, short_piece_nm, version FROM firm WHERE id = 1",
    )
    .fetch_one(pool)
    .await?
    .try_into()
}

/// What every page needs of the settings.
///
/// # Errors
/// As [`firm`].
pub async fn basics(pool: &SqlitePool) -> Result<FirmBasics, StoreError> {
    Ok(firm(pool).await?.basics)
}

/// Saves the settings at `new.version`.
///
/// # Errors
/// `Stale` if the version moved on; the database's.
pub async fn save(tx: &mut Tx, new: &Firm) -> Result<(), StoreError> {
    let fraction = if new.basics.rounding == Rounding::ThirtySecond {
        32
    } else {
        16
    };
    let done = sqlx::query(
        "UPDATE firm SET name = ?, zone = ?, unit = ?, fraction = ?, short_piece_nm = ?,
                version = version + 1 WHERE id = 1 AND version = ?",
    )
    .bind(&new.basics.name)
    .bind(new.basics.zone.name())
    .bind(new.basics.unit.symbol())
    .bind(fraction)
    .bind(new.basics.short_piece.nanometres())
    .bind(new.version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "firm's settings")
}

/// Whether there is such a person.
pub async fn has_person(pool: &SqlitePool, id: i64) -> Result<bool, StoreError> {
    let count: i64 = sqlx::query_scalar("SELECT count(*) FROM user WHERE id = ?")
        .bind(id)
        .fetch_one(pool)
        .await?;
    Ok(count == 1)
}

/// Whether there is such an invite, still open or not.
pub async fn has_invite(pool: &SqlitePool, id: i64) -> Result<bool, StoreError> {
    let count: i64 = sqlx::query_scalar("SELECT count(*) FROM invite WHERE id = ?")
        .bind(id)
        .fetch_one(pool)
        .await?;
    Ok(count == 1)
}
