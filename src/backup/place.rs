//! Files and folders: private, written to the disk before they get their name.

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use super::{BackupError, Manifest, archive};

/// The database in a data folder.
pub(super) fn database(data: &Path) -> PathBuf {
    data.join(archive::DATABASE)
}

/// Makes a folder that only this user can enter, if it is missing.
pub(super) fn make_folder(folder: &Path) -> Result<(), BackupError> {
    if folder.is_dir() {
        return Ok(());
    }
    let made = fs::create_dir_all(folder);
    #[cfg(unix)]
    let made = made.and_then(|()| {
        use std::os::unix::fs::PermissionsExt as _;
        fs::set_permissions(folder, fs::Permissions::from_mode(0o700))
    });
    made.map_err(BackupError::at(folder))
}

/// A folder for unfinished work, gone when dropped.
pub(super) struct Work(PathBuf);

impl Work {
    /// A new one in `folder`, named so that no other process has it.
    pub fn under(folder: &Path) -> Result<Self, BackupError> {
        for number in 0..1_000_u32 {
            let path = folder.join(format!(".headwright-{}-{number}", std::process::id()));
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
    sync(part)?;
    fs::rename(part, file).map_err(BackupError::at(file))?;
    file.parent().map_or(Ok(()), sync)
}

/// Waits until a file or folder is on the disk.
fn sync(path: &Path) -> Result<(), BackupError> {
    File::open(path)
        .and_then(|file| file.sync_all())
        .map_err(BackupError::at(path))
}

/// Bytes of a file.
pub(super) fn length(file: &Path) -> Result<u64, BackupError> {
    Ok(fs::metadata(file).map_err(BackupError::at(file))?.len())
}

/// Restoring over a firm's data would lose it.
pub(super) fn refuse_used(data: &Path) -> Result<(), BackupError> {
    let wal = data.join(format!("{}-wal", archive::DATABASE));
    if database(data).exists() || wal.exists() {
        return Err(BackupError::Used(data.to_owned()));
    }
    Ok(())
}

/// Puts checked files in place, the database last: a folder with a database
/// is a whole one.
pub(super) fn move_in(manifest: &Manifest, from: &Path, data: &Path) -> Result<(), BackupError> {
    let photos = manifest
        .files
        .iter()
        .filter(|e| e.name != archive::DATABASE);
    for entry in photos {
        let to = data.join(&entry.name);
        if let Some(folder) = to.parent() {
            make_folder(folder)?;
        }
        settle(&from.join(&entry.name), &to)?;
    }
    settle(&from.join(archive::DATABASE), &database(data))
}
