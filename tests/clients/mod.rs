//! Enquiries, clients, visits.

mod forms;
mod pages;
mod store;
