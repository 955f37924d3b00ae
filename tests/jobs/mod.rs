//! Jobs.

mod forms;
mod pages;
mod store;
