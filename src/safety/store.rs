//! The tables of safety: templates and their editions here, what was signed in
//! `signed`, the site's facts, talks and incidents in `site`.

pub mod signed;
pub mod site;

use sqlx::{FromRow, SqlitePool};

use super::model::{NewTemplate, Scope, Template, TemplateId};
use crate::access::Made;
use crate::db::{StoreError, Tx};
use crate::heads::StepId;

#[derive(FromRow)]
struct TemplateRow {
    id: i64,
    topic: Option<String>,
    scope: String,
    version: i64,
    title: String,
    asks: String,
    source: String,
    before: Option<String>,
    archived: bool,
}

impl TryFrom<TemplateRow> for Template {
    type Error = StoreError;

    fn try_from(row: TemplateRow) -> Result<Self, StoreError> {
        let scope = Scope::from_code(&row.scope).ok_or_else(|| {
            StoreError::unreadable("checklist_template", "scope", row.id, &row.scope)
        })?;
        let before = row.before.as_deref().unwrap_or("");
        Ok(Self {
            id: TemplateId::new(row.id),
            topic: row.topic,
            scope,
            edition: row.version,
            title: row.title,
            asks: row.asks.lines().map(str::to_owned).collect(),
            source: row.source,
            before: before.split(',').filter_map(|id| id.parse().ok()).collect(),
            archived: row.archived,
        })
    }
}

/// Every checklist the firm asks or asked, as it stands now.
///
/// # Errors
/// The database's.
pub async fn templates(pool: &SqlitePool) -> Result<Vec<Template>, StoreError> {
    let rows: Vec<TemplateRow> = sqlx::query_as(
        "SELECT t.id, t.topic, t.scope, t.version, e.title, e.asks, e.source,
                (SELECT group_concat(step_id) FROM checklist_step WHERE template_id = t.id) AS before,
                t.archived_at IS NOT NULL AS archived
         FROM checklist_template t
         JOIN checklist_edition e ON e.template_id = t.id AND e.edition = t.version
         ORDER BY t.archived_at IS NOT NULL,
                  CASE t.scope WHEN 'day' THEN 0 WHEN 'job' THEN 1 ELSE 2 END, t.id",
    )
    .fetch_all(pool)
    .await?;
    rows.into_iter().map(TryInto::try_into).collect()
}

/// One of them.
///
/// # Errors
/// `Missing`, the database's.
pub async fn template(pool: &SqlitePool, id: TemplateId) -> Result<Template, StoreError> {
    let all = templates(pool).await?;
    all.into_iter()
        .find(|t| t.id == id)
        .ok_or(StoreError::Missing("checklist"))
}

/// Adds a checklist.
///
/// # Errors
/// The database's.
pub async fn add_template(
    tx: &mut Tx,
    made: Made,
    topic: Option<&str>,
    new: &NewTemplate,
) -> Result<TemplateId, StoreError> {
    let done = sqlx::query(
        "INSERT INTO checklist_template (created_at, created_by, topic, scope) VALUES (?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(topic)
    .bind(new.scope.code())
    .execute(&mut **tx)
    .await
    .map_err(StoreError::taken("topic"))?;
    let id = TemplateId::new(done.last_insert_rowid());
    add_edition(tx, made, (id, 1), new).await?;
    Ok(id)
}

/// Changes a checklist: a new edition, the old one kept.
///
/// # Errors
/// `Stale`, the database's.
pub async fn change_template(
    tx: &mut Tx,
    made: Made,
    (id, seen): (TemplateId, i64),
    new: &NewTemplate,
) -> Result<(), StoreError> {
    let done = sqlx::query(
        "UPDATE checklist_template SET scope = ?, version = version + 1 WHERE id = ? AND version = ?",
    )
    .bind(new.scope.code())
    .bind(id.get())
    .bind(seen)
    .execute(&mut **tx)
    .await?;
    StoreError::unless_one(done.rows_affected(), "checklist")?;
    add_edition(tx, made, (id, seen + 1), new).await
}

async fn add_edition(
    tx: &mut Tx,
    made: Made,
    (id, edition): (TemplateId, i64),
    new: &NewTemplate,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO checklist_edition (created_at, created_by, template_id, edition, title, asks, source)
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(made.at.millis())
    .bind(made.user())
    .bind(id.get())
    .bind(edition)
    .bind(&new.title)
    .bind(new.asks.join("\n"))
    .bind(&new.source)
    .execute(&mut **tx)
    .await?;
    sqlx::query("DELETE FROM checklist_step WHERE template_id = ?")
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    for step in &new.before {
        sqlx::query("INSERT OR IGNORE INTO checklist_step (template_id, step_id) VALUES (?, ?)")
            .bind(id.get())
            .bind(StepId::get(*step))
            .execute(&mut **tx)
            .await?;
    }
    Ok(())
}

/// Puts a checklist away, so that it is no longer asked, or brings it back.
///
/// # Errors
/// The database's.
pub async fn archive_template(
    tx: &mut Tx,
    made: Made,
    id: TemplateId,
    away: bool,
) -> Result<(), StoreError> {
    sqlx::query("UPDATE checklist_template SET archived_at = ? WHERE id = ?")
        .bind(away.then(|| made.at.millis()))
        .bind(id.get())
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// How many checklists there are.
///
/// # Errors
/// The database's.
pub async fn count_templates(pool: &SqlitePool) -> Result<i64, StoreError> {
    Ok(
        sqlx::query_scalar("SELECT count(*) FROM checklist_template")
            .fetch_one(pool)
            .await?,
    )
}
