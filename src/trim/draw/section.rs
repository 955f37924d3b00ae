//! A moulding's section, square on, with its dimensions.

use crate::trim::sheet::SolvedRun;

use super::{Look, Scene, short};

/// The section of `run` as it sits on the wall: wall at the left, up is up.
#[must_use]
pub fn section(run: &SolvedRun, look: &Look) -> Scene {
    let title = format!("Section of {}", short(&run.name, 40));
    Scene::new(title, String::new(), look.width(), 40.0)
}
