//! The pages of outside firms.

pub mod firms;
pub mod link;
pub mod work;
