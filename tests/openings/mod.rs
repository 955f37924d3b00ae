//! Openings and their surveys.

mod findings;
