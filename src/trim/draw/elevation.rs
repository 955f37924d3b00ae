//! The head from the front, to scale and dimensioned.

use crate::trim::sheet::Sheet;

use super::{Look, Scene, short};

/// The head of `sheet` from the front.
#[must_use]
pub fn elevation(sheet: &Sheet, look: &Look) -> Scene {
    let title = short(&sheet.head, 80);
    Scene::new(title, String::new(), look.width(), 40.0)
}
