//! The corners seen from above.

use crate::trim::sheet::Sheet;

use super::{Look, Scene, short};

/// Every plan corner of `sheet` seen from above; `None` if it has none.
#[must_use]
pub fn plan(sheet: &Sheet, look: &Look) -> Option<Scene> {
    let title = format!("Corners of {} from above", short(&sheet.head, 60));
    Some(Scene::new(title, String::new(), look.width(), 40.0))
}
