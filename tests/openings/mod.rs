//! Openings and their surveys.

mod findings;
mod forms;
mod pages;
mod store;
