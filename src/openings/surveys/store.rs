//! Surveys in their table: rows that are added and never touched again.

use sqlx::SqlitePool;

use crate::access::Made;
use crate::db::{StoreError, Tx};
use crate::jobs::JobId;
use crate::measure::Length;
use crate::openings::model::{High, Lean, Measured, NewSurvey, OpeningId, Pass, Survey, SurveyId};

#[derive(sqlx::FromRow)]
struct SurveyRow {
    id: i64,
    opening_id: i64,
    pass: String,
    width_top_nm: Option<i64>,
    width_middle_nm: Option<i64>,
    width_bottom_nm: Option<i64>,
    height_left_nm: Option<i64>,
    height_middle_nm: Option<i64>,
    height_right_nm: Option<i64>,
    rising_nm: Option<i64>,
    falling_nm: Option<i64>,
    plumb_nm: Option<i64>,
    plumb_lean: String,
    level_nm: Option<i64>,
    level_high: String,
    by_name: String,
    measured_on: String,
    note: String,
}

impl TryFrom<SurveyRow> for Survey {
    type Error = StoreError;

    fn try_from(row: SurveyRow) -> Result<Self, StoreError> {
        let bad = |column, why: String| StoreError::unreadable("survey", column, row.id, why);
        let long = |nm: Option<i64>| nm.map(Length::from_nanometres);
        let pass = Pass::from_code(&row.pass).ok_or_else(|| bad("pass", row.pass.clone()))?;
        let on = row
            .measured_on
            .parse()
            .map_err(|e| bad("measured_on", format!("{e}")))?;
        Ok(Self {
            id: SurveyId::new(row.id),
            opening: OpeningId::new(row.opening_id),
            pass,
            measured: Measured {
                widths: [row.width_top_nm, row.width_middle_nm, row.width_bottom_nm].map(long),
                heights: [
                    row.height_left_nm,
                    row.height_middle_nm,
                    row.height_right_nm,
                ]
                .map(long),
                diagonals: [row.rising_nm, row.falling_nm].map(long),
                plumb: long(row.plumb_nm),
                lean: Lean::from_code(&row.plumb_lean),
                level: long(row.level_nm),
                high: High::from_code(&row.level_high),
            },
            by: row.by_name,
            on,
            note: row.note,
        })
    }
}

fn read(rows: Vec<SurveyRow>) -> Result<Vec<Survey>, StoreError> {
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Every measure of an opening, newest first: the first of each pass counts.
///
/// # Errors
/// The database's.
pub async fn surveys_of(pool: &SqlitePool, opening: OpeningId) -> Result<Vec<Survey>, StoreError> {
    let rows: Vec<SurveyRow> = sqlx::query_as(
        "SELECT survey.*, user.name AS by_name FROM survey
         JOIN user ON user.id = survey.measured_by
         WHERE opening_id = ? ORDER BY survey.id DESC",
    )
    .bind(opening.get())
    .fetch_all(pool)
    .await?;
    read(rows)
}

/// The last measure of each pass for every opening of a job.
///
/// # Errors
/// The database's.
pub async fn last_surveys(pool: &SqlitePool, job: JobId) -> Result<Vec<Survey>, StoreError> {
    let rows: Vec<SurveyRow> = sqlx::query_as(
        "SELECT survey.*, user.name AS by_name FROM survey
         JOIN user ON user.id = survey.measured_by
         JOIN opening ON opening.id = survey.opening_id
         WHERE opening.job_id = ?
           AND survey.id = (SELECT max(id) FROM survey AS later
                            WHERE later.opening_id = survey.opening_id
                              AND later.pass = survey.pass)
         ORDER BY survey.id",
    )
    .bind(job.get())
    .fetch_all(pool)
    .await?;
    read(rows)
}

/// Adds a measure.
///
/// # Errors
/// The database's.
pub async fn add_survey(
    tx: &mut Tx,
    made: Made,
    opening: OpeningId,
    new: &NewSurvey,
) -> Result<SurveyId, StoreError> {
    let m = &new.measured;
    let nm = |length: Option<Length>| length.map(Length::nanometres);
    let [top, middle, bottom] = m.widths.map(nm);
    let [left, centre, right] = m.heights.map(nm);
    let [rising, falling] = m.diagonals.map(nm);
    let done = sqlx::query(
        "INSERT INTO survey (opening_id, pass, width_top_nm, width_middle_nm, width_bottom_nm,
             height_left_nm, height_middle_nm, height_right_nm, rising_nm, falling_nm,
             plumb_nm, plumb_lean, level_nm, level_high, measured_by, measured_on, note,
             created_at, created_by)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(opening.get())
    .bind(new.pass.code())
    .bind(top)
    .bind(middle)
    .bind(bottom)
    .bind(left)
    .bind(centre)
    .bind(right)
    .bind(rising)
    .bind(falling)
    .bind(nm(m.plumb))
    .bind(m.lean.map_or("", Lean::code))
    .bind(nm(m.level))
    .bind(m.high.map_or("", High::code))
    .bind(new.by.get())
    .bind(new.on.to_string())
    .bind(&new.note)
    .bind(made.at.millis())
    .bind(made.user())
    .execute(&mut **tx)
    .await?;
    Ok(SurveyId::new(done.last_insert_rowid()))
}
