//! Backups of the whole data folder: made while the firm works, checked,
//! encrypted, kept by a stated rule, and restored only into an empty place.
//!
//! A backup is one file: a tar of `manifest.json`, the database and the
//! photos, encrypted to a public key in the age format. The private key is
//! not needed to make one, so it stays off the machine that serves.

mod archive;
mod error;
mod keep;
mod key;
mod place;
mod schedule;
mod store;

use std::path::{Path, PathBuf};

use crate::db::{DATABASE, Stamp};

pub use archive::{Entry, Manifest};
pub use error::BackupError;
pub use keep::{doomed, name_of, time_of};
pub use key::{Key, PrivateKey, new_key};
pub use schedule::{Plan, every_hour};

/// A backup just made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    /// Where it is.
    pub file: PathBuf,
    /// How long it is.
    pub bytes: u64,
    /// Older ones that the rule of keeping let go.
    pub dropped: usize,
}

/// Makes a backup of `data` in the folder `to`, and lets go of those that are
/// no longer to be kept. Others may write meanwhile.
///
/// # Errors
/// See [`BackupError`]; no half file is left.
pub async fn make(data: &Path, to: &Path, key: &Key, now: Stamp) -> Result<Made, BackupError> {
    place::make_folder(to)?;
    place::refuse_missing(data)?;
    // The plain copy never stands where the backups go: that folder may be
    // carried away at any time.
    let work = place::Work::under(data)?;
    let copy = work.path().join(DATABASE);
    store::copy(&place::database(data), &copy).await?;
    let step = store::check(&copy).await?;
    let (data, to, key) = (data.to_owned(), to.to_owned(), key.clone());
    on_thread(move || {
        let manifest = archive::listed(&copy, &data, step, now)?;
        let sealed = place::Work::under(&to)?;
        let part = sealed.path().join("sealed");
        archive::seal(&manifest, &copy, &data, &key, &part)?;
        let file = to.join(name_of(now));
        place::settle(&part, &file)?;
        let bytes = place::length(&file)?;
        // The backup is made, whatever becomes of the old ones.
        let dropped = keep::tidy(&to, now).unwrap_or_else(|error| {
            tracing::warn!(%error, "old backups stay");
            0
        });
        Ok(Made {
            file,
            bytes,
            dropped,
        })
    })
    .await
}

/// Opens a backup and checks all of it: every file's digest, the database's
/// own checks. Nothing is left behind.
///
/// # Errors
/// See [`BackupError`].
pub async fn verify(file: &Path, key: PrivateKey) -> Result<Manifest, BackupError> {
    let work = place::Work::under(&std::env::temp_dir())?;
    open_into(file, key, work.path()).await
}

/// Checks a data folder as it stands: the database's own checks.
///
/// # Errors
/// See [`BackupError`].
pub async fn verify_data(data: &Path) -> Result<i64, BackupError> {
    store::check(&place::database(data)).await
}

/// Restores a backup into `data`, which must not hold a database. All of it
/// is checked before any of it is put in place.
///
/// # Errors
/// See [`BackupError`]; no database is then in `data`.
pub async fn restore(file: &Path, key: PrivateKey, data: &Path) -> Result<Manifest, BackupError> {
    place::refuse_used(data)?;
    place::make_folder(data)?;
    let work = place::Work::under(data)?;
    let manifest = open_into(file, key, work.path()).await?;
    place::move_in(&manifest, work.path(), data)?;
    Ok(manifest)
}

async fn open_into(file: &Path, key: PrivateKey, into: &Path) -> Result<Manifest, BackupError> {
    let (from, to) = (file.to_owned(), into.to_owned());
    let manifest = on_thread(move || archive::unseal(&from, &key, &to)).await?;
    let step = store::check(&into.join(DATABASE)).await?;
    let known = crate::db::newest();
    if step > known {
        return Err(BackupError::Newer { found: step, known });
    }
    Ok(manifest)
}

async fn on_thread<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, BackupError> + Send + 'static,
) -> Result<T, BackupError> {
    tokio::task::spawn_blocking(work)
        .await
        .map_err(|_| BackupError::Stopped)?
}
