//! A head's design solved with the shop's saw and the bench's measures.

use serde_json::Value;

use super::sheet::Wording;
use crate::firm;
use crate::measure::{Length, Unit};
use crate::openings::{HeadExtent, High, Lean, Surveyed, fit};
use crate::trim::design::{Body, Design, Kind, Saw};
use crate::trim::sheet::{Finding, Sheet};
use crate::trim::{Rules, Wrong, scribe, solve};
use crate::web::FirmBasics;

/// What the firm's settings give to every sheet.
#[derive(Debug, Clone, Copy)]
pub struct Shop {
    /// Limits of the saw that the sheet is for.
    pub saw: Saw,
    /// How lengths are worded.
    pub wording: Wording,
    /// The unit of lengths typed without one.
    pub unit: Unit,
}

impl Shop {
    /// What a sheet at this saw is made with.
    #[must_use]
    pub fn at(saw: &firm::Saw, basics: &FirmBasics) -> Self {
        Self {
            saw: saw.facts.limits(),
            wording: Wording {
                rounding: basics.rounding,
                short: basics.short_piece.inches(),
                kerf: saw.facts.kerf.inches(),
            },
            unit: basics.unit,
        }
    }
}

/// A design read, with the shop's saw and the bench's measures in it.
///
/// # Errors
/// Where the design is wrong.
pub fn read(design: &Value, as_built: Option<&Value>, shop: &Shop) -> Result<Design, Wrong> {
    let mut whole = design.clone();
    if let (Value::Object(map), Some(as_built)) = (&mut whole, as_built) {
        map.insert("as_built".into(), as_built.clone());
    }
    let mut design = Design::from_json(&whole)?;
    design.saw = Some(shop.saw);
    Ok(design)
}

/// The cut sheet of a design.
///
/// # Errors
/// Where the design is wrong.
pub fn solved(
    design: &Value,
    as_built: Option<&Value>,
    shop: &Shop,
) -> Result<(Design, Sheet), Wrong> {
    let design = read(design, as_built, shop)?;
    let rules = Rules {
        short_piece: shop.wording.short,
        ..Rules::default()
    };
    let sheet = solve(&design, &rules)?;
    Ok((design, sheet))
}

/// Findings of a sheet and of the opening it is for, worst first.
#[must_use]
pub fn findings(
    design: &Design,
    sheet: &Sheet,
    opening: Option<&Surveyed>,
    shop: &Shop,
) -> Vec<Finding> {
    let mut all = sheet.findings.clone();
    if let (Some(opening), Some(extent)) = (opening, extent(design)) {
        all.extend(fit(opening, &extent, shop.unit));
    }
    if let Some(opening) = opening {
        all.extend(hangs(design, opening, shop));
    }
    all.sort_by_key(|finding| finding.severity);
    all
}

/// What an opening out of level or a wall out of plumb asks of the head.
#[must_use]
pub fn hangs(design: &Design, opening: &Surveyed, shop: &Shop) -> Vec<Finding> {
    let (Some(measured), Some(extent)) = (opening.counts(), extent(design)) else {
        return Vec::new();
    };
    let mid = |all: &[Option<Length>]| all.iter().flatten().map(|l| l.inches()).fold(0.0, f64::max);
    let signed = |size: Option<Length>, up: bool| {
        let size = size.map_or(0.0, Length::inches);
        if up { size } else { -size }
    };
    let [left, _, right] = measured.heights;
    let seen = scribe::Opening {
        width: mid(&measured.widths),
        height: mid(&measured.heights),
        rises: signed(measured.level, measured.high == Some(High::Right)),
        leans: signed(measured.plumb, measured.lean == Some(Lean::Out)),
        sides: left.zip(right).map(|(l, r)| (l.inches(), r.inches())),
    };
    let cap = design.kind.body().and_then(|body| body.cap);
    let board = extent.board_thickness.inches();
    let head = scribe::Hangs {
        span: extent.span.inches(),
        board: extent.board_height.inches(),
        whole: extent.needs_above().inches(),
        out: board + cap.map_or(0.0, |cap| cap.front.inches()),
    };
    scribe::advice(&seen, &head, shop.wording.rounding)
}

/// How far the head reaches; `None` for one given by its runs or its parts.
#[must_use]
pub fn extent(design: &Design) -> Option<HeadExtent> {
    let (body, run_to_top, slope) = match &design.kind {
        Kind::Flat(body) => (body, 0.0, 0.0),
        Kind::Gable(g) => (
            &g.body,
            g.body.span.inches() / 2.0 - g.wing.inches(),
            g.pitch.radians(),
        ),
        Kind::ClosedGable(g) => (&g.body, g.body.span.inches() / 2.0, g.pitch.radians()),
        Kind::BrokenGable(g) => {
            let along = (g.body.span.inches() - g.gap.inches()) / 2.0 - g.wing.inches();
            (&g.body, along, g.pitch.radians())
        }
        Kind::Arched(a) => return Some(reach(&a.body, a.rise.inches(), 0.0)),
        Kind::Bay(bay) => (&bay.body, 0.0, 0.0),
        Kind::Assembly(_) | Kind::Runs(_) => return None,
    };
    Some(reach(body, run_to_top * slope.tan(), slope))
}

fn reach(body: &Body, rise: f64, slope: f64) -> HeadExtent {
    let length = |inches: f64| Length::from_f64(inches, Unit::Inch).unwrap_or_default();
    let cap = body
        .cap
        .as_ref()
        .map_or(0.0, |cap| cap.thickness.inches() / slope.cos());
    HeadExtent {
        span: body.span,
        board_height: body.board.height,
        rise: length(rise),
        cap: length(cap),
        board_thickness: body.board.thickness,
        casing: Length::ZERO,
    }
}
