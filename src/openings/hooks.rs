//! What openings give to the guard and to a job's page, and the room on their
//! pages for heads.

use std::collections::HashMap;

use askama::Template;

use crate::access::{BoxFuture, Me, Reach, Thing, Ties, UserId};
use crate::db::StoreError;
use crate::jobs::{JobId, JobPart, Missing, leads_job};
use crate::measure::Unit;
use crate::trim::sheet::{Finding, Severity};
use crate::web::{AppState, Fragment, WebError};

use super::findings::of_opening;
use super::lengths::longest;
use super::model::{Opening, OpeningId, Pass, Survey, Surveyed};
use super::{store, surveys};

/// One head of an opening, as a line of the job's table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeadLine {
    /// Its name.
    pub name: String,
    /// Its page.
    pub href: String,
    /// The step it stands at, in the trade's word.
    pub step: String,
    /// A sign for the step, so that it is not told by the word alone.
    pub sign: String,
    /// It waits for a hand.
    pub needs_hand: bool,
}

/// The heads over each opening.
pub type HeadLines = HashMap<OpeningId, Vec<HeadLine>>;
/// What a store hook gives back.
type Stored<T> = BoxFuture<Result<T, StoreError>>;
/// What a page hook gives back.
type Drawn<T> = BoxFuture<Result<T, WebError>>;

/// What heads give to the pages of openings. Without it there are no heads and
/// nobody is assigned to anything.
#[derive(Debug, Clone, Copy)]
pub struct OpeningHeads {
    /// The openings over which a person has a head to work on.
    pub assigned: fn(AppState, UserId) -> Stored<Vec<OpeningId>>,
    /// The heads of a job, by opening.
    pub of_job: fn(AppState, Me, JobId) -> Drawn<HeadLines>,
    /// The heads' part of an opening's page.
    pub part: fn(AppState, Me, OpeningId) -> Drawn<Fragment>,
}

/// Draws one later area's part of an opening's page, for the person who looks.
pub type OpeningPartFn = fn(AppState, Me, OpeningId) -> Drawn<Fragment>;

/// The parts of an opening's page that later areas draw below its heads.
#[derive(Debug, Clone, Default)]
pub struct OpeningParts(pub Vec<OpeningPartFn>);

pub(super) fn opening_ties(
    app: AppState,
    user: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move {
        let Some(own) = store::leads_opening(app.db().read(), user, id).await? else {
            return Ok(None);
        };
        let assigned = assigned(&app, user).await?.contains(&OpeningId::new(id));
        Ok(Some(Ties { own, assigned }))
    })
}

async fn assigned(app: &AppState, user: UserId) -> Result<Vec<OpeningId>, StoreError> {
    match app.hook::<OpeningHeads>() {
        Some(heads) => (heads.assigned)(app.clone(), user).await,
        None => Ok(Vec::new()),
    }
}

/// One row of the job's table of openings.
struct Line {
    id: OpeningId,
    mark: String,
    kind: &'static str,
    storey: i64,
    size: String,
    state: Progress,
    heads: Vec<HeadLine>,
}

#[derive(Template)]
#[template(path = "openings/of_job.html")]
struct OfJob {
    job: JobId,
    unit: &'static str,
    lines: Vec<Line>,
    away: Vec<(OpeningId, String)>,
    may_write: bool,
    assigned_only: bool,
}

/// A job's openings and what they still lack, for the job's page. A carpenter
/// sees those with a head to work on.
pub fn job_part(app: AppState, me: Me, job: JobId) -> BoxFuture<Result<JobPart, WebError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let unit = super::pages::unit(&app);
        let mut openings = store::openings_of(pool, job, false).await?;
        let assigned_only = !matches!(me.may_read(Thing::Jobs), Reach::All | Reach::Own);
        if assigned_only {
            let mine = assigned(&app, me.id).await?;
            openings.retain(|opening| mine.contains(&opening.id));
        }
        let surveys = surveys::store::last_surveys(pool, job).await?;
        let mut heads = match app.hook::<OpeningHeads>() {
            Some(hook) => (hook.of_job)(app.clone(), me.clone(), job).await?,
            None => HashMap::new(),
        };
        let may_write = may_write(&app, &me, job).await?;
        let away = if may_write {
            store::openings_of(pool, job, true).await?
        } else {
            Vec::new()
        };
        let seen: Vec<(Opening, Surveyed)> = openings
            .into_iter()
            .map(|o| with_surveys(o, &surveys))
            .collect();
        let missing = if may_write {
            missing(job, &seen)
        } else {
            Vec::new()
        };
        let lines = seen
            .iter()
            .map(|(opening, s)| {
                line(
                    opening,
                    s,
                    heads.remove(&opening.id).unwrap_or_default(),
                    unit,
                )
            })
            .collect();
        let away = away
            .into_iter()
            .map(|o| (o.id, o.facts.mark.to_string()))
            .collect();
        let table = OfJob {
            job,
            unit: unit.symbol(),
            lines,
            away,
            may_write,
            assigned_only,
        };
        Ok(JobPart {
            below: Fragment::of(&table)?,
            missing,
            ..JobPart::default()
        })
    })
}

/// Whether this person may change the openings of this job.
async fn may_write(app: &AppState, me: &Me, job: JobId) -> Result<bool, StoreError> {
    Ok(match me.may_write(Thing::Jobs) {
        Reach::All => true,
        Reach::Own => leads_job(app.db().read(), me.id, job.get())
            .await?
            .unwrap_or(false),
        Reach::Assigned | Reach::None => false,
    })
}

fn with_surveys(opening: Opening, surveys: &[Survey]) -> (Opening, Surveyed) {
    let own: Vec<Survey> = surveys
        .iter()
        .filter(|s| s.opening == opening.id)
        .cloned()
        .collect();
    let seen = opening.surveyed(&own);
    (opening, seen)
}

fn line(opening: &Opening, seen: &Surveyed, heads: Vec<HeadLine>, unit: Unit) -> Line {
    let state = Progress::of(seen, &of_opening(seen, unit));
    let size = seen.counts().map_or_else(String::new, |m| {
        let text = |values| longest(values).map_or_else(|| "?".to_owned(), |l| l.exact(unit));
        format!("{} × {}", text(&m.widths), text(&m.heights))
    });
    Line {
        id: opening.id,
        mark: opening.facts.mark.to_string(),
        kind: opening.facts.kind.words(),
        storey: opening.facts.storey,
        size,
        state,
        heads,
    }
}

/// How far the measuring of an opening has come: a word, a sign and a shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Progress {
    pub(super) words: &'static str,
    pub(super) sign: &'static str,
    /// The shape of its tag in the style sheet.
    pub(super) tag: &'static str,
}

impl Progress {
    pub(super) fn of(seen: &Surveyed, findings: &[Finding]) -> Self {
        let differ = findings.iter().any(|f| f.code == "measures-differ");
        let (words, sign, tag) = if findings.iter().any(|f| f.severity == Severity::Error) {
            ("cannot be so", "✗", "held")
        } else if differ {
            ("measures differ", "≠", "held")
        } else {
            match (&seen.first, &seen.second) {
                (None, None) => ("not measured", "○", "wait"),
                (Some(_), Some(_)) => ("measured twice", "●", "done"),
                _ => ("measured once", "◐", "now"),
            }
        };
        Self { words, sign, tag }
    }
}

/// What the openings still lack, said once for all of a sort.
fn missing(job: JobId, seen: &[(Opening, Surveyed)]) -> Vec<Missing> {
    if seen.is_empty() {
        return vec![Missing::new(
            "No openings yet.",
            format!("/openings/new/{job}"),
        )];
    }
    type Lacks = fn(&Surveyed) -> bool;
    let sorts: [(&str, Pass, Lacks); 2] = [
        ("Not measured yet", Pass::First, |s| {
            s.first.is_none() && s.second.is_none()
        }),
        ("Second measure missing", Pass::Second, |s| {
            s.first.is_some() && s.second.is_none()
        }),
    ];
    sorts
        .into_iter()
        .filter_map(|(words, pass, lacks)| {
            let which: Vec<&Opening> = seen
                .iter()
                .filter(|(_, s)| lacks(s))
                .map(|(opening, _)| opening)
                .collect();
            let first = which.first()?;
            let marks: Vec<&str> = which.iter().map(|o| o.facts.mark.as_str()).collect();
            let href = format!("/openings/{}/measure?pass={}", first.id, pass.code());
            Some(Missing::new(
                format!("{words}: {}.", marks.join(", ")),
                href,
            ))
        })
        .collect()
}
