//! Every test of the program, in one binary. A folder is an area.

mod browser;
mod openings;
mod tools;
mod trim;
