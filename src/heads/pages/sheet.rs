//! The cut sheet: page, paper, and the files for other programs.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};

use super::{FindingWords, block, changes, finding_words, may_write, shop};
use crate::access::{Me, Thing};
use crate::heads::model::{Head, HeadId};
use crate::heads::orders::{OrderWords, ordered};
use crate::heads::sheet::{SheetWords, Tape, worded};
use crate::heads::shop::{Shop, findings, solved};
use crate::heads::store::{self, bench, openings};
use crate::trim::design::{Design, Kind};
use crate::trim::draw::{self, Look, SvgOptions, svg};
use crate::trim::sheet::Sheet;
use crate::trim::words;
use crate::web::{AppState, Form, Page, WebError, ok};

/// A head's drops, in words.
struct Drops {
    size: [Tape; 4],
    point: String,
}

#[derive(Template)]
#[template(path = "heads/sheet.html")]
struct SheetPage {
    page: Page,
    head: Head,
    today: String,
    findings: Vec<FindingWords>,
    sheet: SheetWords,
    drops: Option<Drops>,
    walk: OrderWords,
    gang: OrderWords,
    ticks: Option<Form>,
    may_bench: bool,
    waiting: i64,
    pieces: usize,
    done: usize,
}

async fn loaded(app: &AppState, id: HeadId) -> Result<(Head, Shop, Design, Sheet), WebError> {
    let head = store::head(app.db().read(), id).await?;
    let shop = shop(app).await?;
    let (design, sheet) = solved(&head.design, head.as_built.as_ref(), &shop)
        .map_err(|wrong| WebError::internal(format!("head {id}: stored design: {wrong}")))?;
    Ok((head, shop, design, sheet))
}

/// GET `/heads/{id}/sheet`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
) -> Result<Response, WebError> {
    let (head, shop, design, sheet) = loaded(&app, id).await?;
    let pool = app.db().read();
    let zone = app.firm().zone;
    let mut words = worded(&sheet, &shop.wording);
    let done = bench::ticks(pool, id, head.card.sheet_version).await?;
    let again = store::undo::to_make_again(pool, id, head.card.sheet_version).await?;
    let mut count = 0;
    for row in words.runs.iter_mut().flat_map(|run| &mut run.rows) {
        if let Some(tick) = done.iter().find(|tick| tick.label == row.label) {
            let who = tick.who.as_deref().unwrap_or("somebody");
            row.done = Some(format!("{who}, {}", tick.at.local(zone)));
            count += 1;
        }
        row.again = again
            .iter()
            .find(|a| a.label == row.label)
            .map(|a| a.reason.clone());
    }
    let opening = openings::surveyed(&app, head.card.place.opening).await?;
    let may_bench = may_write(&app, &me, Thing::Ticks, id).await?;
    let page = me
        .page(format!("Cut sheet: {}", head.card.name))
        .under(
            format!("/jobs/{}", head.card.place.job),
            head.card.place.job_code.as_str(),
        )
        .under(
            format!("/heads/{id}"),
            format!("{} {}", head.card.place.mark, head.card.name),
        );
    let view = SheetPage {
        page: block(&app, &head, page),
        today: app.now().local(zone),
        findings: finding_words(&findings(&design, &sheet, Some(&opening), &shop)),
        drops: drops(&design, &shop),
        walk: ordered(&sheet, &sheet.walk_order(), &shop.wording),
        gang: ordered(&sheet, &sheet.gang_order(), &shop.wording),
        ticks: may_bench
            .then(|| me.form(&app, format!("/heads/{id}/tick")))
            .transpose()?,
        may_bench,
        waiting: changes::waiting(&app, id).await?,
        pieces: words.runs.iter().map(|run| run.rows.len()).sum(),
        done: count,
        sheet: words,
        head,
    };
    ok(&view)
}

fn drops(design: &Design, shop: &Shop) -> Option<Drops> {
    let Kind::Gable(gable) = &design.kind else {
        return None;
    };
    let drops = gable.drops?;
    let tape =
        |length: crate::measure::Length| Tape::of(&shop.wording.rounding.text(length.inches()));
    Some(Drops {
        size: [
            tape(drops.width),
            tape(drops.thickness),
            tape(drops.length),
            tape(drops.inset),
        ],
        point: words::degrees_text(drops.point_degrees.to_radians()),
    })
}

/// GET `/heads/{id}/sheet.json`: the contract's output.
///
/// # Errors
/// `Missing`, the database's.
pub async fn json(
    State(app): State<AppState>,
    Path(id): Path<HeadId>,
) -> Result<Response, WebError> {
    let (_, shop, _, sheet) = loaded(&app, id).await?;
    let out = sheet.contract(shop.wording.rounding);
    let body = serde_json::to_string_pretty(&out).map_err(WebError::internal)?;
    let heads = [
        (
            header::CONTENT_TYPE,
            "application/json; charset=utf-8".to_owned(),
        ),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"head-{id}-sheet.json\""),
        ),
    ];
    Ok((heads, body).into_response())
}

/// GET `/heads/{id}/drawing.svg`: the elevation, for papers and mails.
///
/// # Errors
/// `Missing`, the database's.
pub async fn drawing(
    State(app): State<AppState>,
    Path(id): Path<HeadId>,
) -> Result<Response, WebError> {
    let (_, shop, _, sheet) = loaded(&app, id).await?;
    let look = Look {
        width_px: 1100.0,
        length: shop.wording.words(),
    };
    let body = svg(&draw::elevation(&sheet, &look), &SvgOptions { sized: true });
    let heads = [
        (
            header::CONTENT_TYPE,
            "image/svg+xml; charset=utf-8".to_owned(),
        ),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"head-{id}.svg\""),
        ),
    ];
    Ok((heads, body).into_response())
}
