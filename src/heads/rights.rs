//! Who may make which move: the finer part of the table's row *steps*.
//!
//! The guard has let the person through already: the owner and the office to
//! every head, a foreman to those of own jobs, a carpenter to those with a
//! step given to him. The office records only the firm's office steps; a
//! carpenter moves on to steps given to him, and may stop any head he works
//! on with a reason.

use std::collections::BTreeSet;

use super::steps::{Move, Standing, StepId, Steps};
use crate::access::Role;

/// A person as the steps see one.
#[derive(Debug, Clone)]
pub struct Hand {
    /// The role.
    pub role: Role,
    /// Steps of this head that are given to this person.
    pub given: BTreeSet<StepId>,
}

/// Whether this person may ask for this move.
#[must_use]
pub fn may(hand: &Hand, steps: &Steps, at: &Standing, asked: &Move) -> bool {
    match hand.role {
        Role::Owner | Role::Foreman => true,
        Role::Office => match asked {
            Move::To(step) => steps.get(*step).is_some_and(|s| s.by_office),
            _ => false,
        },
        Role::Carpenter => match asked {
            Move::To(step) => hand.given.contains(step),
            Move::Hold(_) => !hand.given.is_empty(),
            Move::Release | Move::NotNeeded(..) | Move::Needed(_) => false,
            Move::SendBack(..) => hand.given.contains(&at.step),
        },
    }
}
