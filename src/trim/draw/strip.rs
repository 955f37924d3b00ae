//! Several heads side by side at one scale.

use crate::trim::sheet::Sheet;

use super::scene::{Anchor, At, Ink, Scene, Shape, View, at};
use super::solid::{draw_front, front_box};
use super::{Look, SMALL, short};

const GAP: f64 = 28.0;
const MARGIN: f64 = 12.0;
/// Room for a head whose label is wider than itself.
const LEAST: f64 = 72.0;

/// One head of the façade, and the opening that it stands over.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a> {
    /// The head.
    pub sheet: &'a Sheet,
    /// What stands under it.
    pub label: &'a str,
    /// Its opening, where it is measured.
    pub over: Option<Over>,
}

/// An opening seen from the front, inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Over {
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// From the floor or the ground to its sill.
    pub sill: Option<f64>,
}

impl Over {
    /// How far it reaches below the head.
    fn below(&self) -> f64 {
        self.height + self.sill.unwrap_or(0.0).max(0.0)
    }
}

/// The façade strip without its openings: see [`facade`].
#[must_use]
pub fn strip(heads: &[(&Sheet, &str)], look: &Look) -> Scene {
    let standing: Vec<Standing<'_>> = heads
        .iter()
        .map(|(sheet, label)| Standing {
            sheet,
            label,
            over: None,
        })
        .collect();
    facade(&standing, look)
}

/// The façade strip: each head with the label that stands under it, the
/// openings' tops on one line and the openings hanging from it at their true
/// size, with the floor or ground under a measured sill. Heads that do not fit
/// in one row at a readable size go on to the next, all at one scale. Sheets
/// with nothing in them keep their place and label.
#[must_use]
pub fn facade(heads: &[Standing<'_>], look: &Look) -> Scene {
    let title = format!("{} heads at one scale", heads.len());
    let names: Vec<String> = heads.iter().take(12).map(|h| short(h.label, 24)).collect();
    let desc = format!("From the left: {}.", names.join(", "));
    let mut scene = Scene::new(title, desc, look.width(), 0.0);
    let boxes: Vec<_> = heads
        .iter()
        .map(|h| front_box(h.sheet).unwrap_or((0.0, 0.0, 0.0, 0.0)))
        .collect();
    let wide = |(head, found): (&Standing<'_>, &(f64, f64, f64, f64))| {
        found.2.max(head.over.map_or(0.0, |over| over.width))
    };
    let widths: Vec<f64> = heads.iter().zip(&boxes).map(wide).collect();
    let widest = widths.iter().copied().fold(1.0, f64::max);
    let all: f64 = widths.iter().sum::<f64>().max(1.0);
    let room = look.width() - 2.0 * MARGIN;
    let count = f64::from(u16::try_from(heads.len()).unwrap_or(u16::MAX));
    // One row if heads stay at least 120 units wide at the widest.
    let one_row = (room - GAP * (count - 1.0).max(0.0)) / all;
    let scale = one_row.max(120.0 / widest).min(room / widest).min(6.0);
    let mut pen = Pen {
        x: MARGIN,
        y: MARGIN,
        row: Vec::new(),
    };
    for ((head, found), wide) in heads.iter().zip(&boxes).zip(&widths) {
        let width = (wide * scale).max(LEAST);
        if pen.x + width > look.width() - MARGIN + 0.5 && !pen.row.is_empty() {
            pen.end_row(&mut scene, scale);
        }
        pen.row.push(Placed {
            head: *head,
            found: *found,
            x: pen.x,
            width,
        });
        pen.x += width + GAP;
    }
    pen.end_row(&mut scene, scale);
    scene.height = pen.y + MARGIN;
    scene
}

struct Placed<'a> {
    head: Standing<'a>,
    found: (f64, f64, f64, f64),
    x: f64,
    width: f64,
}

struct Pen<'a> {
    x: f64,
    y: f64,
    row: Vec<Placed<'a>>,
}

impl Pen<'_> {
    /// Draws the row that has been gathered and begins the next.
    fn end_row(&mut self, scene: &mut Scene, scale: f64) {
        let tall = self.row.iter().map(|s| s.found.3).fold(0.0, f64::max);
        let below = |placed: &Placed<'_>| placed.head.over.map_or(0.0, |over| over.below());
        let deep = self.row.iter().map(below).fold(0.0, f64::max);
        let line = self.y + tall * scale;
        let ground = line + deep * scale;
        for placed in self.row.drain(..) {
            let (x, y, width, _) = placed.found;
            let slack = (placed.width - width * scale) / 2.0;
            let view = View {
                name: "front",
                scale,
                origin: at(placed.x + slack - x * scale, line + y * scale),
            };
            let middle = placed.x + placed.width / 2.0;
            if let Some(over) = placed.head.over {
                opening(scene, &over, scale, at(middle, line));
            }
            scene.open(view);
            draw_front(scene, placed.head.sheet, &view);
            scene.close();
            let fits = (placed.width + GAP * 0.6) / (SMALL * 0.62);
            let label = short(placed.head.label, whole(fits));
            let place = at(middle, ground + 24.0);
            scene.text(Ink::Text, place, SMALL, Anchor::Middle, label);
        }
        let ends = (
            at(MARGIN, ground + 3.0),
            at(scene.width - MARGIN, ground + 3.0),
        );
        scene.draw(Ink::Hair, Shape::Line(ends.0, ends.1));
        self.x = MARGIN;
        self.y = ground + 44.0;
    }
}

/// An opening hanging from the middle of its top, and the floor under it.
fn opening(scene: &mut Scene, over: &Over, scale: f64, top: At) {
    let (half, down) = (over.width * scale / 2.0, over.height * scale);
    let corners = [(-half, 0.0), (half, 0.0), (half, down), (-half, down)];
    let corners = corners.map(|(dx, dy)| top.moved(dx, dy)).to_vec();
    scene.part("opening", Ink::Paper, Shape::Area(corners.clone()));
    let closed = corners.iter().copied().chain(corners.first().copied());
    scene.part("opening", Ink::Line, Shape::Path(closed.collect()));
    if over.sill.is_some() {
        let floor = top.moved(0.0, over.below() * scale);
        let ends = (floor.moved(-half, 0.0), floor.moved(half, 0.0));
        scene.part("floor", Ink::Dash, Shape::Line(ends.0, ends.1));
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float to integer cast saturates"
)]
const fn whole(count: f64) -> usize {
    count as usize
}
