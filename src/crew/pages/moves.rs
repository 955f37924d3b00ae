//! Planning a step, moving it, taking it off the plan.

use axum::extract::State;
use axum::response::Response;
use serde_json::json;

use super::super::model::SlotId;
use super::super::{forms, store};
use super::plan::again;
use super::{carpenters, ids};
use crate::access::{Me, Post, Start};
use crate::heads;
use crate::web::{AppState, Errors, Fields, WebError};

/// POST `/crew/plan/add`: plans a step of a head and gives it.
///
/// # Errors
/// The database's.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let crew = ids(&carpenters(&app).await?);
    // Begun before the list is read: the same form sent twice at once must find
    // its first reply, not a list from which it has taken the step itself.
    let mut work = match post.begin(&app, &me).await? {
        Start::Again(reply) => return Ok(reply),
        Start::First(work) => work,
    };
    let open = store::unplanned(app.db().read()).await?;
    let chosen = forms::head_and_step(post.fields.get("work"))
        .filter(|one| open.iter().any(|(head, step, _)| (*head, *step) == *one));
    let (place, mut wrong) = match forms::place(&post.fields, &crew) {
        Ok(place) => (Some(place), Errors::default()),
        Err(wrong) => (None, wrong),
    };
    if chosen.is_none() {
        wrong.add(
            "work",
            "Choose one of the list; it may have been planned meanwhile.",
        );
    }
    let (Some((head, step)), Some((user, day))) = (chosen, place) else {
        drop(work);
        return again(&app, &me, &post, &wrong).await;
    };
    let slot = store::add_slot(&mut work.tx, work.made, (head, step), (user, day)).await?;
    heads::give(&mut work.tx, work.made, head, &[step], Some(user.get())).await?;
    let detail = json!({ "head": head, "step": step, "to": user, "day": day.to_string() });
    work.audit("plan.added", "plan", slot.get(), detail).await?;
    work.done(format!("/crew/plan?week={day}&saved")).await
}

fn slot_of(fields: &Fields) -> Result<SlotId, WebError> {
    let wrong = |_| WebError::BadRequest("The form names no place on the plan.".into());
    fields.get("slot").parse().map_err(wrong)
}

/// POST `/crew/plan/move`: another day, another carpenter.
///
/// # Errors
/// `Stale` if somebody moved it meanwhile; the database's.
pub async fn shift(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let crew = ids(&carpenters(&app).await?);
    let (id, seen) = (slot_of(&post.fields)?, post.version()?);
    let (user, day) = match forms::place(&post.fields, &crew) {
        Ok(place) => place,
        Err(wrong) => return again(&app, &me, &post, &wrong).await,
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let slot = store::slot(app.db().read(), id).await?;
            store::move_slot(&mut work.tx, (id, seen), (user, day)).await?;
            if slot.user != user {
                let to = Some(user.get());
                heads::give(&mut work.tx, work.made, slot.head, &[slot.step], to).await?;
            }
            let detail = json!({ "to": user, "day": day.to_string() });
            work.audit("plan.moved", "plan", id.get(), detail).await?;
            work.done(format!("/crew/plan?week={day}&saved")).await
        }
    }
}

/// POST `/crew/plan/remove`: off the plan; who it is given to stays.
///
/// # Errors
/// `Stale`, the database's.
pub async fn remove(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let (id, seen) = (slot_of(&post.fields)?, post.version()?);
    let day = match store::slot(app.db().read(), id).await {
        Ok(slot) => slot.day,
        Err(_) => app.now().date(app.firm().zone),
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::remove_slot(&mut work.tx, (id, seen)).await?;
            work.audit("plan.removed", "plan", id.get(), json!({}))
                .await?;
            work.done(format!("/crew/plan?week={day}&saved")).await
        }
    }
}
