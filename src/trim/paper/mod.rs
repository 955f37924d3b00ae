//! Sections at true scale for the knife grinder and the router: PDF for
//! paper, SVG and DXF for machines.
//!
//! The paper is a [`Scene`] like every other drawing, one unit 1/96 in, so
//! that a head's drawing prints at true scale by the same writer. SVG and DXF
//! keep curves as curves where the format can.

mod dxf;
mod fit;
mod font;
mod pdf;
mod pen;
mod svg;
mod tiles;

pub use dxf::dxf;
pub use pdf::pdf;
pub use svg::svg;
pub use tiles::{MARGIN_MM, OVERLAP_MM, Paper, Tiles};

use super::draw::{Anchor, At, Ink, Scene, Shape, View, at};
use super::raked::{Form, Raked};
use super::section::Outline;
use super::words::{degrees_text, thirty_seconds};

/// Units of a scene in an inch.
pub const UNITS_AN_INCH: f64 = 96.0;

/// Units of a scene in a millimetre.
pub const UNITS_A_MM: f64 = UNITS_AN_INCH / 25.4;

/// Straight lines on paper stay this close to the curve, inches: a tenth of
/// what a sharp pencil marks.
const PAPER_TOLERANCE: f64 = 0.0005;

/// One section with its name.
#[derive(Debug, Clone)]
pub struct Named {
    /// What it is.
    pub name: String,
    /// Its outline, inches.
    pub outline: Outline,
}

/// Sections to be drawn side by side at true scale.
#[derive(Debug, Clone)]
pub struct Plate {
    /// What it is for: one line.
    pub title: String,
    /// More lines below the title.
    pub notes: Vec<String>,
    /// From the left.
    pub sections: Vec<Named>,
}

/// Between sections, above and below them, inches.
const GAP: f64 = 0.75;
/// Beside them: the sheet has a margin of its own, and three narrow sections
/// should stand on one.
const SIDE: f64 = 0.25;

/// A section with the place of its (0, 0) on the plate, inches, v up from the
/// plate's lower edge.
pub(super) struct Placed<'a> {
    pub(super) section: &'a Named,
    pub(super) u: f64,
    pub(super) v: f64,
}

/// Size of ordinary words, units: 12 px is 1/8 in.
const WORDS: f64 = 12.0;
/// From one line of words to the next, inches.
const LINE: f64 = 0.2;

impl Plate {
    /// The source section and the two that close on it.
    #[must_use]
    pub fn of_raked(title: &str, raked: &Raked) -> Self {
        let sections = Form::ALL.map(|form| Named {
            name: if form == raked.given {
                format!("{} (as given)", form.words())
            } else {
                form.words().to_owned()
            },
            outline: raked.form(form).clone(),
        });
        Self {
            title: title.to_owned(),
            notes: vec![format!(
                "Pitch {}, plan corner {}. True scale: measure the bar before use.",
                degrees_text(raked.corner.pitch),
                degrees_text(raked.corner.plan_corner),
            )],
            sections: sections.to_vec(),
        }
    }

    /// Sections side by side, their tops level; and the size of all, inches.
    pub(super) fn placed(&self) -> (Vec<Placed<'_>>, f64, f64) {
        let extents: Vec<_> = self.sections.iter().map(|s| s.outline.extents()).collect();
        let tallest = extents.iter().map(|e| e.height()).fold(0.0, f64::max);
        let mut placed = Vec::with_capacity(extents.len());
        let mut u = SIDE;
        for (section, e) in self.sections.iter().zip(&extents) {
            placed.push(Placed {
                section,
                u: u - e.u_low,
                v: GAP + 2.0 * LINE + tallest - e.v_high,
            });
            // A narrow section leaves room for its name.
            u += e.width().max(1.5) + GAP;
        }
        (placed, u - GAP + SIDE, tallest + 2.0 * GAP + 2.0 * LINE)
    }

    /// The plate as a scene at true scale.
    #[must_use]
    pub fn scene(&self) -> Scene {
        let (placed, width, body) = self.placed();
        let head = LINE * (f64::from(u32::try_from(self.notes.len()).unwrap_or(0)) + 2.0);
        let size = |inches: f64| inches * UNITS_AN_INCH;
        let desc = format!("{} sections at true scale.", self.sections.len());
        let mut scene = Scene::new(self.title.clone(), desc, size(width), size(body + head));
        let line = |i: u32| at(size(SIDE), size(LINE * f64::from(i + 1)));
        scene.text(
            Ink::Strong,
            line(0),
            WORDS,
            Anchor::Start,
            self.title.clone(),
        );
        for (i, note) in (1..).zip(&self.notes) {
            scene.text(Ink::Text, line(i), WORDS, Anchor::Start, note.clone());
        }
        for p in placed {
            let view = View {
                name: "section",
                scale: UNITS_AN_INCH,
                origin: at(size(p.u), size(head + body - p.v)),
            };
            draw(&mut scene, &view, p.section);
        }
        scene
    }
}

/// One section: its outline, a cross at (0, 0), its name and size below.
fn draw(scene: &mut Scene, view: &View, named: &Named) {
    scene.open(*view);
    let corners = named.outline.polygon(PAPER_TOLERANCE);
    let mut path: Vec<At> = corners.iter().map(|p| view.at(p.u, p.v)).collect();
    path.extend(path.first().copied());
    scene.part("section", Ink::Hair, Shape::Path(path));
    let (o, arm) = (view.origin, 4.0);
    let cross = vec![
        (o.moved(-arm, 0.0), o.moved(arm, 0.0)),
        (o.moved(0.0, -arm), o.moved(0.0, arm)),
    ];
    scene.part("reference", Ink::AccentHair, Shape::Lines(cross));
    let e = named.outline.extents();
    let below = |line: f64| {
        view.at(e.u_low, e.v_low)
            .moved(0.0, line * LINE * UNITS_AN_INCH)
    };
    scene.text(
        Ink::Strong,
        below(1.0),
        WORDS,
        Anchor::Start,
        named.name.clone(),
    );
    let words = format!(
        "{} out, {} high",
        thirty_seconds(e.width()),
        thirty_seconds(e.height())
    );
    scene.text(Ink::Text, below(1.9), WORDS, Anchor::Start, words);
    scene.close();
}
