//! What goes with the pieces of a head: movement, flashing, primer and paint,
//! fasteners and adhesive, weight.
//!
//! All of it is reckoned from rules that are stated beside the number; the
//! maker's data sheet, local code and licensed practice come first.

pub mod fasteners;
pub mod finish;
pub mod flashing;
pub mod head;
pub mod movement;
pub mod quantity;
pub mod weight;

/// To stand beside every number of this kind.
pub const DEFER: &str = "A reckoning by the rule stated. The maker's data sheet, local code and \
                         licensed practice come first.";
