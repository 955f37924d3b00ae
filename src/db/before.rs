//! A copy of the database before a newer program changes its form.

use std::fs;
use std::path::{Path, PathBuf};

use sqlx::sqlite::SqlitePool;

use super::{OpenError, files, migrations};

/// How many such copies stay.
const KEPT: usize = 3;
const START: &str = "at-step-";

/// Keeps a copy beside the database if a migration is about to run on it;
/// `done` are those already run. The copy is named by the step that it holds,
/// so that a start after a half-done change never replaces it. It is on the
/// disk, under its name, before this returns.
pub(super) async fn keep_copy(
    pool: &SqlitePool,
    file: &Path,
    done: &[i64],
) -> Result<(), OpenError> {
    let to_come = migrations::numbers().any(|number| !done.contains(&number));
    let (Some(step), true) = (done.iter().max(), to_come) else {
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
    close(&part)
        .and_then(|()| files::settle(&part, &copy))
        .map_err(|error| OpenError::Copy {
            file: copy.display().to_string(),
            error,
        })?;
    forget_old(folder);
    Ok(())
}

/// Only this user may read it.
fn close(part: &Path) -> std::io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        fs::set_permissions(part, fs::Permissions::from_mode(0o600))?;
    }
    Ok(())
}

/// A copy that will not go is no reason not to start.
fn forget_old(folder: &Path) {
    let Ok(found) = fs::read_dir(folder) else {
        return;
    };
    let mut all: Vec<PathBuf> = found
        .flatten()
        .map(|found| found.path())
        .filter(|path| is_copy(path))
        .collect();
    all.sort();
    all.reverse();
    for old in all.iter().skip(KEPT) {
        if let Err(error) = fs::remove_file(old) {
            tracing::warn!(%error, file = %old.display(), "an old copy stays");
        }
    }
}

fn is_copy(path: &Path) -> bool {
    let named = path.file_name().and_then(|name| name.to_str());
    named.is_some_and(|name| name.starts_with(START) && name.ends_with(".sqlite"))
}
