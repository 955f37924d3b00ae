//! What can go wrong with a backup, in words for the console.

use std::path::{Path, PathBuf};

use thiserror::Error;

/// A backup could not be made, checked or restored.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum BackupError {
    /// A file or folder.
    #[error("{}: {error}", path.display())]
    Io {
        /// Which.
        path: PathBuf,
        /// What the system said.
        error: std::io::Error,
    },
    /// The database.
    #[error("database: {0}")]
    Database(String),
    /// The database's own checks found damage.
    #[error("{}: damaged ({words})", path.display())]
    Damaged {
        /// Which.
        path: PathBuf,
        /// First line of the check.
        words: String,
    },
    /// The file is no backup, was changed, or is cut short.
    #[error("{}: not a whole backup ({words})", path.display())]
    NotWhole {
        /// Which.
        path: PathBuf,
        /// What does not agree.
        words: String,
    },
    /// The private key does not open it.
    #[error("{}: this key does not open it", .0.display())]
    WrongKey(PathBuf),
    /// A key that does not read as one.
    #[error("{0}")]
    Key(String),
    /// The key can be read by others.
    #[error("{}: others can read this key; allow only yourself (mode 600)", .0.display())]
    OpenKey(PathBuf),
    /// The place is not empty.
    #[error("{}: holds a database already; restore into a new folder", .0.display())]
    Used(PathBuf),
    /// Made by a newer program.
    #[error(
        "made by a newer Headwright (step {found}, this program knows {known}); install the newer one"
    )]
    Newer {
        /// Newest migration in the backup.
        found: i64,
        /// Newest this program knows.
        known: i64,
    },
    /// The program is stopping.
    #[error("stopped before the end")]
    Stopped,
}

impl BackupError {
    /// Names the file that a system's error is about.
    pub(super) fn at(path: &Path) -> impl Fn(std::io::Error) -> Self {
        let path = path.to_owned();
        move |error| Self::Io {
            path: path.clone(),
            error,
        }
    }

    /// The backup does not agree with itself.
    pub(super) fn not_whole(path: &Path, words: impl ToString) -> Self {
        Self::NotWhole {
            path: path.to_owned(),
            words: words.to_string(),
        }
    }
}
