//! What the firm's settings give to every sheet: the reach of the firm's
//! usual saw and the way with lengths.

use sqlx::SqlitePool;

use crate::db::StoreError;
use crate::firm;
use crate::heads::shop::Shop;
use crate::web::FirmBasics;

/// The firm's usual saw and the firm's way with lengths.
///
/// # Errors
/// `Missing` if the firm has no saw, the database's.
pub async fn shop(pool: &SqlitePool, basics: &FirmBasics) -> Result<Shop, StoreError> {
    Ok(Shop::at(&firm::usual_saw(pool).await?, basics))
}
