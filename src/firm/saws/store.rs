//! Saws, their test cuts and who works at which, in the database.

use sqlx::{FromRow, SqlitePool};

use super::model::{Saw, SawFacts, SawId, TestCut, axis_code, axis_from, hand_code, hand_from};
use crate::access::{Made, UserId};
use crate::db::{Stamp, StoreError, Tx};
use crate::measure::Length;
use crate::trim::design::SprungWay;
use crate::trim::dial::Reading;

#[derive(FromRow)]
struct Row {
    id: i64,
    name: String,
    user_id: Option<i64>,
    user_name: Option<String>,
    used_by: String,
    swing_left_deg: f64,
    swing_right_deg: f64,
    tilt_left_deg: f64,
    tilt_right_deg: f64,
    max_height_nm: i64,
    max_depth_nm: i64,
    kerf_nm: i64,
    sprung: String,
    usual: bool,
    archived_at: Option<i64>,
    version: i64,
}

impl From<Row> for Saw {
    fn from(row: Row) -> Self {
        Self {
            id: SawId::new(row.id),
            facts: SawFacts {
                name: row.name,
                user: row.user_id.map(UserId::new),
                used_by: row.used_by,
                swing_left: row.swing_left_deg,
                swing_right: row.swing_right_deg,
                tilt_left: row.tilt_left_deg,
                tilt_right: row.tilt_right_deg,
                max_height: Length::from_nanometres(row.max_height_nm),
                max_depth: Length::from_nanometres(row.max_depth_nm),
                kerf: Length::from_nanometres(row.kerf_nm),
                sprung: SprungWay::from_word(&row.sprung),
            },
            user_name: row.user_name,
            usual: row.usual,
            archived_at: row.archived_at.map(Stamp::from_millis),
            version: row.version,
        }
    }
}

/// The columns of a saw, joined to whoever uses it.
macro_rules! saws {
    ($rest:literal) => {
        concat!(
            "SELECT saw.id, saw.name, saw.user_id, user.name AS user_name, saw.used_by,
                    saw.swing_left_deg, saw.swing_right_deg, saw.tilt_left_deg, saw.tilt_right_deg,
                    saw.max_height_nm, saw.max_depth_nm, saw.kerf_nm, saw.sprung,
                    saw.id = (SELECT saw_id FROM firm WHERE id = 1) AS usual,
                    saw.archived_at, saw.version
             FROM saw LEFT JOIN user ON user.id = saw.user_id ",
            $rest
        )
    };
}

/// All saws, the usual one first, those put away last.
///
/// # Errors
/// The database's.
pub async fn saws(pool: &SqlitePool) -> Result<Vec<Saw>, StoreError> {
    let rows: Vec<Row> = sqlx::query_as(saws!(
        "ORDER BY saw.archived_at IS NOT NULL, usual DESC, saw.name, saw.id"
    ))
    .fetch_all(pool)
    .await?;
    Ok(rows.into_iter().map(Saw::from).collect())
}

/// One saw.
///
/// # Errors
/// `Missing`, the database's.
pub async fn saw(pool: &SqlitePool, id: SawId) -> Result<Saw, StoreError> {
    let row: Option<Row> = sqlx::query_as(saws!("WHERE saw.id = ?"))
        .bind(id.get())
        .fetch_optional(pool)
        .await?;
    row.map(Saw::from).ok_or(StoreError::Missing("saw"))
}

/// The saw that new sheets start with.
///
/// # Errors
/// `Missing` if the firm has none, the database's.
pub async fn usual_saw(pool: &SqlitePool) -> Result<Saw, StoreError> {
    let row: Option<Row> = sqlx::query_as(saws!(
        "WHERE saw.id = (SELECT saw_id FROM firm WHERE id = 1)"
    ))
    .fetch_optional(pool)
    .await?;
    row.map(Saw::from).ok_or(StoreError::Missing("saw"))
}

/// The saw this person works at: the one chosen last, else their own, else
/// the usual one.
///
/// # Errors
/// As [`usual_saw`].
pub async fn saw_of(pool: &SqlitePool, user: UserId) -> Result<Saw, StoreError> {
    let row: Option<Row> = sqlx::query_as(saws!(
        "WHERE saw.archived_at IS NULL
           AND (saw.id = (SELECT saw_id FROM person_saw WHERE user_id = ?1) OR saw.user_id = ?1)
         ORDER BY saw.id = (SELECT saw_id FROM person_saw WHERE user_id = ?1) DESC, saw.id LIMIT 1"
    ))
    .bind(user.get())
    .fetch_optional(pool)
    .await?;
    match row {
        Some(row) => Ok(row.into()),
        None => usual_saw(pool).await,
    }
}

/// Writes a saw down.
///
/// # Errors
/// The database's.
pub async fn add_saw(tx: &mut Tx, made: Made, new: &SawFacts) -> Result<SawId, StoreError> {
    let id: Option<i64> = sqlx::query_scalar(
        "INSERT INTO saw (name, user_id, used_by, swing_left_deg, swing_right_deg, tilt_left_deg,
                tilt_right_deg, max_height_nm, max_depth_nm, kerf_nm, sprung, created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id",
    )
    .bind(&new.name)
    .bind(new.user.map(UserId::get))
    .bind(&new.used_by)
    .bind(new.swing_left)
    .bind(new.swing_right)
    .bind(new.tilt_left)
    .bind(new.tilt_right)
    .bind(new.max_height.nanometres())
    .bind(new.max_depth.nanometres())
    .bind(new.kerf.nanometres())
    .bind(new.sprung.map_or("", SprungWay::word))
    .bind(made.at.millis())
    .bind(made.user())
    .fetch_one(&mut **tx)
    .await?;
    id.map(SawId::new).ok_or(StoreError::Missing("saw"))
}

/// Changes a saw at `version`.
///
/// # Errors
/// `Stale` if the version moved on, the database's.
pub async fn change_saw(
    tx: &mut Tx,
    (id, version): (SawId, i64),
    new: &SawFacts,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE saw SET name = ?, user_id = ?, used_by = ?, swing_left_deg = ?, swing_right_deg = ?,
                tilt_left_deg = ?, tilt_right_deg = ?, max_height_nm = ?, max_depth_nm = ?,
                kerf_nm = ?, sprung = ?, version = version + 1
         WHERE id = ? AND version = ?",
    )
    .bind(&new.name)
    .bind(new.user.map(UserId::get))
    .bind(&new.used_by)
    .bind(new.swing_left)
    .bind(new.swing_right)
    .bind(new.tilt_left)
    .bind(new.tilt_right)
    .bind(new.max_height.nanometres())
    .bind(new.max_depth.nanometres())
    .bind(new.kerf.nanometres())
    .bind(new.sprung.map_or("", SprungWay::word))
    .bind(id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "saw")
}

/// Puts a saw away, or brings it back. The usual saw stays.
///
/// # Errors
/// `Stale` if the version moved on or it is the usual saw, the database's.
pub async fn archive_saw(
    tx: &mut Tx,
    made: Made,
    (id, version): (SawId, i64),
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE saw SET archived_at = ?, version = version + 1
         WHERE id = ? AND version = ? AND NOT (? AND id = (SELECT saw_id FROM firm WHERE id = 1))",
    )
    .bind(away.then_some(made.at.millis()))
    .bind(id.get())
    .bind(version)
    .bind(away)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "saw")
}

/// Makes a live saw the one that new sheets start with.
///
/// # Errors
/// `Stale` if the saw was put away, the database's.
pub async fn make_usual(tx: &mut Tx, id: SawId) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE firm SET saw_id = ?1
         WHERE id = 1 AND EXISTS (SELECT 1 FROM saw WHERE id = ?1 AND archived_at IS NULL)",
    )
    .bind(id.get())
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "saw")
}

/// Remembers the saw that a person works at.
///
/// # Errors
/// The database's.
pub async fn work_at(tx: &mut Tx, made: Made, user: UserId, id: SawId) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO person_saw (user_id, saw_id, chosen_at) VALUES (?1, ?2, ?3)
         ON CONFLICT (user_id) DO UPDATE SET saw_id = ?2, chosen_at = ?3",
    )
    .bind(user.get())
    .bind(id.get())
    .bind(made.at.millis())
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Writes a test cut down.
///
/// # Errors
/// The database's.
pub async fn add_test(tx: &mut Tx, made: Made, id: SawId, cut: &TestCut) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO saw_test (created_at, created_by, saw_id, day, axis, side, set_deg,
                measured_deg, note)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(id.get())
    .bind(cut.day)
    .bind(axis_code(cut.reading.axis))
    .bind(hand_code(cut.reading.side))
    .bind(cut.reading.set)
    .bind(cut.reading.measured)
    .bind(&cut.note)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

#[derive(FromRow)]
struct TestRow {
    id: i64,
    day: chrono::NaiveDate,
    axis: String,
    side: String,
    set_deg: f64,
    measured_deg: f64,
    note: String,
    who: Option<String>,
}

impl TryFrom<TestRow> for TestCut {
    type Error = StoreError;

    fn try_from(row: TestRow) -> Result<Self, StoreError> {
        let bad = |column| StoreError::unreadable("saw_test", column, row.id, "no such word");
        let reading = Reading {
            axis: axis_from(&row.axis).ok_or_else(|| bad("axis"))?,
            side: hand_from(&row.side).ok_or_else(|| bad("side"))?,
            set: row.set_deg,
            measured: row.measured_deg,
        };
        Ok(Self {
            day: row.day,
            reading,
            note: row.note,
            who: row.who,
        })
    }
}

/// The test cuts of a saw, the newest day first and of one day the one
/// written down last.
///
/// # Errors
/// A stored word that no longer parses, the database's.
pub async fn tests_of(pool: &SqlitePool, id: SawId) -> Result<Vec<TestCut>, StoreError> {
    let rows: Vec<TestRow> = sqlx::query_as(
        "SELECT t.id, t.day, t.axis, t.side, t.set_deg, t.measured_deg, t.note, user.name AS who
         FROM saw_test t LEFT JOIN user ON user.id = t.created_by
         WHERE t.saw_id = ? ORDER BY t.day DESC, t.id DESC LIMIT 200",
    )
    .bind(id.get())
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TestCut::try_from).collect()
}
