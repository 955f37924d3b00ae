//! The shelf and the rack: stores, forms, pages, races.

mod forms;
mod pages;
mod rack;
mod store;
