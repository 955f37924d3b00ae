//! Measures of an opening: the first to draw by, the second before ordering.

pub mod forms;
pub mod pages;
pub mod store;
