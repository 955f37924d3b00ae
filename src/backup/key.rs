//! Keys in the age format: the public one makes backups, the private one
//! opens them.

use std::fs::{self, OpenOptions};
use std::io::Write as _;
use std::path::Path;
use std::str::FromStr;

use age::secrecy::ExposeSecret as _;
use age::x25519::{Identity, Recipient};

use super::BackupError;

/// A public key, `age1…`: makes backups, cannot open them.
#[derive(Clone)]
pub struct Key(pub(super) Recipient);

impl FromStr for Key {
    type Err = BackupError;
    fn from_str(text: &str) -> Result<Self, BackupError> {
        Recipient::from_str(text.trim()).map(Self).map_err(|_| {
            BackupError::Key(format!(
                "backup key “{text}”: a public key begins with age1 and is 62 letters long"
            ))
        })
    }
}

impl std::fmt::Display for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

impl std::fmt::Debug for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Key({})", self.0)
    }
}

/// A private key: opens backups. Never shown.
pub struct PrivateKey(pub(super) Identity);

impl PrivateKey {
    /// Reads it from a file that only its owner can read. Lines that begin
    /// with `#` are remarks.
    ///
    /// # Errors
    /// The file; a file that others can read; no key in it.
    pub fn read(file: &Path) -> Result<Self, BackupError> {
        let text = fs::read_to_string(file).map_err(BackupError::at(file))?;
        refuse_open(file)?;
        text.lines()
            .map(str::trim)
            .filter(|line| !line.is_empty() && !line.starts_with('#'))
            .find_map(|line| Identity::from_str(line).ok())
            .map(Self)
            .ok_or_else(|| {
                BackupError::Key(format!(
                    "{}: no private key in it; the line begins with AGE-SECRET-KEY-1",
                    file.display()
                ))
            })
    }
}

#[cfg(unix)]
fn refuse_open(file: &Path) -> Result<(), BackupError> {
    use std::os::unix::fs::PermissionsExt as _;
    let mode = fs::metadata(file)
        .map_err(BackupError::at(file))?
        .permissions()
        .mode();
    if mode & 0o077 != 0 {
        return Err(BackupError::OpenKey(file.to_owned()));
    }
    Ok(())
}

#[cfg(not(unix))]
fn refuse_open(_: &Path) -> Result<(), BackupError> {
    Ok(())
}

/// Makes a pair of keys: the private one into a new file, the public one back.
///
/// # Errors
/// The file exists already or cannot be written.
pub fn new_key(file: &Path) -> Result<Key, BackupError> {
    let private = Identity::generate();
    let public = private.to_public();
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    let at = BackupError::at(file);
    let mut out = options.open(file).map_err(&at)?;
    let text = format!(
        "# Opens Headwright's backups. Keep it off the machine that makes them.\n# public key: {public}\n{}\n",
        private.to_string().expose_secret()
    );
    out.write_all(text.as_bytes()).map_err(&at)?;
    out.sync_all().map_err(&at)?;
    Ok(Key(public))
}
