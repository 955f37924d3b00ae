//! A copy of the database before a newer program changes its form.

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use sqlx::sqlite::SqlitePool;

use super::{OpenError, migrations};

/// How many such copies stay.
const KEPT: usize = 3;
const START: &str = "before-step-";

/// Keeps a copy beside the database if a migration is about to run on it.
/// The copy is on the disk, under its name, before this returns.
pub(super) async fn keep_copy(pool: &SqlitePool, file: &Path) -> Result<(), OpenError> {
    let Some(step) = about_to_change(pool).await? else {
        return Ok(());
    };
    let folder = file.parent().unwrap_or(Path::new("."));
    let copy = folder.join(format!("{START}{step:04}.sqlite"));
    let part = folder.join(format!("{START}{step:04}.part"));
    // Left by a start that was cut off: it is of no use.
    let _ = fs::remove_file(&part);
    sqlx::query("VACUUM INTO ?")
        .bind(part.to_string_lossy().into_owned())
        .execute(pool)
        .await?;
    settle(&part, &copy, folder).map_err(|error| OpenError::Copy {
        file: copy.display().to_string(),
        error,
    })
}

/// The newest migration to come, if the database holds something already.
async fn about_to_change(pool: &SqlitePool) -> Result<Option<i64>, OpenError> {
    let started: i64 =
        sqlx::query_scalar("SELECT count(*) FROM sqlite_schema WHERE name = '_sqlx_migrations'")
            .fetch_one(pool)
            .await?;
    if started == 0 {
        return Ok(None);
    }
    let done: Vec<i64> = sqlx::query_scalar("SELECT version FROM _sqlx_migrations")
        .fetch_all(pool)
        .await?;
    Ok(migrations::numbers().filter(|n| !done.contains(n)).max())
}

fn settle(part: &Path, copy: &Path, folder: &Path) -> std::io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        fs::set_permissions(part, fs::Permissions::from_mode(0o600))?;
    }
    File::open(part)?.sync_all()?;
    fs::rename(part, copy)?;
    File::open(folder)?.sync_all()?;
    let mut all: Vec<PathBuf> = fs::read_dir(folder)?
        .flatten()
        .map(|found| found.path())
        .filter(|path| is_copy(path))
        .collect();
    all.sort();
    all.reverse();
    for old in all.iter().skip(KEPT) {
        fs::remove_file(old)?;
    }
    Ok(())
}

fn is_copy(path: &Path) -> bool {
    let named = path.file_name().and_then(|name| name.to_str());
    named.is_some_and(|name| name.starts_with(START) && name.ends_with(".sqlite"))
}
