//! One head: its drawing, what a person must know, its step, its record.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;

use super::cures::{self, CureView, Take};
use super::step_forms::{Forms, StepForms};
use super::{FindingWords, block, changes, finding_words, may_write, shop};
use crate::access::{Me, Thing};
use crate::heads::gate::Gates;
use crate::heads::marks::{StepMark, step_mark};
use crate::heads::model::{Again, Event, Head, HeadId, Stage, What};
use crate::heads::rights::Hand;
use crate::heads::room;
use crate::heads::sheet::drawn;
use crate::heads::shop::{findings, solved};
use crate::heads::showing::differences;
use crate::heads::steps::{Standing, Steps};
use crate::heads::store::{self, openings};
use crate::heads::taken;
use crate::trim::draw::{self, Look};
use crate::web::{AppState, Errors, Form, Fragment, Page, Svg, WebError, html};

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
    /// Back to the design before it.
    back: Option<Take>,
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
    cures: Vec<CureView>,
    unreadable: Option<String>,
    track: Vec<TrackStep>,
    events: Vec<EventLine>,
    forms: StepForms,
    /// Why the next step cannot be reached yet.
    closed: Vec<String>,
    again: Vec<Again>,
    /// What was just done, seconds left, and the button that takes it back.
    undo: Option<(String, u64, Form)>,
    may_design: bool,
    may_bench: bool,
    pieces: usize,
    cut_pieces: Fragment,
    shelf: Vec<String>,
    rakes: bool,
    proportion: Fragment,
    parts: Vec<Fragment>,
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
    let labels: Vec<String> = sheet
        .iter()
        .flat_map(|s| s.runs.iter().flat_map(|r| &r.pieces))
        .map(|piece| piece.label.clone())
        .collect();
    let forms = Forms {
        app,
        me,
        head: &head,
        steps: &steps,
        standing: &standing,
        stages: &stages,
        wrong,
        typed,
        pieces: &labels,
    };
    let page = me.page(&head.card.name).under(
        format!("/jobs/{}", head.card.place.job),
        format!("{} {}", head.card.place.job_code, head.card.place.job_title),
    );
    let page = page.under(
        format!("/openings/{}", head.card.place.opening),
        head.card.place.mark.as_str(),
    );
    let may_bench = may_write(app, me, Thing::Ticks, id).await?;
    let decide = may_bench
        .then(|| me.form(app, format!("/heads/{id}/piece")))
        .transpose()?;
    let may_design = may_write(app, me, Thing::Heads, id).await?;
    let may_redraw = may_design && head.card.archived_at.is_none();
    let mut events = Vec::new();
    for event in store::events(pool, id).await? {
        let back = if may_redraw {
            cures::back(app, me, &head, &event)?
        } else {
            None
        };
        events.push(EventLine {
            back,
            ..line(app, event)
        });
    }
    let cut_pieces = changes::decide_part(app, id, decide, &shop).await?;
    let view = OnePage {
        shelf: taken::changed(app, &head.design).await?,
        rakes: sheet.as_ref().is_some_and(super::raked::rakes),
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
        cures: cures::of_head(app, me, &head, &shop, may_redraw)?,
        events,
        forms: forms.all().await?,
        closed: closed(app, &steps, &standing, id).await?,
        again: store::undo::to_make_again(pool, id, head.card.sheet_version).await?,
        undo: undo(app, me, &head).await?,
        may_design,
        may_bench,
        cut_pieces,
        proportion: match crate::heads::shop::read(&head.design, None, &shop) {
            Ok(design) => crate::heads::proportion::part(&design, &opening, &shop, "")?,
            Err(_) => Fragment::default(),
        },
        parts: room::parts(app, me, id).await?,
        pieces: labels.len(),
        head,
    };
    let status = if wrong.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    html(status, &view)
}

/// What keeps a head from its next step.
async fn closed(
    app: &AppState,
    steps: &Steps,
    at: &Standing,
    id: HeadId,
) -> Result<Vec<String>, WebError> {
    match (app.hook::<Gates>(), steps.next(at)) {
        (Some(gates), Some(next)) => Ok(gates.closed(app, id, next).await?),
        _ => Ok(Vec::new()),
    }
}

async fn undo(
    app: &AppState,
    me: &Me,
    head: &Head,
) -> Result<Option<(String, u64, Form)>, WebError> {
    let id = head.card.id;
    let found = store::undo::undoable(app.db().read(), id, me.id.get(), app.now()).await?;
    let Some(found) = found else {
        return Ok(None);
    };
    let form = me.form(app, format!("/heads/{id}/undo"))?;
    let words = match found.what {
        What::Moved => format!("on to {}", head.card.step_name),
        What::SentBack => format!("sent back to {}", head.card.step_name),
        What::Assigned => "given".to_owned(),
        other => other.words().trim_end_matches(':').to_owned(),
    };
    Ok(Some((
        words,
        found.left.as_secs().max(1),
        form.at_version(head.card.version),
    )))
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
        (What::Again, ..) => format!(
            "piece {} to be made again",
            event.new.as_deref().unwrap_or("")
        ),
        (What::Undone, ..) => format!(
            "{} {}",
            event.what.words(),
            event.old.as_deref().unwrap_or("").trim_end_matches(':')
        ),
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
        back: None,
    }
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
