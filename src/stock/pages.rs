//! The pages of the shelf and the rack.

pub mod rack;
pub mod shelf;
pub mod suppliers;
