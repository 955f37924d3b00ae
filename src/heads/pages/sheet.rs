//! The cut sheet: page, paper, and the files for other programs.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use serde::Deserialize;

use super::{FindingWords, block, changes, finding_words, may_write};
use crate::access::{Me, Thing};
use crate::firm::{self, Saw, SawId};
use crate::heads::dials::Dials;
use crate::heads::model::{Head, HeadId};
use crate::heads::orders::{OrderWords, ordered};
use crate::heads::sheet::{SheetWords, Tape, other_ways, worded};
use crate::heads::shop::{Shop, findings, solved};
use crate::heads::store::{self, bench, openings};
use crate::trim::design::{Design, Kind};
use crate::trim::draw::{self, Look, SvgOptions, svg};
use crate::trim::sheet::Sheet;
use crate::trim::solve::Order;
use crate::trim::words;
use crate::web::{AppState, Choice, Form, Page, WebError, ok};

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
    saw: Saw,
    saws: Vec<Choice>,
    sheet: SheetWords,
    drops: Option<Drops>,
    walk: OrderWords,
    shortest: Option<OrderWords>,
    gang: OrderWords,
    ticks: Option<Form>,
    may_bench: bool,
    waiting: i64,
    pieces: usize,
    done: usize,
}

/// What a sheet is asked for.
#[derive(Debug, Default, Deserialize)]
pub struct Asked {
    /// The saw it is shown for; none: the person's own.
    #[serde(default)]
    saw: String,
    /// The place of the piece just ticked.
    #[serde(default)]
    tapped: String,
}

/// The saw asked for, else the one this person works at.
pub(super) async fn saw_at(app: &AppState, me: &Me, asked: &Asked) -> Result<Saw, WebError> {
    let pool = app.db().read();
    Ok(match asked.saw.parse::<SawId>() {
        Ok(id) => firm::saw(pool, id).await?,
        Err(_) => firm::saw_of(pool, me.id).await?,
    })
}

pub(super) async fn loaded(
    app: &AppState,
    id: HeadId,
    saw: &Saw,
) -> Result<(Head, Shop, Design, Sheet), WebError> {
    let head = store::head(app.db().read(), id).await?;
    let shop = Shop::at(saw, &app.firm());
    let (design, sheet) = solved(&head.design, head.as_built.as_ref(), &shop)
        .map_err(|wrong| WebError::internal(format!("head {id}: stored design: {wrong}")))?;
    Ok((head, shop, design, sheet))
}

/// How long a tick just made offers to be taken back.
const UNDO_FOR: std::time::Duration = std::time::Duration::from_secs(10);

/// GET `/heads/{id}/sheet`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let saw = saw_at(&app, &me, &asked).await?;
    let (head, shop, design, sheet) = loaded(&app, id, &saw).await?;
    let zone = app.firm().zone;
    let dials = Dials(firm::tests_of(app.db().read(), saw.id).await?);
    let mut words = worded(&sheet, &shop.wording, &dials);
    other_ways(&sheet, &shop.saw, &mut words);
    let count = mark_done(&app, &head, &mut words).await?;
    for row in words.runs.iter_mut().flat_map(|run| &mut run.rows) {
        row.undo &= asked.tapped == row.nth.to_string();
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
    let (walk, shortest) = (sheet.walk_order(), sheet.shortest_walk());
    let in_words = |order: &Order| ordered(&[&sheet], order, &shop.wording, &dials);
    let view = SheetPage {
        page: block(&app, &head, page),
        today: app.now().local(zone),
        findings: finding_words(&findings(&design, &sheet, Some(&opening), &shop)),
        drops: drops(&design, &shop),
        gang: in_words(&sheet.gang_order()),
        shortest: (shortest.saw_moves < walk.saw_moves).then(|| in_words(&shortest)),
        walk: in_words(&walk),
        ticks: may_bench
            .then(|| me.form(&app, format!("/heads/{id}/tick")))
            .transpose()?,
        may_bench,
        waiting: changes::waiting(&app, id).await?,
        pieces: words.runs.iter().map(|run| run.rows.len()).sum(),
        done: count,
        sheet: words,
        saws: choices(firm::saws(app.db().read()).await?, saw.id),
        saw,
        head,
    };
    ok(&view)
}

/// The saws to choose from: those in use, and the one shown.
pub(super) fn choices(saws: Vec<Saw>, shown: SawId) -> Vec<Choice> {
    saws.into_iter()
        .filter(|saw| saw.archived_at.is_none() || saw.id == shown)
        .map(|saw| Choice::new(saw.id, saw.facts.name))
        .collect()
}

/// Marks the pieces that are cut and those to be made again; gives how many
/// are cut.
pub(super) async fn mark_done(
    app: &AppState,
    head: &Head,
    words: &mut SheetWords,
) -> Result<usize, WebError> {
    let (pool, zone) = (app.db().read(), app.firm().zone);
    let (id, version) = (head.card.id, head.card.sheet_version);
    let done = bench::ticks(pool, id, version).await?;
    let again = store::undo::to_make_again(pool, id, version).await?;
    let mut count = 0;
    for row in words.runs.iter_mut().flat_map(|run| &mut run.rows) {
        if let Some(tick) = done.iter().find(|tick| tick.label == row.label) {
            let who = tick.who.as_deref().unwrap_or("somebody");
            row.done = Some(format!("{who}, {}", tick.at.local(zone)));
            row.undo = app.now().since(tick.at) <= UNDO_FOR;
            count += 1;
        }
        row.again = again
            .iter()
            .find(|a| a.label == row.label)
            .map(|a| a.reason.clone());
    }
    Ok(count)
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
    me: Me,
    Path(id): Path<HeadId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let saw = saw_at(&app, &me, &asked).await?;
    let (_, shop, _, sheet) = loaded(&app, id, &saw).await?;
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
    me: Me,
    Path(id): Path<HeadId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let saw = saw_at(&app, &me, &asked).await?;
    let (_, shop, _, sheet) = loaded(&app, id, &saw).await?;
    let look = Look {
        width_px: 1100.0,
        length: shop.wording.words(),
    };
    let alone = SvgOptions {
        sized: true,
        ..SvgOptions::default()
    };
    let body = svg(&draw::elevation(&sheet, &look), &alone);
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
