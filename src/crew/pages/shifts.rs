//! What turns a plan over: somebody away, a day lost, a pattern head.

use std::collections::BTreeSet;

use axum::extract::State;
use axum::response::Response;
use serde_json::{Value, json};

use super::super::model::{LostDay, next_working};
use super::super::{forms, store};
use super::plan::{again, live_jobs};
use super::{carpenters, ids};
use crate::access::{Me, Post, Start, Work};
use crate::heads::{self, Head, HeadId};
use crate::jobs::JobId;
use crate::web::{AppState, Errors, WebError};

/// POST `/crew/plan/away`: somebody is away, and all that is planned for them
/// in those days goes to somebody else in one move, with a note saying where
/// half-cut pieces lie.
///
/// # Errors
/// The database's.
pub async fn away(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let crew = ids(&carpenters(&app).await?);
    let away = match forms::away(&post.fields, &crew) {
        Ok(away) => away,
        Err(wrong) => return again(&app, &me, &post, &wrong).await,
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::Again(reply) => return Ok(reply),
        Start::First(work) => work,
    };
    let days = (away.first, away.last);
    let id = store::add_absence(&mut work.tx, work.made, away.user, days, away.reason).await?;
    let mut moved = 0;
    if away.to.is_some() {
        moved = hand_on(&app, &mut work, &away).await?;
    }
    work.audit("plan.away", "absence", id, json!({ "handed_on": moved }))
        .await?;
    work.done(format!("/crew/plan?week={}&saved", away.first))
        .await
}

async fn hand_on(app: &AppState, work: &mut Work, away: &forms::Away) -> Result<usize, WebError> {
    let Some(to) = away.to else { return Ok(0) };
    let (mut moved, mut told) = (0, BTreeSet::new());
    let mut day = away.first;
    while day <= away.last {
        for slot in store::of_person(&mut work.tx, away.user, day).await? {
            store::move_slot(&mut work.tx, (slot.id, slot.version), (to, day)).await?;
            let steps = [slot.step];
            heads::give(&mut work.tx, work.made, slot.head, &steps, Some(to.get())).await?;
            if told.insert(slot.head) {
                note_half_cut(app, work, (slot.head, away)).await?;
            }
            moved += 1;
        }
        let Some(next) = day.succ_opt() else { break };
        day = next;
    }
    Ok(moved)
}

/// Whoever takes a head over reads how many of its pieces are cut, and where
/// they lie.
async fn note_half_cut(
    app: &AppState,
    work: &mut Work,
    (head, away): (HeadId, &forms::Away),
) -> Result<(), WebError> {
    let pool = app.db().read();
    let card = heads::head(pool, head).await?.card;
    let cut = heads::ticks(pool, head, card.sheet_version).await?.len();
    let mut lie = away.lie.clone();
    if lie.is_empty() {
        lie = store::weather::stands(pool)
            .await?
            .remove(&head)
            .unwrap_or_default();
    } else {
        store::weather::add_stand(&mut work.tx, work.made, head, &lie).await?;
    }
    if cut == 0 && lie.is_empty() {
        return Ok(());
    }
    let lie = if lie.is_empty() {
        "Ask where they lie.".to_owned()
    } else {
        format!("They lie here: {lie}")
    };
    let words = format!("You take this head over. Pieces cut so far: {cut}. {lie}");
    let place = (JobId::new(card.place.job), Some(head));
    store::notes::add(&mut work.tx, work.made, place, away.to, &words).await?;
    Ok(())
}

/// POST `/crew/plan/back`: somebody is back early.
///
/// # Errors
/// `Missing`, the database's.
pub async fn back(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let id: i64 = post
        .fields
        .get("absence")
        .parse()
        .map_err(|_| WebError::Missing)?;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::end_absence(&mut work.tx, work.made, id).await?;
            work.audit("plan.back", "absence", id, json!({})).await?;
            work.done("/crew/plan?saved").await
        }
    }
}

/// POST `/crew/plan/lost`: a day is lost, and all that was planned from it on
/// and is not done moves to the next working day.
///
/// # Errors
/// The database's.
pub async fn lost(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let jobs: Vec<JobId> = live_jobs(&app).await?.iter().map(|job| job.id).collect();
    let lost = match forms::lost(&post.fields, &jobs) {
        Ok(lost) => lost,
        Err(wrong) => return again(&app, &me, &post, &wrong).await,
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::Again(reply) => return Ok(reply),
        Start::First(work) => work,
    };
    let slots = store::from_day(&mut work.tx, lost.day, lost.job).await?;
    for slot in &slots {
        let to = (slot.user, next_working(slot.day));
        store::move_slot(&mut work.tx, (slot.id, slot.version), to).await?;
    }
    let kept = LostDay {
        job: None,
        day: lost.day,
        reason: lost.reason,
        cover: lost.cover,
        moved: i64::try_from(slots.len()).unwrap_or(i64::MAX),
    };
    let id = store::add_lost_day(&mut work.tx, work.made, lost.job, &kept).await?;
    work.audit(
        "plan.lost-day",
        "lost_day",
        id,
        json!({ "moved": kept.moved }),
    )
    .await?;
    work.done(format!("/crew/plan?week={}&saved", lost.day))
        .await
}

fn bare(design: &Value) -> Value {
    let mut bare = design.clone();
    if let Value::Object(map) = &mut bare {
        map.remove("name");
    }
    bare
}

/// The other heads of a job with the same design, whatever their names.
pub(super) fn twins<'a>(head: &Head, all: &'a [Head]) -> Vec<&'a Head> {
    let design = bare(&head.design);
    all.iter()
        .filter(|other| other.card.id != head.card.id && bare(&other.design) == design)
        .collect()
}

/// POST `/crew/plan/pattern`: a head becomes the pattern of its twins that are
/// not cut yet; they wait until it is hung. Or they are freed.
///
/// # Errors
/// The database's.
pub async fn pattern(
    State(app): State<AppState>,
    me: Me,
    post: Post,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let Ok(id) = post.fields.get("pattern_head").parse::<HeadId>() else {
        let wrong = Errors::one("pattern_head", "Choose the head to build first.");
        return again(&app, &me, &post, &wrong).await;
    };
    let head = heads::head(pool, id).await?;
    let steps = heads::steps(pool).await?;
    let by_hand = || steps.iter().filter(|s| s.by_hand);
    let until = by_hand()
        .find(|s| s.name == "hung")
        .or_else(|| by_hand().next_back());
    let until = until.ok_or(WebError::Missing)?.id;
    let first_cut = by_hand()
        .next()
        .and_then(|s| steps.place(s.id))
        .unwrap_or(0);
    let all = heads::of_job(pool, head.card.place.job).await?;
    let free = post.fields.get("do") == "free";
    let mut work = match post.begin(&app, &me).await? {
        Start::Again(reply) => return Ok(reply),
        Start::First(work) => work,
    };
    for twin in twins(&head, &all) {
        let ahead = steps.place(twin.card.step).is_some_and(|at| at < first_cut);
        if ahead || free {
            let pattern = (!free).then_some((id, until));
            store::set_pattern(&mut work.tx, work.made, twin.card.id, pattern).await?;
        }
    }
    work.audit("plan.pattern", "head", id.get(), json!({ "free": free }))
        .await?;
    work.done("/crew/plan?saved").await
}
