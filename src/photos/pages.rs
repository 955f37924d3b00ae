//! The pages of photos.

pub mod file;
pub mod gallery;
pub mod one;
pub mod take;
