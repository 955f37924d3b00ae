//! The database's part: a copy as of one instant, and its checks.

use std::path::Path;

use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{ConnectOptions as _, Connection as _};

use super::BackupError;

impl From<sqlx::Error> for BackupError {
    fn from(error: sqlx::Error) -> Self {
        Self::Database(error.to_string())
    }
}

async fn open(file: &Path) -> Result<SqliteConnection, BackupError> {
    if !file.is_file() {
        let error = std::io::Error::from(std::io::ErrorKind::NotFound);
        return Err(BackupError::at(file)(error));
    }
    let options = SqliteConnectOptions::new()
        .filename(file)
        .read_only(true)
        .busy_timeout(std::time::Duration::from_secs(30))
        .pragma("trusted_schema", "OFF")
        .pragma("cell_size_check", "ON");
    Ok(options.connect().await?)
}

/// Copies the database as of one instant, while others write.
pub(super) async fn copy(file: &Path, to: &Path) -> Result<(), BackupError> {
    let mut from = open(file).await?;
    // VACUUM INTO neither syncs nor proves its work: `check` and `settle` do.
    sqlx::query("VACUUM INTO ?")
        .bind(to.to_string_lossy().into_owned())
        .execute(&mut from)
        .await?;
    from.close().await?;
    Ok(())
}

/// Runs the database's own checks; gives its newest migration.
pub(super) async fn check(file: &Path) -> Result<i64, BackupError> {
    let damaged = |words: String| BackupError::Damaged {
        path: file.to_owned(),
        words,
    };
    let mut base = open(file).await?;
    let words: String = sqlx::query_scalar("PRAGMA integrity_check(1)")
        .fetch_one(&mut base)
        .await
        .map_err(|error| damaged(error.to_string()))?;
    if words != "ok" {
        return Err(damaged(words));
    }
    let astray: Vec<(String, Option<i64>, String, i64)> =
        sqlx::query_as("PRAGMA foreign_key_check")
            .fetch_all(&mut base)
            .await?;
    if let Some((table, row, parent, _)) = astray.first() {
        let row = row.unwrap_or_default();
        return Err(damaged(format!(
            "table {table}, row {row}: names a missing row of {parent}"
        )));
    }
    let step: Option<i64> = sqlx::query_scalar("SELECT max(version) FROM _sqlx_migrations")
        .fetch_one(&mut base)
        .await
        .map_err(|_| damaged("not a database of this program".to_owned()))?;
    base.close().await?;
    step.ok_or_else(|| damaged("no migration was ever run".to_owned()))
}
