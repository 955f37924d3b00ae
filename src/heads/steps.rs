//! The firm's list of steps and the moves a head may make along it.
//!
//! The list is data of the firm; the rules here know only its order. A head
//! stands *at* the last step it has reached. Whatever is asked, the answer is
//! a new standing or a sentence that says why not; nothing is half done.

use std::collections::BTreeSet;

use super::gate::GateKind;
use crate::record_id;

record_id! {
    /// Which step of the firm's list.
    pub StepId
}

/// One step of the firm's list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Its row.
    pub id: StepId,
    /// The word for it, such as *hung*.
    pub name: String,
    /// The office may record it.
    pub by_office: bool,
    /// It is a carpenter's work, so it is given to somebody.
    pub by_hand: bool,
    /// What a head needs before it may reach this step.
    pub gates: Vec<GateKind>,
}

/// A step as the firm's settings show it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FirmStep {
    /// The step.
    pub step: Step,
    /// Goes up with every change.
    pub version: i64,
    /// No longer in use; kept since the record names it.
    pub retired: bool,
    /// Live heads that stand at it.
    pub heads: i64,
}

/// A step as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewStep {
    /// The word for it.
    pub name: String,
    /// The office may record it.
    pub by_office: bool,
    /// It is a carpenter's work.
    pub by_hand: bool,
    /// What it asks for.
    pub gates: Vec<GateKind>,
}

/// The firm's steps in order; never empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Steps(Vec<Step>);

impl Steps {
    /// The list in the firm's order; `None` if it is empty.
    #[must_use]
    pub fn new(steps: Vec<Step>) -> Option<Self> {
        (!steps.is_empty()).then_some(Self(steps))
    }

    /// In order.
    pub fn iter(&self) -> std::slice::Iter<'_, Step> {
        self.0.iter()
    }

    /// Where every head begins; `None` never happens, as the list is not
    /// empty, but saves a panic.
    #[must_use]
    pub fn first(&self) -> Option<&Step> {
        self.0.first()
    }

    /// The step with this row.
    #[must_use]
    pub fn get(&self, id: StepId) -> Option<&Step> {
        self.0.iter().find(|s| s.id == id)
    }

    /// The step with this name.
    #[must_use]
    pub fn named(&self, name: &str) -> Option<&Step> {
        self.0.iter().find(|s| s.name == name)
    }

    /// Place in the order, from 0.
    #[must_use]
    pub fn place(&self, id: StepId) -> Option<usize> {
        self.0.iter().position(|s| s.id == id)
    }

    /// The steps before this one, in order.
    pub fn before(&self, id: StepId) -> impl Iterator<Item = &Step> {
        self.0.iter().take(self.place(id).unwrap_or(0))
    }

    /// The steps after this one, in order.
    pub fn after(&self, id: StepId) -> impl Iterator<Item = &Step> {
        let from = self.place(id).map_or(self.0.len(), |at| at + 1);
        self.0.iter().skip(from)
    }

    /// The next step that is needed; `None` at the end.
    #[must_use]
    pub fn next(&self, at: &Standing) -> Option<&Step> {
        self.after(at.step).find(|s| !at.not_needed.contains(&s.id))
    }
}

/// Where a head stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// The last step it has reached.
    pub step: StepId,
    /// Why it is held; `None` if it is not.
    pub held: Option<String>,
    /// Steps that this head does not need.
    pub not_needed: BTreeSet<StepId>,
}

/// What somebody asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Move {
    /// On to this step, which must be the next needed one.
    To(StepId),
    /// Hold where it stands.
    Hold(Reason),
    /// Go on again.
    Release,
    /// Back to an earlier step.
    SendBack(StepId, Reason),
    /// A step ahead is not needed on this head.
    NotNeeded(StepId, Reason),
    /// It is needed after all.
    Needed(StepId),
}

/// Why: one to 500 characters, never only spaces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason(String);

impl Reason {
    /// Longest reason kept.
    pub const LONGEST: usize = 500;

    /// Trims and checks.
    ///
    /// # Errors
    /// What is wrong, for the person who typed it.
    pub fn parse(text: &str) -> Result<Self, String> {
        let text = text.trim();
        if text.is_empty() {
            return Err("Say why, in a few words.".into());
        }
        if text.chars().count() > Self::LONGEST {
            return Err(format!("At most {} characters.", Self::LONGEST));
        }
        if text.contains('\0') {
            return Err("A reason cannot hold an unprintable NUL character.".into());
        }
        Ok(Self(text.to_owned()))
    }

    /// The words.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// A move that the rules do not allow, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Illegal(pub String);

/// Where the head stands after a move.
///
/// # Errors
/// [`Illegal`] with the reason; the standing is then unchanged.
pub fn moved(steps: &Steps, at: &Standing, asked: &Move) -> Result<Standing, Illegal> {
    let mut to = at.clone();
    match asked {
        Move::To(step) => to.step = on_to(steps, at, *step)?,
        Move::Hold(reason) => {
            if at.held.is_some() {
                return Err(Illegal("The head is held already.".into()));
            }
            to.held = Some(reason.as_str().to_owned());
        }
        Move::Release => {
            if to.held.take().is_none() {
                return Err(Illegal("The head is not held.".into()));
            }
        }
        Move::SendBack(step, _) => {
            to.step = back_to(steps, at, *step)?;
            to.held = None;
        }
        Move::NotNeeded(step, _) => {
            ahead(steps, at, *step)?;
            if !to.not_needed.insert(*step) {
                return Err(Illegal("That step is marked not needed already.".into()));
            }
        }
        Move::Needed(step) => {
            ahead(steps, at, *step)?;
            if !to.not_needed.remove(step) {
                return Err(Illegal("That step is needed already.".into()));
            }
        }
    }
    Ok(to)
}

fn on_to(steps: &Steps, at: &Standing, asked: StepId) -> Result<StepId, Illegal> {
    if let Some(why) = &at.held {
        return Err(Illegal(format!(
            "The head is held: {why} Release it first."
        )));
    }
    let next = steps
        .next(at)
        .ok_or_else(|| Illegal("The head has reached the last step.".into()))?;
    if next.id == asked {
        Ok(asked)
    } else {
        Err(Illegal(format!(
            "The next step is “{}”: a head moves one step at a time.",
            next.name
        )))
    }
}

fn back_to(steps: &Steps, at: &Standing, asked: StepId) -> Result<StepId, Illegal> {
    let step = steps
        .before(at.step)
        .find(|s| s.id == asked)
        .ok_or_else(|| Illegal("A head is sent back to a step before the one it is at.".into()))?;
    if at.not_needed.contains(&asked) {
        return Err(Illegal(format!(
            "“{}” is not needed on this head.",
            step.name
        )));
    }
    Ok(asked)
}

fn ahead(steps: &Steps, at: &Standing, asked: StepId) -> Result<(), Illegal> {
    if steps.after(at.step).any(|s| s.id == asked) {
        Ok(())
    } else {
        Err(Illegal("Only a step still ahead can be marked.".into()))
    }
}
