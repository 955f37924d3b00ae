//! Labels of one head's pieces, to print; and the way back from a label.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use serde::Deserialize;

use super::{block, shop};
use crate::access::{self, Me};
use crate::heads::labels::{BadLayout, Label, Layout, pdf};
use crate::heads::model::{Head, HeadId};
use crate::heads::shop::solved;
use crate::heads::store;
use crate::measure::Length;
use crate::web::{AppState, Choice, Page, WebError, html, see_other};

/// The layout as typed. The sizes to begin with are those of a common sheet of
/// thirty labels on Letter (from memory); any others can be typed.
#[derive(Debug, Clone, Deserialize)]
#[serde(default)]
pub struct Asked {
    paper: String,
    page_width: String,
    page_height: String,
    label_width: String,
    label_height: String,
    left: String,
    top: String,
    gap_across: String,
    gap_down: String,
    skip: String,
    what: String,
}

impl Default for Asked {
    fn default() -> Self {
        let text = str::to_owned;
        Self {
            paper: text("sheet"),
            page_width: text("8 1/2"),
            page_height: text("11"),
            label_width: text("2 5/8"),
            label_height: text("1"),
            left: text("3/16"),
            top: text("1/2"),
            gap_across: text("1/8"),
            gap_down: text("0"),
            skip: text("0"),
            what: text("all"),
        }
    }
}

/// One field of the form: name, label, value.
type Field = (&'static str, &'static str, String);

#[derive(Template)]
#[template(path = "heads/labels.html")]
struct LabelsPage {
    page: Page,
    id: HeadId,
    asked: Asked,
    whats: Vec<Choice>,
    papers: Vec<Choice>,
    sizes: Vec<Field>,
    sheet: Vec<Field>,
    wrong: Option<BadLayout>,
    count: usize,
}

fn layout(asked: &Asked, app: &AppState) -> Result<(Layout, usize), BadLayout> {
    let unit = app.firm().unit;
    let inches = |name: &'static str, text: &str| {
        Length::parse(text, unit)
            .map(Length::inches)
            .map_err(|why| (name, why.to_string()))
    };
    let label = (
        inches("label_width", &asked.label_width)?,
        inches("label_height", &asked.label_height)?,
    );
    let layout = if asked.paper == "roll" {
        Layout::roll(label.0, label.1)
    } else {
        Layout {
            page: (
                inches("page_width", &asked.page_width)?,
                inches("page_height", &asked.page_height)?,
            ),
            label,
            first: (inches("left", &asked.left)?, inches("top", &asked.top)?),
            gap: (
                inches("gap_across", &asked.gap_across)?,
                inches("gap_down", &asked.gap_down)?,
            ),
        }
    };
    layout.grid()?;
    let skip = asked.skip.trim().parse().map_err(|_| {
        (
            "skip",
            "Write a whole number: how many places of the first sheet are used already.".to_owned(),
        )
    })?;
    Ok((layout, skip))
}

/// The labels of a head: one for it, one for each piece, in the sheet's order.
async fn labels(
    app: &AppState,
    head: &Head,
    (what, address): (&str, &str),
) -> Result<Vec<Label>, WebError> {
    let shop = shop(app).await?;
    let (_, sheet) = solved(&head.design, head.as_built.as_ref(), &shop)
        .map_err(|wrong| WebError::internal(format!("head {}: {wrong}", head.card.id)))?;
    let (id, place) = (head.card.id, &head.card.place);
    let about = format!("{} {} · {}", place.job_code, place.mark, head.card.name);
    let version = format!("sheet version {}", head.card.sheet_version);
    let mut all = Vec::new();
    if what != "pieces" {
        all.push(Label {
            big: format!("{} {}", place.job_code, place.mark),
            lines: vec![head.card.name.clone(), version.clone()],
            link: format!("{address}/q/{id}"),
        });
    }
    if what != "head" {
        let pieces = sheet.runs.iter().flat_map(|run| &run.pieces);
        for (nth, piece) in pieces.enumerate() {
            let rounding = shop.wording.rounding;
            all.push(Label {
                big: piece.label.clone(),
                lines: vec![
                    about.clone(),
                    format!("tape {}", rounding.text(piece.tape)),
                    version.clone(),
                ],
                link: format!("{address}/q/{id}-{}", nth + 1),
            });
        }
    }
    Ok(all)
}

/// GET `/heads/{id}/labels`: the sizes, and what is wrong with them.
///
/// # Errors
/// `Missing`, the database's.
pub async fn form(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let head = store::head(app.db().read(), id).await?;
    let wrong = layout(&asked, &app).err();
    draw(&app, &me, head, (asked, wrong)).await
}

fn choices(all: &[(&str, &str)]) -> Vec<Choice> {
    all.iter()
        .map(|(code, words)| Choice::new(code, words))
        .collect()
}

async fn draw(
    app: &AppState,
    me: &Me,
    head: Head,
    (asked, wrong): (Asked, Option<BadLayout>),
) -> Result<Response, WebError> {
    let id = head.card.id;
    let count = labels(app, &head, ("all", "")).await?.len();
    let page = me.page("Labels").under(
        format!("/heads/{id}"),
        format!("{} {}", head.card.place.mark, head.card.name),
    );
    let a = asked.clone();
    let view = LabelsPage {
        page: block(app, &head, page),
        id,
        whats: choices(&[
            ("all", "head and pieces"),
            ("pieces", "pieces only"),
            ("head", "the head only"),
        ]),
        papers: choices(&[
            ("sheet", "sheets of labels"),
            ("roll", "a roll, one after the other"),
        ]),
        sizes: vec![
            ("label_width", "Label, width", a.label_width),
            ("label_height", "Label, height", a.label_height),
        ],
        sheet: vec![
            ("page_width", "Sheet, width", a.page_width),
            ("page_height", "Sheet, height", a.page_height),
            ("left", "Left edge to the first label", a.left),
            ("top", "Top edge to the first label", a.top),
            ("gap_across", "Clear between labels, across", a.gap_across),
            ("gap_down", "Clear between labels, down", a.gap_down),
            ("skip", "Places used already", a.skip),
        ],
        asked,
        count,
        wrong,
    };
    let status = if view.wrong.is_some() {
        StatusCode::UNPROCESSABLE_ENTITY
    } else {
        StatusCode::OK
    };
    html(status, &view)
}

/// GET `/heads/{id}/labels.pdf`; sizes that cannot be come back as the form.
///
/// # Errors
/// `Missing`, the database's.
pub async fn file(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    Query(asked): Query<Asked>,
    headers: HeaderMap,
) -> Result<Response, WebError> {
    let head = store::head(app.db().read(), id).await?;
    let address = access::own_address(&app, &headers);
    let all = labels(&app, &head, (&asked.what, &address)).await?;
    let made = layout(&asked, &app).and_then(|(layout, skip)| pdf(&all, &layout, skip));
    match made {
        Ok(file) => {
            let heads = [
                (header::CONTENT_TYPE, "application/pdf".to_owned()),
                (
                    header::CONTENT_DISPOSITION,
                    format!("inline; filename=\"head-{id}-labels.pdf\""),
                ),
            ];
            Ok((heads, file).into_response())
        }
        Err(wrong) => draw(&app, &me, head, (asked, Some(wrong))).await,
    }
}

/// GET `/q/{code}`: from a label to its sheet, and to its piece. The code is
/// the head's number, and the piece's place after a hyphen; the sheet's own
/// guard says who may see it.
///
/// # Errors
/// `Missing` if the code is none of ours.
pub async fn found(Path(code): Path<String>) -> Result<Response, WebError> {
    let (head, piece) = match code.split_once('-') {
        Some((head, piece)) => (head, Some(piece)),
        None => (code.as_str(), None),
    };
    let number = |text: &str| text.parse::<u32>().map_err(|_| WebError::Missing);
    let head = number(head)?;
    Ok(match piece {
        Some(piece) => see_other(&format!("/heads/{head}/sheet#piece-{}", number(piece)?)),
        None => see_other(&format!("/heads/{head}/sheet")),
    })
}
