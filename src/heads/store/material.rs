//! What a head is made of: the firm's usual, and a head's own.

use sqlx::{FromRow, SqlitePool};

use crate::access::Made;
use crate::db::{StoreError, Tx};
use crate::heads::material::MadeOf;
use crate::heads::model::HeadId;
use crate::trim::around::head::Site;
use crate::trim::around::movement::Grain;

#[derive(FromRow)]
struct Row {
    version: i64,
    material: String,
    grain: String,
    dry: f64,
    fixed_at: f64,
    wet: f64,
    cold_f: f64,
    fixed_f: f64,
    hot_f: f64,
}

impl From<Row> for MadeOf {
    fn from(row: Row) -> Self {
        Self {
            version: row.version,
            material: row.material,
            grain: if row.grain == "quarter" {
                Grain::Quarter
            } else {
                Grain::Flat
            },
            site: Site {
                moisture: (row.dry, row.fixed_at, row.wet),
                fahrenheit: (row.cold_f, row.fixed_f, row.hot_f),
            },
        }
    }
}

/// The firm's usual.
///
/// # Errors
/// The database's.
pub async fn of_firm(pool: &SqlitePool) -> Result<MadeOf, StoreError> {
    let row: Row = sqlx::query_as(
        "SELECT version, material, grain, dry, fixed_at, wet, cold_f, fixed_f, hot_f
         FROM firm_material WHERE id = 1",
    )
    .fetch_one(pool)
    .await?;
    Ok(row.into())
}

/// What this head is made of; `None` if it is the firm's usual.
///
/// # Errors
/// The database's.
pub async fn of_head(pool: &SqlitePool, id: HeadId) -> Result<Option<MadeOf>, StoreError> {
    let row: Option<Row> = sqlx::query_as(
        "SELECT version, material, grain, dry, fixed_at, wet, cold_f, fixed_f, hot_f
         FROM head_material WHERE head_id = ?",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?;
    Ok(row.map(MadeOf::from))
}

const fn grain(made_of: &MadeOf) -> &'static str {
    match made_of.grain {
        Grain::Flat => "flat",
        Grain::Quarter => "quarter",
    }
}

/// Saves the firm's usual at `new.version`.
///
/// # Errors
/// `Stale`, the database's.
pub async fn save_firm(tx: &mut Tx, new: &MadeOf) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE firm_material SET material = ?, grain = ?, dry = ?, fixed_at = ?, wet = ?,
                cold_f = ?, fixed_f = ?, hot_f = ?, version = version + 1
         WHERE id = 1 AND version = ?",
    )
    .bind(&new.material)
    .bind(grain(new))
    .bind(new.site.moisture.0)
    .bind(new.site.moisture.1)
    .bind(new.site.moisture.2)
    .bind(new.site.fahrenheit.0)
    .bind(new.site.fahrenheit.1)
    .bind(new.site.fahrenheit.2)
    .bind(new.version)
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 1 {
        Ok(())
    } else {
        Err(StoreError::Stale("usual material"))
    }
}

/// Saves what a head is made of at `new.version`; version 0: it had none of
/// its own.
///
/// # Errors
/// `Stale`, the database's.
pub async fn save_head(
    tx: &mut Tx,
    made: Made,
    id: HeadId,
    new: &MadeOf,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "INSERT INTO head_material (head_id, created_at, created_by, material, grain, dry,
                fixed_at, wet, cold_f, fixed_f, hot_f)
         SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11
         WHERE ?12 > 0 OR NOT EXISTS (SELECT 1 FROM head_material WHERE head_id = ?1)
         ON CONFLICT (head_id) DO UPDATE SET material = excluded.material,
                grain = excluded.grain, dry = excluded.dry, fixed_at = excluded.fixed_at,
                wet = excluded.wet, cold_f = excluded.cold_f, fixed_f = excluded.fixed_f,
                hot_f = excluded.hot_f, version = head_material.version + 1
         WHERE head_material.version = ?12",
    )
    .bind(id.get())
    .bind(made.at.millis())
    .bind(made.user())
    .bind(&new.material)
    .bind(grain(new))
    .bind(new.site.moisture.0)
    .bind(new.site.moisture.1)
    .bind(new.site.moisture.2)
    .bind(new.site.fahrenheit.0)
    .bind(new.site.fahrenheit.1)
    .bind(new.site.fahrenheit.2)
    .bind(new.version)
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 1 {
        Ok(())
    } else {
        Err(StoreError::Stale("head's material"))
    }
}
