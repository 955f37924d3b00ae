//! Moves along the steps, who does them, and putting a head away.

use axum::extract::{Path, State};
use axum::response::Response;

use super::one::{hand_of, show, standing_of};
use crate::access::{Me, Post, Role, Start, UserId, person};
use crate::heads::gate::Gates;
use crate::heads::model::HeadId;
use crate::heads::rights::may;
use crate::heads::steps::{Move, Reason, StepId};
use crate::heads::store::moves::{self, MoveError};
use crate::heads::store::{self, undo};
use crate::web::{AppState, Check, Errors, Fields, WebError};

impl From<MoveError> for WebError {
    fn from(error: MoveError) -> Self {
        match error {
            MoveError::Illegal(why) => Self::NotNow(why.0),
            MoveError::Store(error) => error.into(),
        }
    }
}

/// What was asked for, or what is wrong with how it was asked.
fn asked(fields: &Fields) -> Result<Move, Errors> {
    let mut check = Check::of(fields);
    let step = |check: &mut Check<'_>, field: &str| {
        check.parse(field, |text| {
            text.parse::<StepId>()
                .map_err(|_| "Choose one of the steps.")
        })
    };
    let asked = match fields.get("do") {
        "next" => step(&mut check, "step").map(Move::To),
        "hold" => check.parse("hold_reason", Reason::parse).map(Move::Hold),
        "release" => Some(Move::Release),
        "back" => {
            let (to, why) = (
                step(&mut check, "back_step"),
                check.parse("back_reason", Reason::parse),
            );
            to.zip(why).map(|(to, why)| Move::SendBack(to, why))
        }
        "skip" => {
            let (to, why) = (
                step(&mut check, "skip_step"),
                check.parse("skip_reason", Reason::parse),
            );
            to.zip(why).map(|(to, why)| Move::NotNeeded(to, why))
        }
        "need" => step(&mut check, "need_step").map(Move::Needed),
        _ => None,
    };
    check.finish_some(asked)
}

/// POST `/heads/{id}/step`.
///
/// # Errors
/// `NotNow` for a move that the steps or a gate do not allow, `Missing` for
/// one that is not this person's, `Stale`, the database's.
pub async fn step(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let asked = match asked(&post.fields) {
        Ok(asked) => asked,
        Err(wrong) => return show(&app, &me, id, &wrong, Some(&post.fields)).await,
    };
    let seen = post.version()?;
    let mut work = match post.begin(&app, &me).await? {
        Start::Again(reply) => return Ok(reply),
        Start::First(work) => work,
    };
    let pool = app.db().read();
    let steps = store::steps(pool).await?;
    let stages = store::stages(pool, id).await?;
    let standing = standing_of(&store::head(pool, id).await?, &stages);
    if !may(&hand_of(&me, &stages), &steps, &standing, &asked) {
        return Err(WebError::Missing);
    }
    if let Move::To(to) = &asked
        && let Some(step) = steps.get(*to)
    {
        let gates = app
            .hook::<Gates>()
            .ok_or_else(|| WebError::internal("the gates are not joined"))?;
        let closed = gates.closed(&app, id, step).await?;
        if !closed.is_empty() {
            return Err(WebError::NotNow(closed.join(" ")));
        }
    }
    moves::step(&mut work.tx, work.made, (id, seen), &asked).await?;
    let detail = serde_json::json!({ "do": post.fields.get("do") });
    work.audit("head.step", "head", id.get(), detail).await?;
    work.done(format!("/heads/{id}?saved")).await
}

/// POST `/heads/{id}/assign`: gives one step, or every step of the hand.
///
/// # Errors
/// `Stale`, the database's.
pub async fn assign(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let steps = store::steps(app.db().read()).await?;
    let mut check = Check::of(&post.fields);
    let given = check.one_of("assign_step", |text| match text {
        "all" => Some(
            steps
                .iter()
                .filter(|s| s.by_hand)
                .map(|s| s.id)
                .collect::<Vec<_>>(),
        ),
        one => one
            .parse::<StepId>()
            .ok()
            .filter(|id| steps.get(*id).is_some())
            .map(|id| vec![id]),
    });
    let person_id = check.optional("assign_to", |text| {
        text.parse::<UserId>()
            .map_err(|_| "Choose one of the list.")
    });
    if let Some(chosen) = person_id {
        let able = person(app.db().read(), chosen).await.ok();
        if !able.is_some_and(|p| p.role == Role::Carpenter && p.disabled_at.is_none()) {
            check.fail("assign_to", "Choose one of the carpenters.");
        }
    }
    let given = match check.finish_some(given) {
        Ok(given) => given,
        Err(wrong) => return show(&app, &me, id, &wrong, Some(&post.fields)).await,
    };
    let seen = post.version()?;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let to = person_id.map(UserId::get);
            moves::assign(&mut work.tx, work.made, (id, seen), &given, to).await?;
            work.audit(
                "head.assigned",
                "head",
                id.get(),
                serde_json::json!({ "to": to }),
            )
            .await?;
            work.done(format!("/heads/{id}?saved")).await
        }
    }
}

/// POST `/heads/{id}/archive`: puts a head away or takes it out again.
///
/// # Errors
/// `Stale`, the database's.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let seen = post.version()?;
    let away = post.fields.get("do") != "bring-back";
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            moves::archive(&mut work.tx, work.made, (id, seen), away).await?;
            let event = if away {
                "head.archived"
            } else {
                "head.brought-back"
            };
            work.audit(event, "head", id.get(), serde_json::json!({}))
                .await?;
            work.done(format!("/heads/{id}?saved")).await
        }
    }
}

/// POST `/heads/{id}/undo`: takes back one's own last change, within ten
/// seconds and once.
///
/// # Errors
/// `NotNow` when it is too late, `Stale`, the database's.
pub async fn undo(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let seen = post.version()?;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            undo::undo(&mut work.tx, work.made, (id, seen)).await?;
            work.audit("head.undone", "head", id.get(), serde_json::json!({}))
                .await?;
            work.done(format!("/heads/{id}?saved")).await
        }
    }
}

/// POST `/heads/{id}/again`: a piece is to be made again.
///
/// # Errors
/// `Missing` for one that may not ask, `Stale`, the database's.
pub async fn again(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    if me.role == Role::Office {
        return Err(WebError::Missing);
    }
    let head = store::head(app.db().read(), id).await?;
    let solved = crate::heads::shop::solved(
        &head.design,
        head.as_built.as_ref(),
        &super::shop(&app).await?,
    );
    let (_, sheet) = solved.map_err(WebError::internal)?;
    let pieces = || sheet.runs.iter().flat_map(|run| &run.pieces);
    let mut check = Check::of(&post.fields);
    let label = check.one_of("again_piece", |text| {
        pieces().find(|p| p.label == text).map(|p| p.label.clone())
    });
    let why = check.parse("again_reason", Reason::parse);
    let (label, why) = match check.finish_some(label.zip(why)) {
        Ok(asked) => asked,
        Err(wrong) => return show(&app, &me, id, &wrong, Some(&post.fields)).await,
    };
    let seen = post.version()?;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            undo::make_again(&mut work.tx, work.made, (id, seen), &label, &why).await?;
            let detail = serde_json::json!({ "label": label });
            work.audit("head.again", "head", id.get(), detail).await?;
            work.done(format!("/heads/{id}?saved")).await
        }
    }
}
