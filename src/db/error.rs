//! What can go wrong between a store and its tables.

use thiserror::Error;

/// A store function's failure. Only its kind reaches a page; the words are for the log.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum StoreError {
    /// No such record, or one the asker may not know about.
    #[error("no such {0}")]
    Missing(&'static str),
    /// The record's version moved on since the form was drawn.
    #[error("{0} was changed by someone else")]
    Stale(&'static str),
    /// A value that must be unique is taken; the field is named.
    #[error("{0} is taken")]
    Taken(&'static str),
    /// A stored value no longer parses.
    #[error("table {table}, column {column}, row {row}: {why}")]
    Unreadable {
        /// Table of the value.
        table: &'static str,
        /// Column of the value.
        column: &'static str,
        /// Id of its row.
        row: i64,
        /// What is wrong with it.
        why: String,
    },
    /// The disk is full or may not be written.
    #[error("the disk takes no more: {0}")]
    Full(sqlx::Error),
    /// The writer's queue did not move in time.
    #[error("the database is busy: {0}")]
    Busy(sqlx::Error),
    /// Anything else of the database.
    #[error("database: {0}")]
    Database(sqlx::Error),
}

impl StoreError {
    /// A stored value that no longer parses.
    pub fn unreadable(
        table: &'static str,
        column: &'static str,
        row: i64,
        why: impl ToString,
    ) -> Self {
        Self::Unreadable {
            table,
            column,
            row,
            why: why.to_string(),
        }
    }

    /// Ends a change of one versioned record: `Stale(what)` unless just one row
    /// was touched. A row is never removed, and a page of a missing one is
    /// refused before, so that the version has moved on.
    ///
    /// # Errors
    /// `Stale(what)`.
    pub fn unless_one(rows: u64, what: &'static str) -> Result<(), Self> {
        if rows == 1 {
            Ok(())
        } else {
            Err(Self::Stale(what))
        }
    }

    /// Turns a unique clash into `Taken(field)` and leaves the rest alone.
    pub fn taken(field: &'static str) -> impl Fn(sqlx::Error) -> StoreError {
        move |error| match &error {
            sqlx::Error::Database(inner) if inner.is_unique_violation() => Self::Taken(field),
            _ => error.into(),
        }
    }
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        match error {
            sqlx::Error::PoolTimedOut => Self::Busy(error),
            sqlx::Error::Database(ref inner) => match inner.code().as_deref() {
                // SQLITE_FULL, SQLITE_READONLY and its extended codes.
                Some("13" | "8" | "264" | "520" | "776" | "1032" | "1288" | "1544") => {
                    Self::Full(error)
                }
                // SQLITE_BUSY, SQLITE_LOCKED, SQLITE_BUSY_SNAPSHOT.
                Some("5" | "6" | "517") => Self::Busy(error),
                _ => Self::Database(error),
            },
            other => Self::Database(other),
        }
    }
}

/// Why a data folder cannot be opened.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum OpenError {
    /// The built-in SQLite has the write-and-checkpoint fault of older versions.
    #[error(
        "SQLite {found} is too old: {least} or newer is needed (older ones can corrupt a database)"
    )]
    OldSqlite {
        /// Version found.
        found: String,
        /// Least version allowed.
        least: &'static str,
    },
    /// The file was made by a newer program.
    #[error(
        "{file}: made by a newer Headwright (step {found}, this program knows {known}); install the newer one"
    )]
    Newer {
        /// The database file.
        file: String,
        /// Its newest migration.
        found: i64,
        /// The newest this program knows.
        known: i64,
    },
    /// quick_check found damage.
    #[error("{file}: damaged ({words}); restore the last backup")]
    Damaged {
        /// The database file.
        file: String,
        /// First line of the check.
        words: String,
    },
    /// A setting that must hold does not.
    #[error("{file}: {setting} is {found}, not {wanted}")]
    Setting {
        /// The database file.
        file: String,
        /// The pragma.
        setting: &'static str,
        /// Its value.
        found: String,
        /// The value needed.
        wanted: &'static str,
    },
    /// The folder cannot be made or written.
    #[error("{folder}: {error}")]
    Folder {
        /// The data folder.
        folder: String,
        /// What the system said.
        error: std::io::Error,
    },
    /// No copy could be kept before a migration; nothing was changed.
    #[error("{file}: {error}; a copy is kept before the database changes its form")]
    Copy {
        /// The copy.
        file: String,
        /// What the system said.
        error: std::io::Error,
    },
    /// A migration failed; the database is as it was.
    #[error("migration: {0}")]
    Migration(#[from] sqlx::migrate::MigrateError),
    /// Anything else of the database.
    #[error("database: {0}")]
    Database(#[from] sqlx::Error),
}
