//! Sections in their tables.

use sqlx::SqlitePool;

use crate::access::Made;
use crate::db::{Stamp, StoreError, Tx};
use crate::measure::Unit;
use crate::trim::section::{Section, json};
use crate::web::ListQuery;

use super::model::{
    Drawing, Entry, Event, Made as MadeOf, NewSection, SectionId, ShelfEntry, What,
};

#[derive(sqlx::FromRow)]
struct Row {
    id: i64,
    name: String,
    note: String,
    version: i64,
    edition: i64,
    archived_at: Option<i64>,
    made_of: String,
    drawing: String,
    typed: String,
}

impl TryFrom<Row> for Entry {
    type Error = StoreError;

    fn try_from(row: Row) -> Result<Self, StoreError> {
        let bad = |column, why: String| StoreError::unreadable("section", column, row.id, why);
        Ok(Self {
            drawing: Drawing {
                section: curves(row.id, &row.drawing)?,
                made_of: MadeOf::from_code(&row.made_of)
                    .ok_or_else(|| bad("made_of", row.made_of.clone()))?,
                typed: serde_json::from_str(&row.typed).map_err(|e| bad("typed", e.to_string()))?,
            },
            id: SectionId::new(row.id),
            name: row.name,
            note: row.note,
            version: row.version,
            edition: row.edition,
            archived_at: row.archived_at.map(Stamp::from_millis),
        })
    }
}

fn curves(id: i64, text: &str) -> Result<Section, StoreError> {
    let bad = |why: String| StoreError::unreadable("section_edition", "drawing", id, why);
    let value = serde_json::from_str(text).map_err(|error| bad(error.to_string()))?;
    json::section(&value, "drawing", Unit::Inch).map_err(|wrong| bad(wrong.to_string()))
}

/// The section of this id.
///
/// # Errors
/// `Missing` if there is none; the database's.
pub async fn section(pool: &SqlitePool, id: SectionId) -> Result<Entry, StoreError> {
    let row: Option<Row> = sqlx::query_as(
        "SELECT section.*, made_of, drawing, typed FROM section
         JOIN section_edition e ON e.section_id = section.id AND e.edition = section.edition
         WHERE section.id = ?",
    )
    .bind(id.get())
    .fetch_optional(pool)
    .await?;
    row.ok_or(StoreError::Missing("section"))?.try_into()
}

/// The sections of one page of the list, one more than the page holds if
/// more follow.
///
/// # Errors
/// The database's.
pub async fn sections(pool: &SqlitePool, query: &ListQuery) -> Result<Vec<Entry>, StoreError> {
    let (most, skip) = query.window();
    let rows: Vec<Row> = sqlx::query_as(
        r"SELECT section.*, made_of, drawing, typed FROM section
          JOIN section_edition e ON e.section_id = section.id AND e.edition = section.edition
          WHERE (archived_at IS NOT NULL) = ?1
            AND (name LIKE ?2 ESCAPE '\' OR note LIKE ?2 ESCAPE '\')
          ORDER BY CASE ?3 WHEN 'newest' THEN -section.id END, name COLLATE NOCASE, section.id
          LIMIT ?4 OFFSET ?5",
    )
    .bind(query.wants_archived())
    .bind(query.like())
    .bind(&query.sort)
    .bind(most)
    .bind(skip)
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// Every live section by name, for a head to choose from.
///
/// # Errors
/// The database's.
pub async fn shelf(pool: &SqlitePool) -> Result<Vec<ShelfEntry>, StoreError> {
    let rows: Vec<(i64, String, i64, String)> = sqlx::query_as(
        "SELECT section.id, name, section.edition, drawing FROM section
         JOIN section_edition e ON e.section_id = section.id AND e.edition = section.edition
         WHERE archived_at IS NULL ORDER BY name COLLATE NOCASE, section.id LIMIT 1000",
    )
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(taken).collect()
}

fn taken(
    (id, name, edition, drawing): (i64, String, i64, String),
) -> Result<ShelfEntry, StoreError> {
    Ok(ShelfEntry {
        id: SectionId::new(id),
        name,
        edition,
        section: curves(id, &drawing)?,
    })
}

/// One edition of a section, put away or not; `None` if there is none.
///
/// # Errors
/// The database's.
pub async fn edition(
    pool: &SqlitePool,
    id: SectionId,
    edition: i64,
) -> Result<Option<ShelfEntry>, StoreError> {
    let row: Option<(i64, String, i64, String)> = sqlx::query_as(
        "SELECT section.id, name, e.edition, drawing FROM section
         JOIN section_edition e ON e.section_id = section.id
         WHERE section.id = ? AND e.edition = ?",
    )
    .bind(id.get())
    .bind(edition)
    .fetch_optional(pool)
    .await?;
    row.map(taken).transpose()
}

/// The edition that counts now and whether the section is put away; `None`
/// if there is no such section.
///
/// # Errors
/// The database's.
pub async fn present_edition(
    pool: &SqlitePool,
    id: SectionId,
) -> Result<Option<(i64, bool)>, StoreError> {
    Ok(
        sqlx::query_as("SELECT edition, archived_at IS NOT NULL FROM section WHERE id = ?")
            .bind(id.get())
            .fetch_optional(pool)
            .await?,
    )
}

/// Puts a section on the shelf.
///
/// # Errors
/// `Taken("name")` if another has it; the database's.
pub async fn add(tx: &mut Tx, made: Made, new: &NewSection) -> Result<SectionId, StoreError> {
    let done =
        sqlx::query("INSERT INTO section (created_at, created_by, name, note) VALUES (?, ?, ?, ?)")
            .bind(made.at.millis())
            .bind(made.user())
            .bind(&new.name)
            .bind(&new.note)
            .execute(&mut **tx)
            .await
            .map_err(StoreError::taken("name"))?;
    let id = SectionId::new(done.last_insert_rowid());
    keep_edition(tx, made, id, 1, &new.drawing).await?;
    happened(tx, made, id, What::Created, 1, None).await?;
    Ok(id)
}

async fn keep_edition(
    tx: &mut Tx,
    made: Made,
    id: SectionId,
    edition: i64,
    drawing: &Drawing,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO section_edition (section_id, edition, created_at, created_by, made_of, drawing, typed)
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(id.get())
    .bind(edition)
    .bind(made.at.millis())
    .bind(made.user())
    .bind(drawing.made_of.code())
    .bind(json::section_value(&drawing.section).to_string())
    .bind(drawing.typed.to_string())
    .execute(&mut **tx)
    .await?;
    Ok(())
}

async fn happened(
    tx: &mut Tx,
    made: Made,
    id: SectionId,
    what: What,
    edition: i64,
    old: Option<&str>,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO section_event (created_at, created_by, section_id, what, edition, old_value)
         VALUES (?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(id.get())
    .bind(what.code())
    .bind(edition)
    .bind(old)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Writes a section over version `version` of `was`. Another drawing makes
/// another edition; returns the edition that counts now.
///
/// # Errors
/// `Taken("name")`; `Stale` if someone else changed it meanwhile.
pub async fn change(
    tx: &mut Tx,
    made: Made,
    was: &Entry,
    version: i64,
    new: &NewSection,
) -> Result<i64, StoreError> {
    let redrawn = was.drawing.section != new.drawing.section;
    let edition = was.edition + i64::from(redrawn);
    let done = sqlx::query(
        "UPDATE section SET name = ?, note = ?, edition = ?, version = version + 1
         WHERE id = ? AND version = ? AND edition = ?",
    )
    .bind(&new.name)
    .bind(&new.note)
    .bind(edition)
    .bind(was.id.get())
    .bind(version)
    .bind(was.edition)
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("name"))?;
    StoreError::unless_one(done.rows_affected(), "section")?;
    if redrawn {
        keep_edition(tx, made, was.id, edition, &new.drawing).await?;
        happened(tx, made, was.id, What::Redrawn, edition, None).await?;
    }
    if was.name != new.name {
        happened(tx, made, was.id, What::Renamed, edition, Some(&was.name)).await?;
    }
    if was.note != new.note {
        happened(tx, made, was.id, What::Noted, edition, None).await?;
    }
    Ok(edition)
}

/// Puts a section away, or brings it back.
///
/// # Errors
/// `Stale` if someone else changed it meanwhile.
pub async fn archive(
    tx: &mut Tx,
    made: Made,
    was: &Entry,
    version: i64,
    away: bool,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE section SET archived_at = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(away.then(|| made.at.millis()))
    .bind(was.id.get())
    .bind(version)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "section")?;
    let what = if away {
        What::Archived
    } else {
        What::BroughtBack
    };
    happened(tx, made, was.id, what, was.edition, None).await
}

/// Whether there is such a section.
///
/// # Errors
/// The database's.
pub async fn exists(pool: &SqlitePool, id: i64) -> Result<bool, StoreError> {
    let found: Option<i64> = sqlx::query_scalar("SELECT 1 FROM section WHERE id = ?")
        .bind(id)
        .fetch_optional(pool)
        .await?;
    Ok(found.is_some())
}

/// When, by whom, what, the edition, what it was before.
type EventRow = (i64, Option<String>, String, i64, Option<String>);

/// What happened to a section, newest first.
///
/// # Errors
/// The database's.
pub async fn events(pool: &SqlitePool, id: SectionId) -> Result<Vec<Event>, StoreError> {
    let rows: Vec<EventRow> = sqlx::query_as(
        "SELECT e.created_at, user.name, e.what, e.edition, e.old_value FROM section_event e
         LEFT JOIN user ON user.id = e.created_by WHERE e.section_id = ? ORDER BY e.id DESC",
    )
    .bind(id.get())
    .fetch_all(pool)
    .await?;
    let event = |(at, who, what, edition, old): EventRow| {
        let bad = || StoreError::unreadable("section_event", "what", id.get(), what.clone());
        Ok(Event {
            at: Stamp::from_millis(at),
            who,
            what: What::from_code(&what).ok_or_else(bad)?,
            edition,
            old,
        })
    };
    rows.into_iter().map(event).collect()
}
