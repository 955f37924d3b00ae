//! What goes with a head: movement, flashing, paint, fasteners, weight; and
//! the material that they are reckoned for.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;

use super::{block, may_write, shop};
use crate::access::{Me, Post, Start, Thing};
use crate::db::StoreError;
use crate::heads::material::{self, MadeOf};
use crate::heads::model::{Head, HeadId};
use crate::heads::sheet::Tape;
use crate::heads::shop::{Shop, solved};
use crate::heads::store::{self, material as kept};
use crate::trim::around::fasteners::FixingRule;
use crate::trim::around::head::{AroundHead, around};
use crate::trim::around::{DEFER, finish, flashing};
use crate::trim::source::{Seen, Source};
use crate::web::{AppState, Choice, Form, Page, WebError, html};

/// How one thing moves, in words.
struct MovesRow {
    label: String,
    size: Tape,
    leave: String,
    opens: String,
}

/// One strip of flashing, in words.
struct StripRow {
    label: String,
    width: Tape,
    length: Tape,
    bends: Vec<Tape>,
    fall: Tape,
    dams: &'static str,
}

#[derive(Template)]
#[template(path = "heads/around.html")]
struct AroundPage {
    page: Page,
    head: Head,
    form: Option<Form>,
    own: bool,
    material: String,
    wood: bool,
    site: String,
    materials: Vec<Choice>,
    grains: Vec<Choice>,
    degrees: &'static str,
    moves: Vec<MovesRow>,
    moves_unknown: Option<String>,
    moves_source: String,
    strips: Vec<StripRow>,
    flashing_caution: &'static str,
    surface: (String, String),
    primer: String,
    paint: String,
    fixed: Vec<(String, usize, u32, u32, u32)>,
    rule: String,
    bead: String,
    cartridges: String,
    weight: Option<(String, String, String)>,
    volume_note: &'static str,
    defer: &'static str,
}

/// GET `/heads/{id}/around`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
) -> Result<Response, WebError> {
    let form = if may_write(&app, &me, Thing::Heads, id).await? {
        let (made_of, _) = made_of(&app, id).await?;
        let form = me.form(&app, format!("/heads/{id}/around"))?;
        let fields = material::fields(&made_of, app.firm().unit.is_metric());
        Some(form.filled(fields).at_version(made_of.version))
    } else {
        None
    };
    show(&app, &me, id, form).await
}

/// What a head is made of, and whether that is its own.
async fn made_of(app: &AppState, id: HeadId) -> Result<(MadeOf, bool), WebError> {
    let pool = app.db().read();
    match kept::of_head(pool, id).await? {
        Some(own) => Ok((own, true)),
        None => {
            let usual = kept::of_firm(pool).await?;
            Ok((
                MadeOf {
                    version: 0,
                    ..usual
                },
                false,
            ))
        }
    }
}

/// All that goes with a head, in what it is made of: for a van's load list.
/// `None` if its material is none of ours any more.
///
/// # Errors
/// The database's, and a stored design that cannot be solved.
pub async fn goes_with(app: &AppState, head: &Head) -> Result<Option<AroundHead>, WebError> {
    let (id, shop) = (head.card.id, shop(app).await?);
    let (_, sheet) = solved(&head.design, head.as_built.as_ref(), &shop)
        .map_err(|wrong| WebError::internal(format!("head {id}: stored design: {wrong}")))?;
    let (made_of, _) = made_of(app, id).await?;
    let (grain, site) = (made_of.grain, &made_of.site);
    Ok(around(&sheet, &made_of.material, grain, site))
}

async fn show(
    app: &AppState,
    me: &Me,
    id: HeadId,
    form: Option<Form>,
) -> Result<Response, WebError> {
    let head = store::head(app.db().read(), id).await?;
    let shop = shop(app).await?;
    let (_, sheet) = solved(&head.design, head.as_built.as_ref(), &shop)
        .map_err(|wrong| WebError::internal(format!("head {id}: stored design: {wrong}")))?;
    let (made_of, own) = made_of(app, id).await?;
    let found = around(&sheet, &made_of.material, made_of.grain, &made_of.site)
        .ok_or_else(|| WebError::internal(format!("no material {}", made_of.material)))?;
    let page = me
        .page("What goes with it")
        .under(
            format!("/jobs/{}", head.card.place.job),
            head.card.place.job_code.as_str(),
        )
        .under(
            format!("/heads/{id}"),
            format!("{} {}", head.card.place.mark, head.card.name),
        );
    let status = form.as_ref().map_or(StatusCode::OK, Form::status);
    let metric = shop.unit.is_metric();
    let view = AroundPage {
        page: block(app, &head, page),
        own,
        wood: !found.moves.iter().any(|moves| !moves.across),
        site: site_words(&made_of, metric),
        material: made_of.material,
        materials: material::material_choices(),
        grains: material::grain_choices(),
        degrees: if metric { "°C" } else { "°F" },
        moves: moves_rows(&found, &shop),
        moves_unknown: found.moves_unknown.map(|why| why.to_string()),
        moves_source: source_words(&found.moves_source),
        strips: strip_rows(&found, &shop),
        flashing_caution: flashing::CAUTION,
        surface: (area(found.surface.0, metric), area(found.surface.1, metric)),
        primer: volume(found.primer, metric),
        paint: volume(found.paint, metric),
        fixed: found
            .fixed
            .iter()
            .map(|f| {
                let fixings = f.fixings;
                (
                    f.label.clone(),
                    f.pieces,
                    fixings.rows,
                    fixings.in_row,
                    fixings.count(),
                )
            })
            .collect(),
        rule: FixingRule::default().words(),
        bead: shop.wording.rounding.words(found.bead),
        cartridges: format!("{:.1}", found.cartridges),
        weight: weight(&found, metric),
        volume_note: "350 square feet (33 m²) a gallon and coat, a tenth lost; common practice, \
                      no source: the tin says better",
        defer: DEFER,
        form,
        head,
    };
    html(status, &view)
}

fn site_words(made_of: &MadeOf, metric: bool) -> String {
    let (dry, now, wet) = made_of.site.moisture;
    let (cold, today, hot) = made_of.site.fahrenheit;
    let heat = |f: f64| {
        if metric {
            format!("{:.0} °C", (f - 32.0) / 1.8)
        } else {
            format!("{f:.0} °F")
        }
    };
    format!(
        "wood at {now} % when fixed, {dry} to {wet} % through the year; surface at {} when fixed, \
         {} to {}",
        heat(today),
        heat(cold),
        heat(hot)
    )
}

fn source_words(source: &Source) -> String {
    match source.seen {
        Seen::Practice => source.seen.words().to_owned(),
        seen => format!("{}; {}", source.work, seen.words()),
    }
}

/// A small length in thousandths or tenths of a millimetre: rounding to a 16th
/// would lose it.
fn fine(inches: f64, metric: bool) -> String {
    if metric {
        format!("{:.1} mm", inches * 25.4)
    } else {
        format!("{inches:.3} in")
    }
}

fn moves_rows(found: &AroundHead, shop: &Shop) -> Vec<MovesRow> {
    let metric = shop.unit.is_metric();
    let row = |moves: &crate::trim::around::head::Moves| MovesRow {
        label: moves.label.clone(),
        size: Tape::of(&shop.wording.rounding.text(moves.size)),
        leave: fine(moves.gap.leave, metric),
        opens: fine(moves.gap.opens, metric),
    };
    found.moves.iter().map(row).collect()
}

fn strip_rows(found: &AroundHead, shop: &Shop) -> Vec<StripRow> {
    let tape = |inches| Tape::of(&shop.wording.rounding.text(inches));
    let row = |strip: &crate::trim::around::head::Strip| StripRow {
        label: strip.label.clone(),
        width: tape(strip.blank.developed_width),
        length: tape(strip.blank.blank_length),
        bends: strip.blank.bends.iter().map(|bend| tape(*bend)).collect(),
        fall: tape(strip.blank.fall),
        dams: match strip.dams {
            (true, true) => "both ends",
            (true, false) => "left end, lapped at the right",
            (false, true) => "right end, lapped at the left",
            (false, false) => "none, lapped at both ends",
        },
    };
    found.strips.iter().map(row).collect()
}

fn area(square_inches: f64, metric: bool) -> String {
    if metric {
        format!("{:.2} m²", square_inches * 0.000_645_16)
    } else {
        format!("{:.1} sq ft", finish::square_feet(square_inches))
    }
}

fn volume(gallons: Option<f64>, metric: bool) -> String {
    match gallons {
        None => "not known".to_owned(),
        Some(gallons) if metric => format!("{:.2} l", gallons * 3.785_411_784),
        Some(gallons) => format!("{:.1} fl oz ({gallons:.2} gal)", gallons * 128.0),
    }
}

fn weight(found: &AroundHead, metric: bool) -> Option<(String, String, String)> {
    let (pounds, source) = (found.pounds?, found.pounds_source?);
    let words = if metric {
        format!("{:.0} kg ({pounds:.0} lb)", pounds * 0.453_592_37)
    } else {
        format!("{pounds:.0} lb")
    };
    Some((words, source_words(&source), found.caution.clone()?))
}

/// POST `/heads/{id}/around`: what the head is made of.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let action = format!("/heads/{id}/around");
    let metric = app.firm().unit.is_metric();
    let new = match material::typed(&post.fields, metric, post.version()?) {
        Ok(new) => new,
        Err(wrong) => return show(&app, &me, id, Some(post.again(&action).wrong(wrong))).await,
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::Again(reply) => return Ok(reply),
        Start::First(work) => work,
    };
    match kept::save_head(&mut work.tx, work.made, id, &new).await {
        Ok(()) => {
            let detail = serde_json::json!({ "material": new.material });
            work.audit("head.material", "head", id.get(), detail)
                .await?;
            work.done(format!("{action}?saved")).await
        }
        Err(StoreError::Stale(_)) => {
            drop(work);
            let (now, _) = made_of(&app, id).await?;
            let theirs = material::fields(&now, metric);
            show(
                &app,
                &me,
                id,
                Some(post.again(&action).conflict(theirs, now.version)),
            )
            .await
        }
        Err(other) => Err(other.into()),
    }
}

#[derive(Template)]
#[template(path = "heads/materials.html")]
struct UsualPage {
    page: Page,
    form: Form,
    materials: Vec<Choice>,
    grains: Vec<Choice>,
    degrees: &'static str,
}

const USUAL: &str = "/heads/materials";

/// GET `/heads/materials`: the firm's usual.
///
/// # Errors
/// The database's.
pub async fn usual(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let now = kept::of_firm(app.db().read()).await?;
    let metric = app.firm().unit.is_metric();
    let form = me.form(&app, USUAL)?.filled(material::fields(&now, metric));
    draw_usual(&me, form.at_version(now.version), metric)
}

fn draw_usual(me: &Me, form: Form, metric: bool) -> Result<Response, WebError> {
    let view = UsualPage {
        page: me.page("What heads are made of").under("/firm", "Firm"),
        materials: material::material_choices(),
        grains: material::grain_choices(),
        degrees: if metric { "°C" } else { "°F" },
        form,
    };
    html(view.form.status(), &view)
}

/// POST `/heads/materials`.
///
/// # Errors
/// The database's.
pub async fn save_usual(
    State(app): State<AppState>,
    me: Me,
    post: Post,
) -> Result<Response, WebError> {
    let metric = app.firm().unit.is_metric();
    let new = match material::typed(&post.fields, metric, post.version()?) {
        Ok(new) => new,
        Err(wrong) => return draw_usual(&me, post.again(USUAL).wrong(wrong), metric),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::Again(reply) => return Ok(reply),
        Start::First(work) => work,
    };
    match kept::save_firm(&mut work.tx, &new).await {
        Ok(()) => {
            let detail = serde_json::json!({ "material": new.material });
            work.audit("firm.material", "firm", 1, detail).await?;
            work.done("/heads/materials?saved").await
        }
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = kept::of_firm(app.db().read()).await?;
            let theirs = material::fields(&now, metric);
            draw_usual(&me, post.again(USUAL).conflict(theirs, now.version), metric)
        }
        Err(other) => Err(other.into()),
    }
}
