//! One head: its drawing, what a person must know, its step, its record.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;

use super::{FindingWords, block, finding_words, may_write, shop};
use crate::access::{Me, Role, Thing, people};
use crate::heads::marks::{StepMark, step_mark};
use crate::heads::model::{Event, Head, HeadId, Stage, What};
use crate::heads::rights::{Hand, may};
use crate::heads::sheet::drawn;
use crate::heads::shop::{findings, solved};
use crate::heads::showing::differences;
use crate::heads::steps::{Move, Reason, Standing, StepId, Steps};
use crate::heads::store::{self, openings};
use crate::trim::draw::{self, Look};
use crate::web::{AppState, Choice, Errors, Form, Page, Svg, WebError, html};

/// A step of the track.
struct TrackStep {
    name: String,
    /// `done`, `here`, `ahead` or `skipped`.
    class: &'static str,
    mark: &'static str,
    who: Option<String>,
}

/// A line of the record.
struct EventLine {
    when: String,
    who: String,
    words: String,
    reason: Option<String>,
    changes: Vec<(String, String, String)>,
}

/// The forms that this person may use; each `None` if not.
#[derive(Default)]
struct StepForms {
    next: Option<(Form, StepId, String)>,
    hold: Option<Form>,
    release: Option<Form>,
    back: Option<(Form, Vec<Choice>)>,
    skip: Option<(Form, Vec<Choice>)>,
    need: Option<(Form, Vec<Choice>)>,
    assign: Option<(Form, Vec<Choice>, Vec<Choice>)>,
    archive: Option<Form>,
}

#[derive(Template)]
#[template(path = "heads/one.html")]
struct OnePage {
    page: Page,
    head: Head,
    mark: StepMark,
    elevation: Option<Svg>,
    small: Option<Svg>,
    findings: Vec<FindingWords>,
    unreadable: Option<String>,
    track: Vec<TrackStep>,
    events: Vec<EventLine>,
    forms: StepForms,
    may_design: bool,
    may_bench: bool,
    pieces: usize,
}

/// GET `/heads/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
) -> Result<Response, WebError> {
    show(&app, &me, id, &Errors::default(), None).await
}

/// The page, with what was wrong in one of its forms.
///
/// # Errors
/// `Missing`, the database's.
pub async fn show(
    app: &AppState,
    me: &Me,
    id: HeadId,
    wrong: &Errors,
    typed: Option<&crate::web::Fields>,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let head = store::head(pool, id).await?;
    let steps = store::steps(pool).await?;
    let stages = store::stages(pool, id).await?;
    let standing = standing_of(&head, &stages);
    let shop = shop(app).await?;
    let look = |width_px| Look {
        width_px,
        length: shop.wording.words(),
    };
    let opening = openings::surveyed(app, head.card.place.opening).await?;
    let (sheet, found, unreadable) = match solved(&head.design, head.as_built.as_ref(), &shop) {
        Ok((design, sheet)) => {
            let found = findings(&design, &sheet, Some(&opening), &shop);
            (Some(sheet), found, None)
        }
        Err(wrong) => (None, Vec::new(), Some(wrong.to_string())),
    };
    let forms = Forms {
        app,
        me,
        head: &head,
        steps: &steps,
        standing: &standing,
        stages: &stages,
        wrong,
        typed,
    };
    let page = me.page(&head.card.name).under(
        format!("/jobs/{}", head.card.place.job),
        format!("{} {}", head.card.place.job_code, head.card.place.job_title),
    );
    let page = page.under(
        format!("/openings/{}", head.card.place.opening),
        head.card.place.mark.as_str(),
    );
    let view = OnePage {
        page: block(app, &head, page),
        mark: step_mark(&steps, head.card.step, head.card.held.is_some()),
        elevation: sheet
            .as_ref()
            .map(|s| drawn(&draw::elevation(s, &look(1000.0)))),
        small: sheet
            .as_ref()
            .map(|s| drawn(&draw::elevation(s, &look(360.0)))),
        findings: finding_words(&found),
        unreadable,
        track: track(&steps, &standing, &stages),
        events: store::events(pool, id)
            .await?
            .into_iter()
            .map(|e| line(app, e))
            .collect(),
        forms: forms.all().await?,
        may_design: may_write(app, me, Thing::Heads, id).await?,
        may_bench: may_write(app, me, Thing::Ticks, id).await?,
        pieces: sheet
            .as_ref()
            .map_or(0, |s| s.runs.iter().map(|r| r.pieces.len()).sum()),
        head,
    };
    let status = if wrong.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    html(status, &view)
}

pub(super) fn standing_of(head: &Head, stages: &[Stage]) -> Standing {
    Standing {
        step: head.card.step,
        held: head.card.held.clone(),
        not_needed: stages
            .iter()
            .filter(|s| s.not_needed)
            .map(|s| s.step)
            .collect(),
    }
}

fn track(steps: &Steps, at: &Standing, stages: &[Stage]) -> Vec<TrackStep> {
    let here = steps.place(at.step).unwrap_or(0);
    let one = |(place, step): (usize, &crate::heads::steps::Step)| {
        let (class, mark) = match place {
            _ if at.not_needed.contains(&step.id) => ("skipped", "–"),
            p if p < here => ("done", "✓"),
            p if p == here => ("here", "●"),
            _ => ("ahead", "○"),
        };
        let who = stages
            .iter()
            .find(|s| s.step == step.id)
            .and_then(|s| s.assignee_name.clone());
        TrackStep {
            name: step.name.clone(),
            class,
            mark,
            who,
        }
    };
    steps.iter().enumerate().map(one).collect()
}

fn line(app: &AppState, event: Event) -> EventLine {
    let words = match (event.what, &event.to, &event.person) {
        (What::Moved | What::SentBack | What::NotNeeded | What::Needed, Some(to), _) => {
            format!("{} {to}", event.what.words())
        }
        (What::Assigned, Some(step), Some(person)) => format!("{step} given to {person}"),
        (What::Assigned, Some(step), None) => format!("{step} given to nobody"),
        (What::Renamed, ..) => format!("renamed, was “{}”", event.old.as_deref().unwrap_or("")),
        _ => event.what.words().to_owned(),
    };
    let parsed =
        |text: &Option<String>| serde_json::from_str(text.as_deref().unwrap_or("null")).ok();
    let changes = match (event.what, parsed(&event.old), parsed(&event.new)) {
        (What::Redrawn, Some(old), Some(new)) => differences(&old, &new),
        _ => Vec::new(),
    };
    EventLine {
        when: event.at.local(app.firm().zone),
        who: event.who.unwrap_or_else(|| "the program".to_owned()),
        words,
        reason: event.reason,
        changes,
    }
}

/// Makes the forms that this person may use.
struct Forms<'a> {
    app: &'a AppState,
    me: &'a Me,
    head: &'a Head,
    steps: &'a Steps,
    standing: &'a Standing,
    stages: &'a [Stage],
    wrong: &'a Errors,
    typed: Option<&'a crate::web::Fields>,
}

impl Forms<'_> {
    async fn all(&self) -> Result<StepForms, WebError> {
        let mut forms = StepForms::default();
        let id = self.head.card.id;
        let live = self.head.card.archived_at.is_none();
        if live && may_write(self.app, self.me, Thing::Steps, id).await? {
            self.moves(&mut forms)?;
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

pub(super) fn hand_of(me: &Me, stages: &[Stage]) -> Hand {
    let mine = stages
        .iter()
        .filter(|s| s.assignee == Some(me.id.get()))
        .map(|s| s.step);
    Hand {
        role: me.role,
        given: mine.collect::<BTreeSet<_>>(),
    }
}
