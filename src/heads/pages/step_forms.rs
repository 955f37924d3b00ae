//! The forms by which one head is moved, given away, put away, or one of its
//! pieces made again.

use super::may_write;
use super::one::hand_of;
use crate::access::{Me, Role, Thing, people};
use crate::heads::model::{Head, Stage};
use crate::heads::rights::may;
use crate::heads::steps::{Move, Reason, Standing, StepId, Steps};
use crate::web::{AppState, Choice, Errors, Fields, Form, WebError};

/// The forms that this person may use; each `None` if not.
#[derive(Default)]
pub(super) struct StepForms {
    pub next: Option<(Form, StepId, String)>,
    pub hold: Option<Form>,
    pub release: Option<Form>,
    pub back: Option<(Form, Vec<Choice>)>,
    pub skip: Option<(Form, Vec<Choice>)>,
    pub need: Option<(Form, Vec<Choice>)>,
    pub assign: Option<(Form, Vec<Choice>, Vec<Choice>)>,
    pub archive: Option<Form>,
    pub again: Option<(Form, Vec<Choice>)>,
}

/// Makes the forms that this person may use.
pub(super) struct Forms<'a> {
    pub app: &'a AppState,
    pub me: &'a Me,
    pub head: &'a Head,
    pub steps: &'a Steps,
    pub standing: &'a Standing,
    pub stages: &'a [Stage],
    pub wrong: &'a Errors,
    pub typed: Option<&'a Fields>,
    /// Labels of the sheet's pieces.
    pub pieces: &'a [String],
}

impl Forms<'_> {
    pub async fn all(&self) -> Result<StepForms, WebError> {
        let mut forms = StepForms::default();
        let id = self.head.card.id;
        let live = self.head.card.archived_at.is_none();
        if live && may_write(self.app, self.me, Thing::Steps, id).await? {
            self.moves(&mut forms)?;
            if self.me.role != Role::Office && !self.pieces.is_empty() {
                let labels = self.pieces.iter().map(|l| Choice::new(l, l)).collect();
                forms.again = Some((self.form("again")?, labels));
            }
        }
        if may_write(self.app, self.me, Thing::Heads, id).await? {
            forms.archive = Some(self.form("archive")?);
            if live {
                forms.assign = Some(self.assign().await?);
            }
        }
        Ok(forms)
    }

    fn moves(&self, forms: &mut StepForms) -> Result<(), WebError> {
        let hand = hand_of(self.me, self.stages);
        let may = |asked: &Move| may(&hand, self.steps, self.standing, asked);
        let Ok(why) = Reason::parse("why") else {
            return Ok(());
        };
        if let Some(next) = self
            .steps
            .next(self.standing)
            .filter(|n| may(&Move::To(n.id)))
            && self.standing.held.is_none()
        {
            forms.next = Some((self.form("step")?, next.id, next.name.clone()));
        }
        if self.standing.held.is_some() {
            if may(&Move::Release) {
                forms.release = Some(self.form("step")?);
            }
        } else if may(&Move::Hold(why.clone())) {
            forms.hold = Some(self.form("step")?);
        }
        let skipped = &self.standing.not_needed;
        let before = self
            .steps
            .before(self.standing.step)
            .filter(|s| !skipped.contains(&s.id));
        let back = choices(before, |s| may(&Move::SendBack(s, why.clone())));
        if !back.is_empty() {
            forms.back = Some((self.form("step")?, back));
        }
        let ahead = || self.steps.after(self.standing.step);
        let skip = choices(ahead().filter(|s| !skipped.contains(&s.id)), |s| {
            may(&Move::NotNeeded(s, why.clone()))
        });
        if !skip.is_empty() {
            forms.skip = Some((self.form("step")?, skip));
        }
        let need = choices(ahead().filter(|s| skipped.contains(&s.id)), |s| {
            may(&Move::Needed(s))
        });
        if !need.is_empty() {
            forms.need = Some((self.form("step")?, need));
        }
        Ok(())
    }

    async fn assign(&self) -> Result<(Form, Vec<Choice>, Vec<Choice>), WebError> {
        let mut steps = vec![Choice::new("all", "every step of the hand")];
        steps.extend(
            self.steps
                .iter()
                .filter(|s| s.by_hand)
                .map(|s| Choice::new(s.id, &s.name)),
        );
        let mut crew = vec![Choice::new("", "nobody")];
        let all = people(self.app.db().read()).await?;
        let able = all
            .into_iter()
            .filter(|p| p.role == Role::Carpenter && p.disabled_at.is_none());
        crew.extend(able.map(|p| Choice::new(p.id, p.name)));
        Ok((self.form("assign")?, steps, crew))
    }

    fn form(&self, what: &str) -> Result<Form, WebError> {
        let form = self
            .me
            .form(self.app, format!("/heads/{}/{what}", self.head.card.id))?;
        let form = form
            .at_version(self.head.card.version)
            .wrong(self.wrong.clone());
        Ok(match self.typed {
            Some(typed) => form.filled(typed.shown()),
            None => form,
        })
    }
}

fn choices<'a>(
    steps: impl Iterator<Item = &'a crate::heads::steps::Step>,
    may: impl Fn(StepId) -> bool,
) -> Vec<Choice> {
    steps
        .filter(|s| may(s.id))
        .map(|s| Choice::new(s.id, &s.name))
        .collect()
}
