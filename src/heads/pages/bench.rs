//! From the saw and the bench: pieces ticked off, and what the board really
//! measured.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use serde_json::{Map, Value};

use super::{block, shop};
use crate::access::{Me, Post, Start};
use crate::heads::model::{Head, HeadId};
use crate::heads::shop::{Shop, read};
use crate::heads::store::{self, bench, moves};
use crate::measure::Length;
use crate::trim::design::{Design, Kind};
use crate::web::{AppState, Check, Errors, Fields, Form, Page, WebError, html};

/// What may be measured: name, label, and whether it is an angle.
const MEASURES: [(&str, &str, bool); 5] = [
    ("left_rake", "Left rake, on the board's top edge", false),
    ("right_rake", "Right rake, on the board's top edge", false),
    ("left_foot_degrees", "Left foot: mitre", true),
    ("peak_degrees", "Peak: mitre", true),
    ("right_foot_degrees", "Right foot: mitre", true),
];

#[derive(Template)]
#[template(path = "heads/bench.html")]
struct BenchPage {
    page: Page,
    form: Form,
    lengths: Vec<(&'static str, &'static str)>,
    angles: Vec<(&'static str, &'static str)>,
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
    let (_, sheet) =
        crate::heads::shop::solved(&head.design, head.as_built.as_ref(), &shop(&app).await?)
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
            work.done(format!("/heads/{id}/sheet#piece-{nth}")).await
        }
    }
}

/// GET `/heads/{id}/bench`.
///
/// # Errors
/// `Missing` for a head whose board is not measured so.
pub async fn form(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
) -> Result<Response, WebError> {
    let head = store::head(app.db().read(), id).await?;
    let text = |value: &Value| {
        value
            .as_str()
            .map_or_else(|| value.to_string(), str::to_owned)
    };
    let mut fields = Fields::default();
    for (name, ..) in MEASURES {
        fields = fields.with_some(
            name,
            head.as_built.as_ref().and_then(|b| b.get(name)).map(text),
        );
    }
    let form = me.form(&app, format!("/heads/{id}/bench"))?;
    let form = form.filled(fields).at_version(head.card.version);
    page(&app, &me, head, form, StatusCode::OK).await
}

async fn page(
    app: &AppState,
    me: &Me,
    head: Head,
    form: Form,
    status: StatusCode,
) -> Result<Response, WebError> {
    let design = read(&head.design, None, &shop(app).await?).map_err(WebError::internal)?;
    let id = head.card.id;
    let page = me
        .page("What the board measures")
        .under(
            format!("/heads/{id}"),
            format!("{} {}", head.card.place.mark, head.card.name),
        )
        .under(format!("/heads/{id}/sheet"), "Cut sheet");
    let wanted = measures(&design)?;
    let of = |angle: bool| {
        wanted
            .iter()
            .filter(move |m| m.2 == angle)
            .map(|m| (m.0, m.1))
            .collect()
    };
    let view = BenchPage {
        page: block(app, &head, page),
        lengths: of(false),
        angles: of(true),
        form,
    };
    html(status, &view)
}

/// What this head's bench form asks for: only a gable's rakes can differ from
/// the drawing, and a plain peak has no feet.
fn measures(design: &Design) -> Result<Vec<(&'static str, &'static str, bool)>, WebError> {
    let Kind::Gable(gable) = &design.kind else {
        return Err(WebError::Missing);
    };
    let feet = gable.wing > Length::ZERO;
    Ok(MEASURES
        .into_iter()
        .filter(|(name, ..)| feet || !name.contains("foot"))
        .collect())
}

/// POST `/heads/{id}/bench`.
///
/// # Errors
/// `Missing` for a head whose board is not measured so, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let head = store::head(app.db().read(), id).await?;
    let shop = shop(&app).await?;
    let as_built = match typed(&head, &post.fields, &shop)? {
        Ok(as_built) => as_built,
        Err(wrong) => {
            let form = post.again(format!("/heads/{id}/bench")).wrong(wrong);
            return page(&app, &me, head, form, StatusCode::UNPROCESSABLE_ENTITY).await;
        }
    };
    let seen = post.version()?;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            match moves::measure(&mut work.tx, work.made, (id, seen), as_built.as_ref()).await {
                Ok(_) => {
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
    let text = |value: &Value| {
        value
            .as_str()
            .map_or_else(|| value.to_string(), str::to_owned)
    };
    let mut theirs = Fields::default();
    for (name, ..) in MEASURES {
        theirs = theirs.with_some(
            name,
            head.as_built.as_ref().and_then(|b| b.get(name)).map(text),
        );
    }
    let form = post
        .again(format!("/heads/{id}/bench"))
        .conflict(theirs, head.card.version);
    page(app, me, head, form, StatusCode::CONFLICT).await
}

/// The measures as the contract's `as_built`; nothing typed: as drawn.
fn typed(
    head: &Head,
    fields: &Fields,
    shop: &Shop,
) -> Result<Result<Option<Value>, Errors>, WebError> {
    let design = read(&head.design, None, shop).map_err(WebError::internal)?;
    let mut check = Check::of(fields);
    let mut built = Map::new();
    for (name, _, angle) in measures(&design)? {
        let value = if angle {
            check.optional(name, |text| {
                let text = text.trim_end_matches(['°', ' ']);
                crate::measure::parse_number(text).map(Value::from)
            })
        } else {
            check.optional(name, |text| {
                Length::parse(text, shop.unit).map(|_| exact(text, shop))
            })
        };
        if let Some(value) = value {
            built.insert(name.to_owned(), value);
        }
    }
    let value = (!built.is_empty()).then_some(Value::Object(built));
    if let Err(wrong) = read(&head.design, value.as_ref(), shop) {
        let field = wrong.at.trim_start_matches("as_built.").to_owned();
        if !check.failed(&field) {
            check.fail(&field, format!("This {}.", wrong.what));
        }
    }
    Ok(check.finish(value))
}

/// A length typed at the bench, with its unit, as the design may be in
/// another one.
fn exact(text: &str, shop: &Shop) -> Value {
    match Length::parse(text, shop.unit) {
        Ok(length) => Value::from(length.to_string()),
        Err(_) => Value::from(text),
    }
}
