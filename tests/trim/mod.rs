//! The trim engine against worked cases, published figures and its own laws.

mod around;
mod brute;
mod cases;
mod command;
mod curves;
mod drawing_cuts;
mod drawing_fixture;
mod drawing_gallery;
mod drawing_layout;
mod drawing_read;
mod figures;
mod hand;
mod heads;
mod input;
mod joints;
mod laws;
mod mouldings;
mod nominal;
mod paper;
mod proportions;
mod published;
mod raked_command;
mod raking;
mod readers;
mod sections;
