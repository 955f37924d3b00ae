//! Published proportions beside a head's drawing: suggestions, never rules.

use askama::Template;

use super::shop::Shop;
use crate::measure::{Length, Unit};
use crate::openings::Surveyed;
use crate::trim::design::{Body, Design, Kind, Outline};
use crate::trim::proportion::{self, About, Suggestion};
use crate::web::{Fragment, WebError};

/// What a suggestion would put into the design's form: field, value, and how
/// a pitch is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Use {
    /// On its button.
    pub words: String,
    /// As sent: `use:field=value`.
    pub sent: String,
}

/// One suggestion in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What it is about.
    pub about: &'static str,
    /// The rule.
    pub rule: &'static str,
    /// What it gives for this head.
    pub gives: String,
    /// Where it comes from.
    pub source: String,
    /// What speaks against it.
    pub note: &'static str,
    /// What it would fill in.
    pub fills: Option<Use>,
}

#[derive(Template)]
#[template(path = "heads/proportion.html")]
struct Part {
    rows: Vec<Row>,
    /// What the head has now, where a rule speaks of it.
    now: Vec<(&'static str, String)>,
    /// Where a press goes; empty where nothing can be filled in.
    draw: String,
}

/// The suggestions for a head; `draw` is where the form is drawn again, empty
/// on a page without one.
///
/// # Errors
/// The template's.
pub fn part(
    design: &Design,
    opening: &Surveyed,
    shop: &Shop,
    draw: &str,
) -> Result<Fragment, WebError> {
    let rows = rows(design, opening, shop);
    if rows.is_empty() {
        return Ok(Fragment::default());
    }
    Ok(Fragment::of(&Part {
        now: now(design, shop),
        rows,
        draw: draw.to_owned(),
    })?)
}

fn rows(design: &Design, opening: &Surveyed, shop: &Shop) -> Vec<Row> {
    let Some(body) = design.kind.body() else {
        return Vec::new();
    };
    let span = body.span.inches();
    let mut found: Vec<Suggestion> = match &design.kind {
        Kind::Gable(_) | Kind::ClosedGable(_) | Kind::BrokenGable(_) => {
            proportion::pitches(span, cornice(body))
        }
        Kind::Arched(_) => proportion::segment(span).into_iter().collect(),
        _ => Vec::new(),
    };
    found.extend(crown_height(body).and_then(proportion::cornice));
    if let Some(measured) = opening.counts() {
        let most = |all: &[Option<Length>]| all.iter().flatten().max().map(|l| l.inches());
        if let (Some(width), Some(height)) = (most(&measured.widths), most(&measured.heights)) {
            let around = proportion::around_opening(width, height);
            // The opening is there: only what goes round it is asked for.
            found.extend(around.into_iter().filter(|s| s.about != About::Opening));
            found.extend(proportion::bands(width / 6.0));
        }
    }
    found.iter().map(|one| row(one, design, shop)).collect()
}

fn crown_height(body: &Body) -> Option<f64> {
    match &body.crown.as_ref()?.outline {
        Outline::Size { height, .. } => Some(height.inches()),
        _ => None,
    }
}

/// Depth of cap and crown together, measured up and down.
fn cornice(body: &Body) -> Option<f64> {
    let cap = body.cap.as_ref().map(|cap| cap.thickness.inches());
    let depth = cap.unwrap_or(0.0) + crown_height(body).unwrap_or(0.0);
    (depth > 0.0).then_some(depth)
}

fn row(one: &Suggestion, design: &Design, shop: &Shop) -> Row {
    let say = |inches| shop.wording.rounding.words(inches);
    let mut gives: Vec<String> = Vec::new();
    if let Some(slope) = one.slope {
        gives.push(format!("{:.1}°", slope.to_degrees()));
    }
    gives.extend(
        one.measures
            .iter()
            .map(|m| format!("{} {}", m.name, say(m.inches))),
    );
    let seen = one.source.seen.words();
    Row {
        about: about(one.about),
        rule: one.rule,
        gives: gives.join(", "),
        source: if one.source.work.is_empty() {
            seen.to_owned()
        } else {
            format!("{}; {seen}", one.source.work)
        },
        note: one.note,
        fills: fills(one, design),
    }
}

const fn about(what: About) -> &'static str {
    match what {
        About::Pitch => "Pitch",
        About::Segment => "Segment",
        About::Architrave => "Architrave (casing)",
        About::Bands => "Bands of a casing a sixth of the opening wide",
        About::Frieze => "Frieze (board)",
        About::Cornice => "Cornice (crown)",
        About::Opening => "Opening",
    }
}

/// The form's field that a suggestion is about, if the form has one.
fn fills(one: &Suggestion, design: &Design) -> Option<Use> {
    let inches = || one.measures.first().map(|m| m.inches);
    let length = |field: &str, inches: f64| {
        let text = typed(inches, design.unit)?;
        Some(Use {
            words: format!("Use {text}"),
            sent: format!("use:{field}={text}"),
        })
    };
    match one.about {
        About::Pitch => {
            let degrees = one.slope?.to_degrees();
            Some(Use {
                words: format!("Use {degrees:.2}°"),
                sent: format!("use:pitch={degrees:.2}"),
            })
        }
        About::Segment => {
            let rise = one.measures.iter().find(|m| m.name == "rise")?;
            length("rise", rise.inches)
        }
        About::Frieze => length("board.height", inches()?),
        About::Cornice => length("crown.projection", inches()?),
        About::Architrave | About::Bands | About::Opening => None,
    }
}

/// As one would type it: to a 16th, or a whole millimetre.
fn typed(inches: f64, unit: Unit) -> Option<String> {
    let rounded = if unit.is_metric() {
        (inches * 25.4).round() / 25.4
    } else {
        (inches * 16.0).round() / 16.0
    };
    let length = Length::from_f64(rounded, Unit::Inch).ok()?;
    (length > Length::ZERO).then(|| length.exact(unit))
}

/// What the head has now.
fn now(design: &Design, shop: &Shop) -> Vec<(&'static str, String)> {
    let pitch = match &design.kind {
        Kind::Gable(gable) => Some(gable.pitch),
        Kind::ClosedGable(closed) => Some(closed.pitch),
        Kind::BrokenGable(broken) => Some(broken.pitch),
        _ => None,
    };
    let mut all = Vec::new();
    all.extend(pitch.map(|p| ("Pitch", format!("{:.1}°", p.radians().to_degrees()))));
    if let Some(body) = design.kind.body() {
        let height = shop.wording.rounding.words(body.board.height.inches());
        all.push(("Frieze (board)", height));
    }
    all
}

/// A press on a suggestion: the fields that it fills in. `None` if it is none,
/// or speaks of a field that suggestions never fill.
#[must_use]
pub fn pressed(asked: &str) -> Option<Vec<(&'static str, String)>> {
    let (field, value) = asked.strip_prefix("use:")?.split_once('=')?;
    let value: String = value.chars().take(40).collect();
    let field = ["pitch", "rise", "board.height", "crown.projection"]
        .into_iter()
        .find(|known| *known == field)?;
    let mut fields = vec![(field, value)];
    if field == "pitch" {
        fields.push(("pitch.as", "degrees".to_owned()));
    }
    Some(fields)
}
