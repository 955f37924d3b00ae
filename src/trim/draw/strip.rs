//! Several heads side by side at one scale.

use crate::trim::sheet::Sheet;

use super::{Look, Scene};

/// The façade strip: each sheet with the label that stands under it.
#[must_use]
pub fn strip(heads: &[(&Sheet, &str)], look: &Look) -> Scene {
    let title = format!("{} heads at one scale", heads.len());
    Scene::new(title, String::new(), look.width(), 40.0)
}
