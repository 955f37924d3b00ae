//! A change of a sheet after cutting began: shown before it is saved, written
//! down with it, and each touched piece decided on afterwards.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;

use crate::access::{Me, Post, Start, Work};
use crate::db::{StoreError, Tx};
use crate::heads::changes::{Decision, Kept, Touched, touched};
use crate::heads::model::{Head, HeadId};
use crate::heads::sheet::Tape;
use crate::heads::shop::{Shop, solved};
use crate::heads::store::{self, bench, changes as changes_store};
use crate::trim::sheet::Sheet;
use crate::web::{AppState, Form, Fragment, WebError};

/// The box to be ticked before a change goes over cut pieces.
pub(super) const AGREED: &str = "agreed";

/// What is said when it is not.
pub(super) const NOT_AGREED: &str = "Pieces of this head are cut. See below what becomes of them, then tick the box and save again.";

/// A cut piece in words.
struct Line {
    label: String,
    now: Option<String>,
    fate: &'static str,
    word: &'static str,
    why: String,
    usable: Option<Tape>,
}

#[derive(Template)]
#[template(path = "heads/touched.html")]
struct TouchedPart {
    count: usize,
    kept: usize,
    lines: Vec<Line>,
    to_cut: Vec<String>,
    boards: Vec<String>,
}

/// What a change does, for the page; nothing if no piece is cut yet.
pub(super) fn part(touched: Option<&Touched>, shop: &Shop) -> Result<Fragment, WebError> {
    let Some(touched) = touched else {
        return Ok(Fragment::default());
    };
    let lines = touched.pieces.iter().map(|piece| Line {
        label: piece.label.clone(),
        now: piece.now.clone().filter(|now| *now != piece.label),
        fate: piece.fate.code(),
        word: piece.fate.words(),
        why: piece.why.clone(),
        usable: piece.usable.map(|length| tape(shop, length.inches())),
    });
    Ok(Fragment::of(&TouchedPart {
        count: touched.count(),
        kept: touched.kept(),
        lines: lines.collect(),
        to_cut: touched.to_cut.clone(),
        boards: touched.boards.clone(),
    })?)
}

fn tape(shop: &Shop, inches: f64) -> Tape {
    Tape::of(&shop.wording.rounding.text(inches))
}

/// What going over to the `new` sheet does to the cut pieces of a head.
///
/// # Errors
/// The database's.
pub(super) async fn preview(
    app: &AppState,
    head: &Head,
    shop: &Shop,
    new: &Sheet,
) -> Result<Option<Touched>, WebError> {
    let ticks = bench::ticks(app.db().read(), head.card.id, head.card.sheet_version).await?;
    Ok(old_sheet(head, shop).and_then(|old| touched(&old, new, &ticks, shop)))
}

fn old_sheet(head: &Head, shop: &Shop) -> Option<Sheet> {
    let solved = solved(&head.design, head.as_built.as_ref(), shop);
    solved.ok().map(|(_, sheet)| sheet)
}

/// Writes down what becomes of the pieces cut by the sheet of `head`, now that
/// the change is made in this transaction. Ticks are read here again: one may
/// have come in since the page was drawn.
///
/// # Errors
/// The database's.
pub(super) async fn carry_over(
    work: &mut Work,
    head: &Head,
    shop: &Shop,
    new: &Sheet,
) -> Result<(), StoreError> {
    let (id, from) = (head.card.id, head.card.sheet_version);
    let to = bench::sheet_version(&mut work.tx, id).await?;
    if to == from {
        return Ok(());
    }
    let ticks = ticks_of(&mut work.tx, id, from).await?;
    let Some(touched) = old_sheet(head, shop).and_then(|old| touched(&old, new, &ticks, shop))
    else {
        return Ok(());
    };
    changes_store::record(&mut work.tx, work.made, (id, from, to), &touched.pieces).await
}

async fn ticks_of(
    tx: &mut Tx,
    id: HeadId,
    version: i64,
) -> Result<Vec<crate::heads::model::Tick>, StoreError> {
    bench::ticks_in(tx, id, version).await
}

/// A piece to be decided on, or decided.
pub(super) struct Piece {
    id: i64,
    label: String,
    now: Option<String>,
    fate: &'static str,
    word: &'static str,
    why: String,
    usable: Option<Tape>,
    decided: Option<String>,
    note: String,
    choices: Vec<(&'static str, &'static str)>,
}

/// One change of the sheet and the pieces that it touched.
pub(super) struct Group {
    from: i64,
    to: i64,
    when: String,
    kept: usize,
    pieces: Vec<Piece>,
}

#[derive(Template)]
#[template(path = "heads/decide.html")]
struct DecidePart {
    form: Option<Form>,
    waiting: usize,
    groups: Vec<Group>,
}

/// The touched pieces of a head with their decisions; `form` for whoever may
/// decide.
///
/// # Errors
/// The database's.
pub(super) async fn decide_part(
    app: &AppState,
    id: HeadId,
    form: Option<Form>,
    shop: &Shop,
) -> Result<Fragment, WebError> {
    let all = changes_store::of_head(app.db().read(), id).await?;
    if all.is_empty() {
        return Ok(Fragment::default());
    }
    let waiting = all.iter().filter(|kept| kept.waits()).count();
    let mut groups: Vec<Group> = Vec::new();
    for kept in all {
        if groups.last().is_none_or(|group| group.to != kept.to) {
            groups.push(Group {
                from: kept.from,
                to: kept.to,
                when: kept.at.local(app.firm().zone),
                kept: 0,
                pieces: Vec::new(),
            });
        }
        if let Some(group) = groups.last_mut() {
            match piece(app, kept, shop) {
                Some(piece) => group.pieces.push(piece),
                None => group.kept += 1,
            }
        }
    }
    Ok(Fragment::of(&DecidePart {
        form,
        waiting,
        groups,
    })?)
}

/// `None` for a piece that stayed as it is.
fn piece(app: &AppState, kept: Kept, shop: &Shop) -> Option<Piece> {
    let change = kept.change;
    let serves = change.now.is_some();
    let choices = Decision::allowed(change.fate, serves);
    if choices.is_empty() {
        return None;
    }
    let decided = kept.decision.map(|decision| {
        let who = kept.decided_by.as_deref().unwrap_or("somebody");
        let when = kept.decided_at.map(|at| at.local(app.firm().zone));
        format!("{}: {who}, {}", decision.words(), when.unwrap_or_default())
    });
    Some(Piece {
        id: kept.id,
        now: change.now.filter(|now| *now != change.label),
        label: change.label,
        fate: change.fate.code(),
        word: change.fate.words(),
        why: change.why,
        usable: change.usable.map(|length| tape(shop, length.inches())),
        decided,
        note: kept.note,
        choices: choices.into_iter().map(|d| (d.code(), d.words())).collect(),
    })
}

/// POST `/heads/{id}/piece`: what becomes of a piece that a change touched.
///
/// # Errors
/// `BadRequest` for a decision that is not among the piece's, `Missing`,
/// `Stale`, the database's.
pub async fn decide(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let change: i64 = post.fields.get("change").parse().unwrap_or(0);
    let note: String = post.fields.get("note").trim().chars().take(200).collect();
    if note.chars().any(char::is_control) {
        let words = "The note holds a character that cannot be printed. Write it again.";
        return Err(WebError::BadRequest(words.into()));
    }
    let all = changes_store::of_head(app.db().read(), id).await?;
    let kept = all.iter().find(|kept| kept.id == change);
    let kept = kept.ok_or(WebError::Missing)?;
    let allowed = Decision::allowed(kept.change.fate, kept.change.now.is_some());
    let asked = Decision::from_code(post.fields.get("decision"))
        .filter(|decision| allowed.contains(decision))
        .ok_or_else(|| WebError::BadRequest("Choose one of the piece's buttons.".into()))?;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let done =
                changes_store::decide(&mut work.tx, work.made, (id, change), asked, &note).await;
            if let Err(StoreError::Taken(_)) = done {
                return Err(WebError::NotNow(
                    "Somebody decided about this piece already.".into(),
                ));
            }
            done?;
            let detail =
                serde_json::json!({ "label": kept.change.label, "decision": asked.code() });
            work.audit("piece.decided", "head", id.get(), detail)
                .await?;
            work.done(format!("/heads/{id}?saved#cut-pieces")).await
        }
    }
}

/// How many cut pieces wait for a decision.
///
/// # Errors
/// The database's.
pub(super) async fn waiting(app: &AppState, id: HeadId) -> Result<i64, WebError> {
    Ok(store::changes::waiting(app.db().read(), id).await?)
}
