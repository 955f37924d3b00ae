//! The firm's saws and what its settings give to every sheet.

use sqlx::{FromRow, SqlitePool};

use crate::access::Made;
use crate::db::{StoreError, Tx};
use crate::heads::model::{SawFacts, SawId, SawRow};
use crate::heads::sheet::Wording;
use crate::heads::shop::Shop;
use crate::measure::{Length, Rounding, Unit};
use crate::trim::design::Saw;
use crate::web::{self, FirmBasics};

#[derive(FromRow)]
struct Row {
    id: i64,
    name: String,
    swing_left_deg: f64,
    swing_right_deg: f64,
    tilt_left_deg: f64,
    tilt_right_deg: f64,
    max_height_nm: i64,
    max_depth_nm: i64,
    kerf_nm: i64,
    version: i64,
    is_default: bool,
}

impl From<Row> for SawRow {
    fn from(row: Row) -> Self {
        Self {
            id: SawId::new(row.id),
            version: row.version,
            is_default: row.is_default,
            facts: SawFacts {
                name: row.name,
                swing_left: row.swing_left_deg,
                swing_right: row.swing_right_deg,
                tilt_left: row.tilt_left_deg,
                tilt_right: row.tilt_right_deg,
                max_height: Length::from_nanometres(row.max_height_nm),
                max_depth: Length::from_nanometres(row.max_depth_nm),
                kerf: Length::from_nanometres(row.kerf_nm),
            },
        }
    }
}

/// The firm's saws, the default first.
///
/// # Errors
/// The database's.
pub async fn all(pool: &SqlitePool) -> Result<Vec<SawRow>, StoreError> {
    let rows: Vec<Row> = sqlx::query_as(
        "SELECT saw.id, saw.name, swing_left_deg, swing_right_deg, tilt_left_deg, tilt_right_deg,
                max_height_nm, max_depth_nm, kerf_nm, saw.version, saw.id = firm.saw_id AS is_default
         FROM saw JOIN firm ON firm.id = 1 WHERE saw.archived_at IS NULL
         ORDER BY is_default DESC, saw.name, saw.id",
    )
    .fetch_all(pool)
    .await?;
    Ok(rows.into_iter().map(SawRow::from).collect())
}

/// One saw.
///
/// # Errors
/// `Missing`, the database's.
pub async fn one(pool: &SqlitePool, id: SawId) -> Result<SawRow, StoreError> {
    all(pool)
        .await?
        .into_iter()
        .find(|saw| saw.id == id)
        .ok_or(StoreError::Missing("saw"))
}

/// The default saw's limits and the firm's way with lengths.
///
/// # Errors
/// The database's.
pub async fn shop(pool: &SqlitePool, firm: &FirmBasics) -> Result<Shop, StoreError> {
    let saw = all(pool).await?.into_iter().find(|saw| saw.is_default);
    let saw = saw.ok_or(StoreError::Missing("saw"))?.facts;
    let short: i64 = sqlx::query_scalar("SELECT short_piece_nm FROM firm WHERE id = 1")
        .fetch_one(pool)
        .await?;
    let unit = match firm.unit {
        web::Unit::Inch => Unit::Inch,
        web::Unit::Millimetre => Unit::Millimetre,
    };
    let rounding = match (unit, firm.fraction) {
        (Unit::Millimetre, _) => Rounding::HalfMillimetre,
        (_, 32) => Rounding::ThirtySecond,
        _ => Rounding::Sixteenth,
    };
    let wording = Wording {
        rounding,
        short: Length::from_nanometres(short).inches(),
        kerf: saw.kerf.inches(),
    };
    let limits = Saw {
        swing_left: Some(saw.swing_left),
        swing_right: Some(saw.swing_right),
        tilt_left: Some(saw.tilt_left),
        tilt_right: Some(saw.tilt_right),
        max_height: Some(saw.max_height),
        max_depth: Some(saw.max_depth),
        kerf: Some(saw.kerf),
    };
    Ok(Shop {
        saw: limits,
        wording,
        unit,
    })
}

/// Adds a saw.
///
/// # Errors
/// The database's.
pub async fn add(tx: &mut Tx, made: Made, saw: &SawFacts) -> Result<SawId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO saw (name, swing_left_deg, swing_right_deg, tilt_left_deg, tilt_right_deg,
                          max_height_nm, max_depth_nm, kerf_nm, created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(&saw.name)
    .bind(saw.swing_left)
    .bind(saw.swing_right)
    .bind(saw.tilt_left)
    .bind(saw.tilt_right)
    .bind(saw.max_height.nanometres())
    .bind(saw.max_depth.nanometres())
    .bind(saw.kerf.nanometres())
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    Ok(SawId::new(done.last_insert_rowid()))
}

/// Changes a saw at `version`.
///
/// # Errors
/// `Stale` if it moved on, the database's.
pub async fn save(
    tx: &mut Tx,
    (id, version): (SawId, i64),
    saw: &SawFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE saw SET name = ?, swing_left_deg = ?, swing_right_deg = ?, tilt_left_deg = ?,
                tilt_right_deg = ?, max_height_nm = ?, max_depth_nm = ?, kerf_nm = ?,
                version = version + 1
         WHERE id = ? AND version = ? AND archived_at IS NULL",
    )
    .bind(&saw.name)
    .bind(saw.swing_left)
    .bind(saw.swing_right)
    .bind(saw.tilt_left)
    .bind(saw.tilt_right)
    .bind(saw.max_height.nanometres())
    .bind(saw.max_depth.nanometres())
    .bind(saw.kerf.nanometres())
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 1 {
        Ok(())
    } else {
        Err(StoreError::Stale("saw"))
    }
}
