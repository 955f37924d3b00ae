//! The program in a real Chromium.
//!
//! Each test starts a browser of its own and ends it. Pictures are kept in
//! `target/screens/`, printed pages in `target/print/`.

mod at_the_saw;
mod driver;
mod entering;
mod harness;
mod hostile;
mod live;
mod look;
mod no_signal;
mod orders;
mod others_pages;
mod page;
mod paper;
mod program;
mod shelf;
mod whole_path;
