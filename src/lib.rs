//! Headwright: decorative exterior heads from the tape to the saw.
//!
//! The modules in reading order; `DEVELOPERS.md` says which may import which.

pub mod cli;
pub mod cutting;
pub mod measure;
pub mod trim;

pub mod db;
pub mod web;

pub mod access;
pub mod calendar;
pub mod clients;
pub mod crew;
pub mod firm;
pub mod heads;
pub mod jobs;
pub mod openings;
pub mod orders;
pub mod outside;
pub mod permits;
pub mod photos;
pub mod safety;
pub mod sections;
pub mod site;
pub mod stock;

pub mod backup;

pub mod app;
