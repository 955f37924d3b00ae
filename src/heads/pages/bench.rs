//! From the saw and the bench: pieces ticked off, and what the head really
//! measured.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use serde_json::Value;

use super::changes::{AGREED, NOT_AGREED, carry_over, part, preview};
use super::{FindingWords, block, finding_words, shop};
use crate::access::{Me, Post, Start};
use crate::heads::measures::{self, AskGroup};
use crate::heads::model::{Head, HeadId};
use crate::heads::sheet::drawn;
use crate::heads::shop::{self as shops, Shop, read, solved};
use crate::heads::store::{self, bench, moves, openings};
use crate::trim::draw::{self, Look};
use crate::trim::sheet::Sheet;
use crate::web::{AppState, Choice, Errors, Fields, Form, Fragment, Page, Svg, WebError, html};

#[derive(Template)]
#[template(path = "heads/bench.html")]
struct BenchPage {
    page: Page,
    form: Form,
    wide: Svg,
    small: Svg,
    groups: Vec<AskGroup>,
    angles: bool,
    written: Vec<Choice>,
    /// What solving again comes to, once asked for.
    result: Option<Outcome>,
    hangs: Vec<FindingWords>,
    cut: usize,
}

/// What the measures come to.
struct Outcome {
    findings: Vec<FindingWords>,
    differs: Vec<(String, String, String)>,
    touched: Fragment,
}

/// POST `/heads/{id}/tick`: a piece is cut, or is not after all.
///
/// # Errors
/// `NotNow` if the sheet is another one by now or has no such piece.
pub async fn tick(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let label = post.fields.get("label").to_owned();
    let sheet_version: i64 = post.fields.get("sheet_version").parse().map_err(|_| {
        WebError::BadRequest("The form lacks the sheet's version. Open it again.".into())
    })?;
    let done = post.fields.get("do") != "undo";
    let head = store::head(app.db().read(), id).await?;
    let (_, sheet) = solved(&head.design, head.as_built.as_ref(), &shop(&app).await?)
        .map_err(WebError::internal)?;
    let nth = sheet
        .runs
        .iter()
        .flat_map(|run| &run.pieces)
        .position(|piece| piece.label == label);
    let nth =
        nth.ok_or_else(|| WebError::NotNow("This sheet has no such piece. Reload it.".into()))? + 1;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            bench::tick(&mut work.tx, work.made, (id, sheet_version), &label, done).await?;
            let detail = serde_json::json!({ "label": label, "done": done });
            work.audit("head.ticked", "head", id.get(), detail).await?;
            let sheet = || format!("/heads/{id}/sheet?tapped={nth}#piece-{nth}");
            work.done(back_to_gang(&post.fields).unwrap_or_else(sheet))
                .await
        }
    }
}

/// Where a tick made on the gang order leads back to: only there.
fn back_to_gang(fields: &Fields) -> Option<String> {
    let (back, at) = (fields.get("back"), fields.get("at"));
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '=' | '&');
    let good = !back.is_empty() && back.len() < 1000 && back.chars().all(plain);
    let at: u32 = at.parse().ok()?;
    good.then(|| format!("/heads/gang?{back}#cut-{at}"))
}

/// GET `/heads/{id}/bench`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn form(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
) -> Result<Response, WebError> {
    let head = store::head(app.db().read(), id).await?;
    let shop = shop(&app).await?;
    let form = me.form(&app, format!("/heads/{id}/bench"))?;
    let form = form
        .filled(measures::fields(&head, &shop))
        .at_version(head.card.version);
    page(&app, &me, &head, (form, None), StatusCode::OK).await
}

async fn page(
    app: &AppState,
    me: &Me,
    head: &Head,
    (form, new): (Form, Option<&Sheet>),
    status: StatusCode,
) -> Result<Response, WebError> {
    let shop = shop(app).await?;
    let design = read(&head.design, None, &shop).map_err(WebError::internal)?;
    let asks = measures::asks(&design, &shop).map_err(WebError::internal)?;
    let (_, sheet) = solved(&head.design, None, &shop).map_err(WebError::internal)?;
    let id = head.card.id;
    let page = me
        .page("What the head measures")
        .under(
            format!("/heads/{id}"),
            format!("{} {}", head.card.place.mark, head.card.name),
        )
        .under(format!("/heads/{id}/sheet"), "Cut sheet");
    let picture = |width_px| {
        let look = Look {
            width_px,
            length: shop.wording.words(),
        };
        drawn(&draw::edges(&sheet, &asks, &look))
    };
    let opening = openings::surveyed(app, head.card.place.opening).await?;
    let groups = measures::groups(&asks, &shop);
    let ticks = bench::ticks(app.db().read(), id, head.card.sheet_version).await?;
    let view = BenchPage {
        page: block(app, head, page),
        wide: picture(900.0),
        small: picture(340.0),
        angles: groups.iter().flat_map(|g| &g.asks).any(|ask| !ask.length),
        written: measures::written_choices(),
        groups,
        result: match new {
            Some(new) => Some(outcome(app, head, &shop, new).await?),
            None => None,
        },
        hangs: finding_words(&shops::hangs(&design, &opening, &shop)),
        cut: ticks.len(),
        form,
    };
    html(status, &view)
}

async fn outcome(
    app: &AppState,
    head: &Head,
    shop: &Shop,
    new: &Sheet,
) -> Result<Outcome, WebError> {
    let touched = preview(app, head, shop, new).await?;
    let differs = solved(&head.design, head.as_built.as_ref(), shop)
        .map(|(_, old)| measures::differs(&old, new, shop))
        .unwrap_or_default();
    Ok(Outcome {
        findings: finding_words(&new.findings),
        differs,
        touched: part(touched.as_ref(), shop)?,
    })
}

/// POST `/heads/{id}/bench`: shows what the measures come to, or saves them.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let head = store::head(app.db().read(), id).await?;
    let shop = shop(&app).await?;
    let again = || post.again(format!("/heads/{id}/bench"));
    let (as_built, new) = match typed(&head, &post.fields, &shop)? {
        Ok(read) => read,
        Err(wrong) => {
            let form = again().wrong(wrong);
            return page(
                &app,
                &me,
                &head,
                (form, None),
                StatusCode::UNPROCESSABLE_ENTITY,
            )
            .await;
        }
    };
    if post.fields.get("do") == "look" {
        return page(&app, &me, &head, (again(), Some(&new)), StatusCode::OK).await;
    }
    let seen = post.version()?;
    let touched = preview(&app, &head, &shop, &new).await?;
    let fresh = head.card.version == seen;
    if fresh && touched.is_some_and(|t| t.count() > 0) && !post.fields.has(AGREED) {
        let form = again().wrong(Errors::one(AGREED, NOT_AGREED));
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return page(&app, &me, &head, (form, Some(&new)), status).await;
    }
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            match moves::measure(&mut work.tx, work.made, (id, seen), as_built.as_ref()).await {
                Ok(_) => {
                    carry_over(&mut work, &head, &shop, &new).await?;
                    work.audit("head.measured", "head", id.get(), serde_json::json!({}))
                        .await?;
                    work.done(format!("/heads/{id}/sheet?saved")).await
                }
                Err(crate::db::StoreError::Stale(_)) => {
                    drop(work);
                    stale(&app, &me, id, &post).await
                }
                Err(other) => Err(other.into()),
            }
        }
    }
}

async fn stale(app: &AppState, me: &Me, id: HeadId, post: &Post) -> Result<Response, WebError> {
    let head = store::head(app.db().read(), id).await?;
    let theirs = measures::fields(&head, &shop(app).await?);
    let form = post
        .again(format!("/heads/{id}/bench"))
        .conflict(theirs, head.card.version);
    page(app, me, &head, (form, None), StatusCode::CONFLICT).await
}

/// The measures as the contract's `as_built` with the sheet solved from them;
/// nothing typed: as drawn.
fn typed(
    head: &Head,
    fields: &Fields,
    shop: &Shop,
) -> Result<Result<(Option<Value>, Sheet), Errors>, WebError> {
    let design = read(&head.design, None, shop).map_err(WebError::internal)?;
    let asks = measures::asks(&design, shop).map_err(WebError::internal)?;
    Ok(measures::typed(&asks, fields, shop).and_then(|built| {
        let value = (!built.is_empty()).then(|| built.to_json(design.unit));
        match solved(&head.design, value.as_ref(), shop) {
            Ok((_, sheet)) => Ok((value, sheet)),
            Err(wrong) => Err(Errors::one(
                &measures::field_at(&asks, &wrong.at),
                format!("This {}.", wrong.what),
            )),
        }
    }))
}
