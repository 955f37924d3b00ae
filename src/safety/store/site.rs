//! What is known of a site, talks and incidents.

use sqlx::{FromRow, SqlitePool};

use crate::access::{Made, UserId};
use crate::db::{StoreError, Tx};
use crate::jobs::JobId;
use crate::measure::Length;
use crate::safety::model::{
    Doubt, Hazards, Incident, IncidentId, IncidentKind, Lines, NewIncident, NewTalk, Reach, Talk,
};

#[derive(FromRow)]
struct HazardRow {
    version: i64,
    work_height_nm: Option<i64>,
    reach: String,
    lines: String,
    line_distance_nm: Option<i64>,
    line_kv: Option<f64>,
    line_insulated: bool,
    lead_ruled_out: bool,
    old_paint_sqft: Option<f64>,
    window_replaced: bool,
    asbestos: String,
    fibre_cement: bool,
    adhesive: bool,
    heat_index_f: Option<i64>,
}

/// What is known of a site, and its version: 0 before anything was written.
///
/// # Errors
/// A stored word that is not known; the database's.
pub async fn hazards(pool: &SqlitePool, job: JobId) -> Result<(Hazards, i64), StoreError> {
    let row: Option<HazardRow> = sqlx::query_as("SELECT * FROM site_hazard WHERE job_id = ?")
        .bind(job.get())
        .fetch_optional(pool)
        .await?;
    let Some(row) = row else {
        return Ok((Hazards::default(), 0));
    };
    let bad = |column, word: &str| StoreError::unreadable("site_hazard", column, job.get(), word);
    let hazards = Hazards {
        work_height: row.work_height_nm.map(Length::from_nanometres),
        reach: Reach::from_code(&row.reach).ok_or_else(|| bad("reach", &row.reach))?,
        lines: Lines::from_code(&row.lines).ok_or_else(|| bad("lines", &row.lines))?,
        line_distance: row.line_distance_nm.map(Length::from_nanometres),
        line_kv: row.line_kv,
        line_insulated: row.line_insulated,
        lead_ruled_out: row.lead_ruled_out,
        old_paint_sqft: row.old_paint_sqft,
        window_replaced: row.window_replaced,
        asbestos: Doubt::from_code(&row.asbestos).ok_or_else(|| bad("asbestos", &row.asbestos))?,
        fibre_cement: row.fibre_cement,
        adhesive: row.adhesive,
        heat_index_f: row.heat_index_f,
    };
    Ok((hazards, row.version))
}

/// Writes what is known of a site over version `seen`.
///
/// # Errors
/// `Stale`, the database's.
pub async fn save_hazards(
    tx: &mut Tx,
    made: Made,
    (job, seen): (JobId, i64),
    h: &Hazards,
) -> Result<(), StoreError> {
    let now: Option<i64> = sqlx::query_scalar("SELECT version FROM site_hazard WHERE job_id = ?")
        .bind(job.get())
        .fetch_optional(&mut **tx)
        .await?;
    if now.unwrap_or(0) != seen {
        return Err(StoreError::Stale("site"));
    }
    sqlx::query(
        "INSERT INTO site_hazard (job_id, created_at, created_by, version, work_height_nm, reach,
                lines, line_distance_nm, line_kv, line_insulated, lead_ruled_out, old_paint_sqft,
                window_replaced, asbestos, fibre_cement, adhesive, heat_index_f)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (job_id) DO UPDATE SET version = excluded.version,
                work_height_nm = excluded.work_height_nm, reach = excluded.reach,
                lines = excluded.lines, line_distance_nm = excluded.line_distance_nm,
                line_kv = excluded.line_kv, line_insulated = excluded.line_insulated,
                lead_ruled_out = excluded.lead_ruled_out, old_paint_sqft = excluded.old_paint_sqft,
                window_replaced = excluded.window_replaced, asbestos = excluded.asbestos,
                fibre_cement = excluded.fibre_cement, adhesive = excluded.adhesive,
                heat_index_f = excluded.heat_index_f",
    )
    .bind(job.get())
    .bind(made.at.millis())
    .bind(made.user())
    .bind(seen + 1)
    .bind(h.work_height.map(Length::nanometres))
    .bind(h.reach.code())
    .bind(h.lines.code())
    .bind(h.line_distance.map(Length::nanometres))
    .bind(h.line_kv)
    .bind(h.line_insulated)
    .bind(h.lead_ruled_out)
    .bind(h.old_paint_sqft)
    .bind(h.window_replaced)
    .bind(h.asbestos.code())
    .bind(h.fibre_cement)
    .bind(h.adhesive)
    .bind(h.heat_index_f)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Writes a talk down with who was there.
///
/// # Errors
/// The database's.
pub async fn add_talk(tx: &mut Tx, made: Made, new: &NewTalk) -> Result<i64, StoreError> {
    let done = sqlx::query(
        "INSERT INTO talk (created_at, created_by, job_id, day, topic, said, others)
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(new.job.get())
    .bind(new.day.to_string())
    .bind(&new.topic)
    .bind(&new.said)
    .bind(&new.others)
    .execute(&mut **tx)
    .await?;
    let id = done.last_insert_rowid();
    for person in &new.there {
        sqlx::query("INSERT OR IGNORE INTO talk_person (talk_id, user_id) VALUES (?, ?)")
            .bind(id)
            .bind(UserId::get(*person))
            .execute(&mut **tx)
            .await?;
    }
    Ok(id)
}

#[derive(FromRow)]
struct TalkRow {
    day: String,
    topic: String,
    said: String,
    others: String,
    who: String,
    there: Option<String>,
}

/// A job's talks, the newest first.
///
/// # Errors
/// The database's.
pub async fn talks(pool: &SqlitePool, job: JobId) -> Result<Vec<Talk>, StoreError> {
    let rows: Vec<TalkRow> = sqlx::query_as(
        "SELECT t.day, t.topic, t.said, t.others, u.name AS who,
                (SELECT group_concat(p.name, char(10)) FROM talk_person tp
                 JOIN user p ON p.id = tp.user_id WHERE tp.talk_id = t.id) AS there
         FROM talk t JOIN user u ON u.id = t.created_by WHERE t.job_id = ? ORDER BY t.id DESC LIMIT 200",
    )
    .bind(job.get())
    .fetch_all(pool)
    .await?;
    let talk = |row: TalkRow| Talk {
        day: row.day,
        topic: row.topic,
        said: row.said,
        who: row.who,
        there: row
            .there
            .as_deref()
            .unwrap_or("")
            .lines()
            .map(str::to_owned)
            .collect(),
        others: row.others,
    };
    Ok(rows.into_iter().map(talk).collect())
}

/// Writes an incident down.
///
/// # Errors
/// The database's.
pub async fn add_incident(
    tx: &mut Tx,
    made: Made,
    new: &NewIncident,
) -> Result<IncidentId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO incident (created_at, created_by, job_id, day, time, kind, what, who, care, changed)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(new.job.get())
    .bind(new.day.to_string())
    .bind(&new.time)
    .bind(new.kind.code())
    .bind(&new.what)
    .bind(&new.who)
    .bind(&new.care)
    .bind(&new.changed)
    .execute(&mut **tx)
    .await?;
    Ok(IncidentId::new(done.last_insert_rowid()))
}

#[derive(FromRow)]
struct IncidentRow {
    id: i64,
    job_id: i64,
    code: String,
    day: String,
    time: String,
    kind: String,
    what: String,
    who: String,
    care: String,
    changed: String,
    by: String,
    by_id: i64,
}

/// Incidents of one job or of all, the newest first.
///
/// # Errors
/// The database's.
pub async fn incidents(pool: &SqlitePool, job: Option<JobId>) -> Result<Vec<Incident>, StoreError> {
    let rows: Vec<IncidentRow> = sqlx::query_as(
        r#"SELECT i.id, i.job_id, job.code, i.day, i.time, i.kind, i.what, i.who, i.care, i.changed,
                u.name AS "by", i.created_by AS by_id
         FROM incident i JOIN job ON job.id = i.job_id JOIN user u ON u.id = i.created_by
         WHERE ?1 IS NULL OR i.job_id = ?1 ORDER BY i.id DESC LIMIT 200"#,
    )
    .bind(job.map(JobId::get))
    .fetch_all(pool)
    .await?;
    let incident = |row: IncidentRow| {
        Ok(Incident {
            id: IncidentId::new(row.id),
            job: JobId::new(row.job_id),
            code: row.code,
            when: format!("{} {}", row.day, row.time).trim().to_owned(),
            kind: IncidentKind::from_code(&row.kind)
                .ok_or_else(|| StoreError::unreadable("incident", "kind", row.id, &row.kind))?,
            what: row.what,
            who: row.who,
            care: row.care,
            changed: row.changed,
            by: row.by,
            by_id: row.by_id,
        })
    };
    rows.into_iter().map(incident).collect()
}
