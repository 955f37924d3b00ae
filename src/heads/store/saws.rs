//! What the firm's settings give to every sheet: the saw's limits and the way
//! with lengths. The settings themselves are the firm's own pages.

use sqlx::{FromRow, SqlitePool};

use crate::db::StoreError;
use crate::heads::sheet::Wording;
use crate::heads::shop::Shop;
use crate::measure::Length;
use crate::trim::design::Saw;
use crate::web::FirmBasics;

#[derive(FromRow)]
struct Row {
    swing_left_deg: f64,
    swing_right_deg: f64,
    tilt_left_deg: f64,
    tilt_right_deg: f64,
    max_height_nm: i64,
    max_depth_nm: i64,
    kerf_nm: i64,
}

/// The firm's saw and the firm's way with lengths.
///
/// # Errors
/// `Missing` if the firm has no saw, the database's.
pub async fn shop(pool: &SqlitePool, firm: &FirmBasics) -> Result<Shop, StoreError> {
    let row: Option<Row> = sqlx::query_as(
        "SELECT swing_left_deg, swing_right_deg, tilt_left_deg, tilt_right_deg, max_height_nm,
                max_depth_nm, kerf_nm
         FROM saw JOIN firm ON firm.saw_id = saw.id WHERE firm.id = 1",
    )
    .fetch_optional(pool)
    .await?;
    let row = row.ok_or(StoreError::Missing("saw"))?;
    let kerf = Length::from_nanometres(row.kerf_nm);
    let saw = Saw {
        swing_left: Some(row.swing_left_deg),
        swing_right: Some(row.swing_right_deg),
        tilt_left: Some(row.tilt_left_deg),
        tilt_right: Some(row.tilt_right_deg),
        max_height: Some(Length::from_nanometres(row.max_height_nm)),
        max_depth: Some(Length::from_nanometres(row.max_depth_nm)),
        kerf: Some(kerf),
    };
    let wording = Wording {
        rounding: firm.rounding,
        short: firm.short_piece.inches(),
        kerf: kerf.inches(),
    };
    Ok(Shop {
        saw,
        wording,
        unit: firm.unit,
    })
}
