//! Several heads side by side at one scale.

use crate::trim::sheet::Sheet;

use super::scene::{Anchor, Ink, Scene, Shape, View, at};
use super::solid::{draw_front, front_box};
use super::{Look, SMALL, short};

const GAP: f64 = 28.0;
const MARGIN: f64 = 12.0;
/// Room for a head whose label is wider than itself.
const LEAST: f64 = 72.0;

/// The façade strip: each sheet, standing on one line, with the label that
/// stands under it. Heads that do not fit in one row at a readable size go
/// on to the next, all at one scale. Sheets with nothing in them keep their
/// place and label.
#[must_use]
pub fn strip(heads: &[(&Sheet, &str)], look: &Look) -> Scene {
    let title = format!("{} heads at one scale", heads.len());
    let names: Vec<String> = heads.iter().take(12).map(|h| short(h.1, 24)).collect();
    let desc = format!("From the left: {}.", names.join(", "));
    let mut scene = Scene::new(title, desc, look.width(), 0.0);
    let boxes: Vec<_> = heads
        .iter()
        .map(|(s, _)| front_box(s).unwrap_or((0.0, 0.0, 0.0, 0.0)))
        .collect();
    let widest = boxes.iter().map(|b| b.2).fold(1.0, f64::max);
    let all: f64 = boxes.iter().map(|b| b.2).sum::<f64>().max(1.0);
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
    for ((sheet, label), found) in heads.iter().zip(&boxes) {
        let width = (found.2 * scale).max(LEAST);
        if pen.x + width > look.width() - MARGIN + 0.5 && !pen.row.is_empty() {
            pen.end_row(&mut scene, scale);
        }
        pen.row.push(Standing {
            sheet,
            label,
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

struct Standing<'a> {
    sheet: &'a Sheet,
    label: &'a str,
    found: (f64, f64, f64, f64),
    x: f64,
    width: f64,
}

struct Pen<'a> {
    x: f64,
    y: f64,
    row: Vec<Standing<'a>>,
}

impl Pen<'_> {
    /// Draws the row that has been gathered and begins the next.
    fn end_row(&mut self, scene: &mut Scene, scale: f64) {
        let tall = self.row.iter().map(|s| s.found.3).fold(0.0, f64::max);
        let ground = self.y + tall * scale;
        for standing in self.row.drain(..) {
            let (x, y, width, _) = standing.found;
            let slack = (standing.width - width * scale) / 2.0;
            let view = View {
                name: "front",
                scale,
                origin: at(standing.x + slack - x * scale, ground + y * scale),
            };
            scene.open(view);
            draw_front(scene, standing.sheet, &view);
            scene.close();
            let middle = standing.x + standing.width / 2.0;
            let fits = (standing.width + GAP * 0.6) / (SMALL * 0.62);
            let label = short(standing.label, whole(fits));
            let place = at(middle, ground + 24.0);
            scene.text(Ink::Text, place, SMALL, Anchor::Middle, label);
        }
        let line = (
            at(MARGIN, ground + 3.0),
            at(scene.width - MARGIN, ground + 3.0),
        );
        scene.draw(Ink::Hair, Shape::Line(line.0, line.1));
        self.x = MARGIN;
        self.y = ground + 44.0;
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
