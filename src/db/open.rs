//! Opening the data folder: settings that must hold, checks, migrations.

use std::ops::{Deref, DerefMut};
use std::path::{Path, PathBuf};
use std::time::Duration;

use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use sqlx::{Sqlite, SqliteConnection, Transaction};

use super::{OpenError, StoreError, before, files, migrations};

/// 3.7.0 to 3.51.2 can corrupt a WAL database when two connections race a
/// write and a checkpoint.
pub const LEAST_SQLITE: &str = "3.51.3";

/// The database's file in a data folder.
pub const DATABASE: &str = "headwright.sqlite";

/// The firm's database.
#[derive(Debug, Clone)]
pub struct Db {
    writer: SqlitePool,
    readers: SqlitePool,
    file: PathBuf,
}

/// One write transaction, begun IMMEDIATE. Dropped without `commit` it undoes itself.
#[derive(Debug)]
pub struct Tx(Transaction<'static, Sqlite>);

impl Tx {
    /// Makes the work last. Returns only once it is on the disk.
    ///
    /// # Errors
    /// The disk is full or failing; nothing was kept.
    pub async fn commit(self) -> Result<(), StoreError> {
        Ok(self.0.commit().await?)
    }
}

impl Deref for Tx {
    type Target = SqliteConnection;
    fn deref(&self) -> &SqliteConnection {
        &self.0
    }
}

impl DerefMut for Tx {
    fn deref_mut(&mut self) -> &mut SqliteConnection {
        &mut self.0
    }
}

impl Db {
    /// Opens (or makes) the database in `folder`, checks it and brings its
    /// schema up to this program's.
    ///
    /// # Errors
    /// See [`OpenError`]; the file is left as it was.
    pub async fn open(folder: &Path) -> Result<Self, OpenError> {
        make_folder(folder)?;
        let file = folder.join(DATABASE);
        let writer = SqlitePoolOptions::new()
            .max_connections(1)
            .min_connections(1)
            .acquire_timeout(Duration::from_secs(10))
            .connect_with(settings(&file).create_if_missing(true))
            .await?;
        check_version(&writer).await?;
        check_health(&writer, &file).await?;
        check_settings(&writer, &file).await?;
        let done = refuse_newer(&writer, &file).await?;
        before::keep_copy(&writer, &file, &done).await?;
        migrations::migrator().run(&writer).await?;
        let readers = SqlitePoolOptions::new()
            .max_connections(8)
            .acquire_timeout(Duration::from_secs(10))
            .connect_with(settings(&file).read_only(true))
            .await?;
        Ok(Self {
            writer,
            readers,
            file,
        })
    }

    /// The readers: what a store reads from outside a transaction.
    #[must_use]
    pub const fn read(&self) -> &SqlitePool {
        &self.readers
    }

    /// Waits for the one writer and begins a transaction.
    ///
    /// # Errors
    /// `Busy` when the queue did not move within ten seconds.
    pub async fn write(&self) -> Result<Tx, StoreError> {
        Ok(Tx(self.writer.begin_with("BEGIN IMMEDIATE").await?))
    }

    /// The database file.
    #[must_use]
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// Closes every connection; the last one folds the log into the file.
    pub async fn close(&self) {
        self.readers.close().await;
        self.writer.close().await;
    }
}

fn settings(file: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(file)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(5))
        .pragma("trusted_schema", "OFF")
        .pragma("mmap_size", "0")
        .pragma("cell_size_check", "ON")
}

fn make_folder(folder: &Path) -> Result<(), OpenError> {
    files::private_folder(folder).map_err(|error| OpenError::Folder {
        folder: folder.display().to_string(),
        error,
    })
}

/// `3.51.3` as a number that compares, `None` if it is no version.
#[must_use]
pub fn version_number(text: &str) -> Option<u64> {
    let mut parts = text.trim().split('.').map(str::parse::<u64>);
    let (major, minor) = (parts.next()?.ok()?, parts.next()?.ok()?);
    let patch = parts.next().transpose().ok()?.unwrap_or(0);
    Some(major * 1_000_000 + minor * 1_000 + patch)
}

async fn check_version(pool: &SqlitePool) -> Result<(), OpenError> {
    let found: String = sqlx::query_scalar("SELECT sqlite_version()")
        .fetch_one(pool)
        .await?;
    if version_number(&found) < version_number(LEAST_SQLITE) {
        return Err(OpenError::OldSqlite {
            found,
            least: LEAST_SQLITE,
        });
    }
    Ok(())
}

async fn check_health(pool: &SqlitePool, file: &Path) -> Result<(), OpenError> {
    let words: String = sqlx::query_scalar("PRAGMA quick_check(1)")
        .fetch_one(pool)
        .await?;
    if words == "ok" {
        return Ok(());
    }
    Err(OpenError::Damaged {
        file: file.display().to_string(),
        words,
    })
}

async fn check_settings(pool: &SqlitePool, file: &Path) -> Result<(), OpenError> {
    let journal: String = sqlx::query_scalar("PRAGMA journal_mode")
        .fetch_one(pool)
        .await?;
    let synchronous: i64 = sqlx::query_scalar("PRAGMA synchronous")
        .fetch_one(pool)
        .await?;
    let keys: i64 = sqlx::query_scalar("PRAGMA foreign_keys")
        .fetch_one(pool)
        .await?;
    for (setting, found, wanted) in [
        ("journal_mode", journal, "wal"),
        ("synchronous", synchronous.to_string(), "2"),
        ("foreign_keys", keys.to_string(), "1"),
    ] {
        if found != wanted {
            let file = file.display().to_string();
            return Err(OpenError::Setting {
                file,
                setting,
                found,
                wanted,
            });
        }
    }
    Ok(())
}

/// Refuses a database of a newer program; gives the migrations already run.
async fn refuse_newer(pool: &SqlitePool, file: &Path) -> Result<Vec<i64>, OpenError> {
    let known = migrations::newest();
    let started: i64 =
        sqlx::query_scalar("SELECT count(*) FROM sqlite_schema WHERE name = '_sqlx_migrations'")
            .fetch_one(pool)
            .await?;
    if started == 0 {
        return Ok(Vec::new());
    }
    let done: Vec<i64> = sqlx::query_scalar("SELECT version FROM _sqlx_migrations")
        .fetch_all(pool)
        .await?;
    match done.iter().max() {
        Some(&found) if found > known => Err(OpenError::Newer {
            file: file.display().to_string(),
            found,
            known,
        }),
        _ => Ok(done),
    }
}
