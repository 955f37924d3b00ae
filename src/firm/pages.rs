//! The firm's pages.

pub mod profile;
