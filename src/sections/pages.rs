//! The pages of sections.

pub mod form;
pub mod list;
pub mod one;
pub mod raked;
pub mod rip;

use crate::access::{Me, Reach, Thing};

/// Whether this person may change the shelf.
fn may_write(me: &Me) -> bool {
    me.may_write(Thing::Heads) != Reach::None
}
