//! A rip: a section cut down to a width, what is kept and what is lost, and a
//! new section from what is kept.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;
use serde_json::json;

use super::{may_write, shelve};
use crate::access::{Me, Post, Start};
use crate::measure::{Length, Unit};
use crate::sections::members::length;
use crate::sections::model::{Drawing, Entry, LONGEST_NAME, Made, NewSection, SectionId};
use crate::sections::showing::{look, picture, words};
use crate::sections::store;
use crate::trim::draw;
use crate::trim::section::{Back, Cut, Ripped, Section, flat_back, rip, settled};
use crate::web::{AppState, Check, Choice, Errors, Fields, Form, Page, Svg, WebError, html};

/// What a rip asks for, as typed in the page's address.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    /// `top`, `bottom`, `wall` or `front`: what is kept.
    keep: String,
    /// To which width.
    width: String,
    /// What the blade eats.
    kerf: String,
}

const KEEPS: [(&str, &str); 4] = [
    ("top", "the top: ripped level to this height"),
    ("bottom", "the bottom: ripped level to this height"),
    ("wall", "the wall side: ripped plumb to this projection"),
    ("front", "the front: ripped plumb to this projection"),
];

/// A rip that can be shown.
struct Shown {
    wide: Svg,
    small: Svg,
    kept: String,
    lost: String,
    share: String,
    apart: usize,
}

#[derive(Template)]
#[template(path = "sections/rip.html")]
struct RipPage {
    page: Page,
    ask: Form,
    keep: Form,
    keeps: Vec<Choice>,
    shown: Option<Shown>,
    may_write: bool,
}

/// Reads a rip of `entry`; `Err` with what is wrong with which field.
fn asked_rip(app: &AppState, entry: &Entry, fields: &Fields) -> Result<(Ripped, Section), Errors> {
    let mut errors = Errors::default();
    let unit = if app.firm().unit == Unit::Millimetre {
        Unit::Millimetre
    } else {
        Unit::Inch
    };
    let mut need = |field: &str, least: f64| match length(fields.get(field).trim(), unit) {
        Ok(found) if found > least || (found >= 0.0 && least < 0.0) => found,
        Ok(_) => {
            errors.add(field, "More than 0 is needed.");
            0.0
        }
        Err(words) => {
            errors.add(field, words);
            0.0
        }
    };
    let (width, kerf) = (need("width", 0.0), need("kerf", -1.0));
    let outline = &entry.drawing.section.outline;
    let e = outline.extents();
    let keep = fields.get("keep");
    let (per_u, per_v, limit, most) = match keep {
        "top" => (0.0, -1.0, width - e.v_high, e.height()),
        "bottom" => (0.0, 1.0, e.v_low + width, e.height()),
        "wall" => (1.0, 0.0, e.u_low + width, e.width()),
        "front" => (-1.0, 0.0, width - e.u_high, e.width()),
        _ => {
            errors.add("keep", "Choose one of the list.");
            (0.0, 1.0, 0.0, 0.0)
        }
    };
    if errors.is_empty() && width >= most {
        let words = format!("It is {} already: less is needed.", words(app)(most));
        errors.add("width", words);
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    let cut = Cut {
        per_u,
        per_v,
        keep: limit,
        kerf,
    };
    let Some(ripped) = rip(outline, &cut) else {
        return Err(Errors::one(
            "width",
            "Nothing would be kept. A larger width is needed.",
        ));
    };
    let Some(kept) = ripped.kept.first() else {
        return Err(Errors::one(
            "width",
            "Nothing would be kept. A larger width is needed.",
        ));
    };
    let settled = settled(kept, false);
    // A rip may take the sprung back away.
    let back = match entry.drawing.section.back {
        Back::Sprung(spring) if flat_back(&settled).is_some() => Back::Sprung(spring),
        _ => Back::Solid,
    };
    let section = Section {
        outline: settled,
        back,
    };
    Ok((ripped, section))
}

fn shown(app: &AppState, entry: &Entry, ripped: &Ripped) -> Option<Shown> {
    let kept = ripped.kept.first()?;
    let say = words(app);
    let e = kept.extents();
    let whole = &entry.drawing.section.outline;
    let drawn = |width| picture(&draw::ripped(&entry.name, kept, whole, &look(app, width)));
    Some(Shown {
        wide: drawn(760.0),
        small: drawn(340.0),
        kept: format!(
            "{} out, {} high, {:.2} sq in",
            say(e.width()),
            say(e.height()),
            ripped.kept_area
        ),
        lost: format!("{:.2} sq in", ripped.lost_area),
        share: format!("{:.0} %", ripped.lost_share * 100.0),
        apart: ripped.kept.len(),
    })
}

fn draw_page(
    app: &AppState,
    me: &Me,
    entry: &Entry,
    ask: Form,
    keep: Form,
) -> Result<Response, WebError> {
    let found = asked_rip(app, entry, keep.fields());
    let shown = found
        .as_ref()
        .ok()
        .and_then(|(ripped, _)| shown(app, entry, ripped));
    let asked = !ask.fields().get("asked").is_empty();
    let ask = match found {
        Err(errors) if asked => ask.wrong(errors),
        _ => ask,
    };
    let status = if keep.errors().is_empty() {
        ask.status()
    } else {
        keep.status()
    };
    html(
        status,
        &RipPage {
            page: me
                .page(format!("Rip {}", entry.name))
                .under("/sections", "Sections")
                .under(format!("/sections/{}", entry.id), entry.name.as_str()),
            ask,
            keep,
            keeps: KEEPS
                .map(|(value, words)| Choice::new(value, words))
                .to_vec(),
            shown,
            may_write: may_write(me),
        },
    )
}

/// GET `/sections/{id}/rip`: the rip that the address asks for.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SectionId>,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let entry = store::section(app.db().read(), id).await?;
    let typed = !asked.width.is_empty();
    let or = |text: &str, usual: &str| {
        if text.is_empty() {
            usual.to_owned()
        } else {
            text.to_owned()
        }
    };
    let e = entry.drawing.section.outline.extents();
    // Half of it, to the next 1/8 in: something to begin with.
    let half = Length::from_f64((e.height() * 4.0).ceil() / 8.0, Unit::Inch);
    let usual = half.map_or_else(|_| "1".to_owned(), |half| half.exact(Unit::Inch));
    let fields = Fields::default()
        .with("keep", or(&asked.keep, "top"))
        .with("width", or(&asked.width, &format!("{usual} in")))
        .with("kerf", or(&asked.kerf, "1/8 in"))
        .with("name", format!("{}, ripped", entry.name))
        .with_some("asked", typed.then_some("yes"));
    let address = format!("/sections/{id}/rip");
    let ask = me.form(&app, &address)?.filled(fields.clone());
    let keep = me.form(&app, &address)?.filled(fields);
    draw_page(&app, &me, &entry, ask, keep)
}

/// POST `/sections/{id}/rip`: what is kept, as a section of its own.
///
/// # Errors
/// `Missing`, the database's.
pub async fn keep(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SectionId>,
    post: Post,
) -> Result<Response, WebError> {
    let entry = store::section(app.db().read(), id).await?;
    let address = format!("/sections/{id}/rip");
    let ask = me
        .form(&app, &address)?
        .filled(post.fields.shown().with("asked", "yes"));
    let mut check = Check::of(&post.fields);
    let name = check.line("name", LONGEST_NAME);
    let mut errors = check.errors();
    let section = match asked_rip(&app, &entry, &post.fields) {
        Ok((_, section)) => Some(section),
        Err(more) => {
            more.iter()
                .for_each(|(field, words)| errors.add(field, words));
            None
        }
    };
    let (Some(section), true) = (section, errors.is_empty()) else {
        return draw_page(&app, &me, &entry, ask, post.again(&address).wrong(errors));
    };
    let work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let typed = json!({
        "from": entry.name, "edition": entry.edition.to_string(), "keep": post.fields.get("keep"),
        "width": post.fields.get("width"), "kerf": post.fields.get("kerf"),
    });
    let new = NewSection {
        name,
        note: format!("Ripped from {}, edition {}.", entry.name, entry.edition),
        drawing: Drawing {
            section,
            made_of: Made::Rip,
            typed,
        },
    };
    match shelve(work, &new, "section.ripped", json!({ "from": id.get() })).await? {
        Ok(reply) => Ok(reply),
        Err(taken) => draw_page(&app, &me, &entry, ask, post.again(&address).wrong(taken)),
    }
}
