//! The migrations, embedded in the program by `build.rs`.
//!
//! A shipped migration is never edited: widen, move, then narrow in new ones.

use std::borrow::Cow;

use sqlx::SqlSafeStr as _;
use sqlx::migrate::{Migration, MigrationType, Migrator};

/// Number, name and SQL of one migration.
pub type Step = (i64, &'static str, &'static str);

const STEPS: &[Step] = include!(concat!(env!("OUT_DIR"), "/migrations.rs"));

/// The number of the newest migration this program knows.
#[must_use]
pub fn newest() -> i64 {
    STEPS.iter().map(|step| step.0).max().unwrap_or(0)
}

/// The numbers of all migrations this program knows.
pub(super) fn numbers() -> impl Iterator<Item = i64> {
    STEPS.iter().map(|step| step.0)
}

pub(super) fn migrator() -> Migrator {
    Migrator::with_migrations(
        STEPS
            .iter()
            .map(|(number, name, sql)| {
                Migration::new(
                    *number,
                    Cow::Borrowed(*name),
                    MigrationType::Simple,
                    (*sql).into_sql_str(),
                    false,
                )
            })
            .collect(),
    )
}
