//! The raked sections of a head: for each moulding that climbs a rake, the
//! sections that close on it at a return.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;

use super::{block, shop};
use crate::access::Me;
use crate::heads::model::{Head, HeadId};
use crate::heads::shop::solved;
use crate::heads::store;
use crate::sections::{Asked, RakedFile, RakedPart, file, given_choices, paper_choices};
use crate::trim::Design;
use crate::trim::design::{Kind, UpperEnd};
use crate::trim::paper::Plate;
use crate::trim::raked::Raked;
use crate::trim::section::Outline;
use crate::trim::sheet::{Sheet, SolvedRun};
use crate::web::{AppState, Choice, Form, Fragment, Page, WebError, html};

/// A moulding whose section may be raked.
struct Source {
    name: String,
    outline: Outline,
    /// Whether it is the level run that the rake meets.
    level: bool,
}

#[derive(Template)]
#[template(path = "heads/raked.html")]
struct RakedPage {
    page: Page,
    head: Head,
    ask: Form,
    needed: bool,
    which: Vec<Choice>,
    given: Vec<Choice>,
    papers: Vec<Choice>,
    part: Option<Fragment>,
    query: String,
    unreadable: Option<String>,
}

/// Whether anything of a head climbs a rake.
pub(super) fn rakes(sheet: &Sheet) -> bool {
    pitch(sheet).is_some() && !sources(sheet).is_empty()
}

/// The steepest rake on the wall's face, radians.
fn pitch(sheet: &Sheet) -> Option<f64> {
    let legs = sheet.runs.iter().flat_map(|run| &run.pieces);
    let slopes = legs.map(|piece| piece.leg.d.y.abs().clamp(0.0, 1.0).asin());
    slopes
        .reduce(f64::max)
        .filter(|pitch| (1e-4..1.4).contains(pitch))
}

/// Every moulding but caps, each section once.
fn sources(sheet: &Sheet) -> Vec<Source> {
    let mut found: Vec<Source> = Vec::new();
    for run in sheet.runs.iter().filter(|run| !run.name.ends_with("cap")) {
        let Some(outline) = outline(run) else {
            continue;
        };
        if found.iter().any(|known| known.outline == outline) {
            continue;
        }
        let level = run.pieces.iter().all(|piece| piece.leg.d.y.abs() < 1e-9);
        found.push(Source {
            name: run.name.clone(),
            outline,
            level,
        });
    }
    found
}

fn outline(run: &SolvedRun) -> Option<Outline> {
    match &run.curves {
        Some(curves) => Some(curves.clone()),
        None => Outline::polygon_of(&run.section).ok(),
    }
}

/// Whether a corner of this head closes only with a raked section.
fn needed(design: &Design, sheet: &Sheet) -> bool {
    let said = |code: &str| sheet.findings.iter().any(|finding| finding.code == code);
    let by_kind = match &design.kind {
        Kind::Gable(gable) => gable.wing.nanometres() == 0,
        Kind::ClosedGable(_) => true,
        Kind::BrokenGable(broken) => {
            broken.wing.nanometres() == 0 || broken.upper_end == UpperEnd::Return
        }
        _ => false,
    };
    by_kind || said("raked-return") || said("corner-open")
}

/// What a page or a file is made from.
struct Found {
    head: Head,
    needed: bool,
    sources: Vec<Source>,
    asked: Asked,
    which: usize,
}

/// Reads the head and fills what the question leaves open from it.
async fn found(
    app: &AppState,
    id: HeadId,
    mut asked: Asked,
) -> Result<(Found, Option<String>), WebError> {
    let head = store::head(app.db().read(), id).await?;
    let shop = shop(app).await?;
    let (design, sheet) = match solved(&head.design, head.as_built.as_ref(), &shop) {
        Ok(solved) => solved,
        Err(wrong) => {
            let found = Found {
                head,
                needed: false,
                sources: Vec::new(),
                asked: asked.or_usual(),
                which: 0,
            };
            return Ok((found, Some(wrong.to_string())));
        }
    };
    let sources = sources(&sheet);
    let which = asked.which.trim().parse().unwrap_or(0_usize);
    let which = which.min(sources.len().saturating_sub(1));
    if asked.given.is_empty() {
        let level = sources.get(which).is_some_and(|source| source.level);
        if level { "return" } else { "rake" }.clone_into(&mut asked.given);
    }
    // The pitch is the head's own.
    let pitch = pitch(&sheet).unwrap_or(0.0).to_degrees();
    asked.pitch = format!("{pitch:.9}");
    "degrees".clone_into(&mut asked.written_as);
    asked.which = which.to_string();
    let found = Found {
        needed: needed(&design, &sheet),
        head,
        sources,
        asked: asked.or_usual(),
        which,
    };
    Ok((found, None))
}

/// GET `/heads/{id}/raked`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let (found, unreadable) = found(&app, id, asked).await?;
    let mut ask = me
        .form(&app, format!("/heads/{id}/raked"))?
        .filled(found.asked.fields());
    let mut part = None;
    if let Some(source) = found.sources.get(found.which) {
        match found.asked.corner() {
            Ok((given, corner)) => {
                part = Some(RakedPart::new(&app, &source.outline, given, corner).fragment()?);
            }
            // A head with nothing raked has no pitch to complain of.
            Err(errors) if errors.of("corner").is_some() || errors.of("given").is_some() => {
                ask = ask.wrong(errors);
            }
            Err(_) => {}
        }
    }
    let page = me
        .page(format!("Raked sections of {}", found.head.card.name))
        .under(
            format!("/jobs/{}", found.head.card.place.job),
            found.head.card.place.job_code.as_str(),
        )
        .under(
            format!("/heads/{id}"),
            format!("{} {}", found.head.card.place.mark, found.head.card.name),
        );
    let which = found.sources.iter().enumerate();
    let view = RakedPage {
        page: block(&app, &found.head, page),
        which: which.map(|(nth, s)| Choice::new(nth, &s.name)).collect(),
        given: given_choices(),
        papers: paper_choices(),
        query: found.asked.query(),
        needed: found.needed,
        head: found.head,
        part,
        unreadable,
        ask,
    };
    html(view.ask.status(), &view)
}

async fn raked_file(
    app: &AppState,
    id: HeadId,
    asked: Asked,
    what: RakedFile,
) -> Result<Response, WebError> {
    let (found, _) = found(app, id, asked).await?;
    let source = found.sources.get(found.which).ok_or(WebError::Missing)?;
    let (given, corner) = found.asked.corner().map_err(|errors| {
        let words: Vec<&str> = errors.iter().map(|(_, words)| words).collect();
        WebError::BadRequest(words.join(" "))
    })?;
    let card = &found.head.card;
    let title = format!(
        "{} {} {}, {}",
        card.place.job_code, card.place.mark, card.name, source.name
    );
    let plate = Plate::of_raked(&title, &Raked::new(&source.outline, given, corner));
    Ok(file(
        app,
        &plate,
        what,
        found.asked.paper(),
        &format!("head-{id}-raked"),
    ))
}

/// GET `/heads/{id}/raked.pdf`.
///
/// # Errors
/// `Missing`, `BadRequest`, the database's.
pub async fn pdf(
    State(app): State<AppState>,
    Path(id): Path<HeadId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    raked_file(&app, id, asked, RakedFile::Pdf).await
}

/// GET `/heads/{id}/raked.svg`.
///
/// # Errors
/// `Missing`, `BadRequest`, the database's.
pub async fn svg(
    State(app): State<AppState>,
    Path(id): Path<HeadId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    raked_file(&app, id, asked, RakedFile::Svg).await
}

/// GET `/heads/{id}/raked.dxf`.
///
/// # Errors
/// `Missing`, `BadRequest`, the database's.
pub async fn dxf(
    State(app): State<AppState>,
    Path(id): Path<HeadId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    raked_file(&app, id, asked, RakedFile::Dxf).await
}
