//! The database: opening it safely, its migrations, errors, ids and time.
//!
//! Only this folder and each area's `store.rs` name sqlx. Reads go to a pool
//! of read-only connections; writes go through one connection whose
//! transactions begin IMMEDIATE, so that writers queue and never clash.

mod before;
mod choice;
mod error;
mod files;
mod id;
mod migrations;
mod open;
mod record;
mod time;

pub use error::{OpenError, StoreError};
pub use files::{private_folder, settle};
pub use migrations::{Step, newest};
pub use open::{DATABASE, Db, LEAST_SQLITE, Tx, version_number};
pub use record::{
    AuditRow, KeyState, audit, audit_of, forget_old_keys, keep_key, key_state, last_of,
    recent_audit,
};
pub use time::{Chance, Clock, FixedClock, OsChance, Stamp, SystemClock};
