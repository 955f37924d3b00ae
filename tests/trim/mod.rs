//! The trim engine against worked cases, published figures and its own laws.

mod cases;
mod drawing_cuts;
mod drawing_fixture;
mod drawing_gallery;
mod drawing_layout;
mod drawing_read;
mod mouldings;
mod published;
mod raked_command;
mod raking;
mod readers;
mod sections;
