//! Limits of glue and paint, the weather of days, and where heads stand.

use std::collections::HashMap;

use chrono::NaiveDate;
use sqlx::{FromRow, SqlitePool};

use super::day;
use crate::access::Made;
use crate::crew::weather::{Limit, Weather};
use crate::db::{StoreError, Tx};
use crate::heads::{HeadId, StepId};

#[derive(FromRow)]
struct LimitRow {
    id: i64,
    name: String,
    step_id: i64,
    low_f: Option<f64>,
    high_f: Option<f64>,
    dry: bool,
}

/// The limits in use.
///
/// # Errors
/// The database's.
pub async fn limits(pool: &SqlitePool) -> Result<Vec<Limit>, StoreError> {
    let rows: Vec<LimitRow> = sqlx::query_as(
        "SELECT l.id, l.name, l.step_id, l.low_f, l.high_f, l.dry FROM weather_limit l
         JOIN head_step s ON s.id = l.step_id WHERE l.retired_at IS NULL
         ORDER BY s.position, l.name, l.id LIMIT 200",
    )
    .fetch_all(pool)
    .await?;
    let one = |row: LimitRow| Limit {
        id: row.id,
        name: row.name,
        step: StepId::new(row.step_id),
        low: row.low_f,
        high: row.high_f,
        dry: row.dry,
    };
    Ok(rows.into_iter().map(one).collect())
}

/// Writes a limit down.
///
/// # Errors
/// The database's.
pub async fn add_limit(tx: &mut Tx, made: Made, limit: &Limit) -> Result<i64, StoreError> {
    let done = sqlx::query(
        "INSERT INTO weather_limit (created_at, created_by, name, step_id, low_f, high_f, dry)
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(&limit.name)
    .bind(limit.step.get())
    .bind(limit.low)
    .bind(limit.high)
    .bind(limit.dry)
    .execute(&mut **tx)
    .await?;
    Ok(done.last_insert_rowid())
}

/// A limit no longer counts.
///
/// # Errors
/// `Missing`, the database's.
pub async fn retire_limit(tx: &mut Tx, made: Made, id: i64) -> Result<(), StoreError> {
    let done =
        sqlx::query("UPDATE weather_limit SET retired_at = ? WHERE id = ? AND retired_at IS NULL")
            .bind(made.at.millis())
            .bind(id)
            .execute(&mut **tx)
            .await?;
    if done.rows_affected() == 1 {
        Ok(())
    } else {
        Err(StoreError::Missing("limit"))
    }
}

#[derive(FromRow)]
struct WeatherRow {
    id: i64,
    day: String,
    low_f: f64,
    high_f: f64,
    wet: bool,
}

/// What the days between two are expected to be, both counted.
///
/// # Errors
/// The database's.
pub async fn expected(
    pool: &SqlitePool,
    (from, to): (NaiveDate, NaiveDate),
) -> Result<HashMap<NaiveDate, Weather>, StoreError> {
    let rows: Vec<WeatherRow> = sqlx::query_as(
        "SELECT id, day, low_f, high_f, wet FROM weather_day w WHERE day BETWEEN ? AND ?
           AND NOT EXISTS (SELECT 1 FROM weather_day n WHERE n.day = w.day AND n.id > w.id)",
    )
    .bind(from.to_string())
    .bind(to.to_string())
    .fetch_all(pool)
    .await?;
    let one = |row: WeatherRow| {
        let day = day("weather_day", row.id, &row.day)?;
        let weather = Weather {
            day,
            low: row.low_f,
            high: row.high_f,
            wet: row.wet,
        };
        Ok((day, weather))
    };
    rows.into_iter().map(one).collect()
}

/// Writes down what a day is expected to be.
///
/// # Errors
/// The database's.
pub async fn add_weather(tx: &mut Tx, made: Made, new: &Weather) -> Result<i64, StoreError> {
    let done = sqlx::query(
        "INSERT INTO weather_day (created_at, created_by, day, low_f, high_f, wet)
         VALUES (?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(new.day.to_string())
    .bind(new.low)
    .bind(new.high)
    .bind(new.wet)
    .execute(&mut **tx)
    .await?;
    Ok(done.last_insert_rowid())
}

/// Writes down where a head or its cut pieces stand.
///
/// # Errors
/// The database's.
pub async fn add_stand(
    tx: &mut Tx,
    made: Made,
    head: HeadId,
    words: &str,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO head_stand (created_at, created_by, head_id, words) VALUES (?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(head.get())
    .bind(words)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Where every live head stands that somebody has said it of.
///
/// # Errors
/// The database's.
pub async fn stands(pool: &SqlitePool) -> Result<HashMap<HeadId, String>, StoreError> {
    let rows: Vec<(i64, String)> = sqlx::query_as(
        "SELECT s.head_id, s.words FROM head_stand s JOIN head ON head.id = s.head_id
         WHERE head.archived_at IS NULL
           AND NOT EXISTS (SELECT 1 FROM head_stand n WHERE n.head_id = s.head_id AND n.id > s.id)",
    )
    .fetch_all(pool)
    .await?;
    Ok(rows
        .into_iter()
        .map(|(head, words)| (HeadId::new(head), words))
        .collect())
}
