//! The firm's own pages.

mod saws;
