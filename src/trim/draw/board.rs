//! A flat board's outline from its lower left corner.

use crate::trim::sheet::Board;

use super::{Look, Scene, short};

/// The outline of `board` with numbered corners and its main dimensions.
#[must_use]
pub fn board(board: &Board, look: &Look) -> Scene {
    let title = format!("Outline of {}", short(&board.label, 40));
    Scene::new(title, String::new(), look.width(), 40.0)
}
