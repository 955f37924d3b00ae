//! Files and folders: private, and on the disk before they get their name.

use std::fs::{self, File};
use std::io;
use std::path::Path;

/// Makes a folder that only this user can enter; one that is there becomes so.
///
/// # Errors
/// The system's.
pub fn private_folder(folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        fs::set_permissions(folder, fs::Permissions::from_mode(0o700))?;
    }
    Ok(())
}

/// Writes a finished file through to the disk, then gives it its name: a file
/// of that name is a whole one.
///
/// # Errors
/// The system's.
pub fn settle(part: &Path, file: &Path) -> io::Result<()> {
    File::open(part)?.sync_all()?;
    fs::rename(part, file)?;
    match file.parent() {
        Some(folder) => File::open(folder)?.sync_all(),
        None => Ok(()),
    }
}
