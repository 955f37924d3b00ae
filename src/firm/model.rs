//! The firm's settings.

use crate::web::FirmBasics;

/// The firm's settings as stored.
#[derive(Debug, Clone, PartialEq)]
pub struct Firm {
    /// What every page needs.
    pub basics: FirmBasics,
    /// The record's version.
    pub version: i64,
}
