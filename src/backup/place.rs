//! Files and folders: private, written to the disk before they get their name.

use std::fs;
use std::path::{Path, PathBuf};

use super::{BackupError, Manifest};
use crate::db::{self, DATABASE};

/// The database in a data folder.
pub(super) fn database(data: &Path) -> PathBuf {
    data.join(DATABASE)
}

/// Makes a folder that only this user can enter, if it is missing; one that
/// is there keeps its rights.
pub(super) fn make_folder(folder: &Path) -> Result<(), BackupError> {
    if folder.is_dir() {
        return Ok(());
    }
    db::private_folder(folder).map_err(BackupError::at(folder))
}

/// There must be something to back up.
pub(super) fn refuse_missing(data: &Path) -> Result<(), BackupError> {
    if database(data).is_file() {
        return Ok(());
    }
    let error = std::io::Error::from(std::io::ErrorKind::NotFound);
    Err(BackupError::at(&database(data))(error))
}

const WORK: &str = ".headwright-";

/// Removes the unfinished work of processes that are no longer there. Where
/// that cannot be told, it stays.
fn forget_stale(folder: &Path) {
    let Ok(found) = fs::read_dir(folder) else {
        return;
    };
    for path in found.flatten().map(|found| found.path()) {
        let name = path.file_name().and_then(|name| name.to_str());
        let owner = name
            .and_then(|name| name.strip_prefix(WORK))
            .and_then(|rest| rest.split('-').next())
            .and_then(|text| text.parse::<u32>().ok());
        let gone = owner.is_some_and(|pid| {
            Path::new("/proc/self").exists() && !Path::new(&format!("/proc/{pid}")).exists()
        });
        if gone {
            let _ = fs::remove_dir_all(&path);
        }
    }
}

/// A folder for unfinished work, gone when dropped.
pub(super) struct Work(PathBuf);

impl Work {
    /// A new one in `folder`, named so that no other process has it. What
    /// processes that were cut off left there goes.
    pub fn under(folder: &Path) -> Result<Self, BackupError> {
        forget_stale(folder);
        for number in 0..1_000_u32 {
            let path = folder.join(format!("{WORK}{}-{number}", std::process::id()));
            match private_folder(&path) {
                Ok(()) => return Ok(Self(path)),
                Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {}
                Err(error) => return Err(BackupError::at(&path)(error)),
            }
        }
        Err(BackupError::at(folder)(
            std::io::ErrorKind::AlreadyExists.into(),
        ))
    }

    pub fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Work {
    fn drop(&mut self) {
        // Nothing can be done about a folder that will not go.
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn private_folder(path: &Path) -> std::io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt as _;
        fs::DirBuilder::new().mode(0o700).create(path)
    }
    #[cfg(not(unix))]
    fs::create_dir(path)
}

/// Writes a finished file through to the disk, then gives it its name.
pub(super) fn settle(part: &Path, file: &Path) -> Result<(), BackupError> {
    db::settle(part, file).map_err(BackupError::at(file))
}

/// Bytes of a file.
pub(super) fn length(file: &Path) -> Result<u64, BackupError> {
    Ok(fs::metadata(file).map_err(BackupError::at(file))?.len())
}

/// Restoring over a firm's data would lose it.
pub(super) fn refuse_used(data: &Path) -> Result<(), BackupError> {
    let wal = data.join(format!("{}-wal", DATABASE));
    if database(data).exists() || wal.exists() {
        return Err(BackupError::Used(data.to_owned()));
    }
    Ok(())
}

/// Puts checked files in place, the database last: a folder with a database
/// is a whole one.
pub(super) fn move_in(manifest: &Manifest, from: &Path, data: &Path) -> Result<(), BackupError> {
    let photos = manifest.files.iter().filter(|e| e.name != DATABASE);
    for entry in photos {
        let to = data.join(&entry.name);
        if let Some(folder) = to.parent() {
            make_folder(folder)?;
        }
        settle(&from.join(&entry.name), &to)?;
    }
    settle(&from.join(DATABASE), &database(data))
}
