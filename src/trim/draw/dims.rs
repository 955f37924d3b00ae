//! Dimension lines with oblique ticks, laid out in tiers so that their words
//! never meet.

use super::scene::{Anchor, At, Ink, Scene, Shape, Text, at, text_width};
use super::{LengthWords, SMALL};

/// From one tier to the next.
pub(super) const STEP: f64 = 25.0;
/// Between what is measured and its extension line.
const GAP: f64 = 4.0;

/// Which stretches of each tier are taken.
#[derive(Debug, Default)]
pub(super) struct Tiers {
    taken: Vec<Vec<(f64, f64)>>,
}

impl Tiers {
    /// The first tier with room from `low` to `high`; takes it.
    pub(super) fn take(&mut self, low: f64, high: f64) -> usize {
        let free = |tier: &Vec<(f64, f64)>| {
            tier.iter()
                .all(|(a, b)| high + 2.0 <= *a || *b + 2.0 <= low)
        };
        let found = self.taken.iter().position(free);
        let index = found.unwrap_or(self.taken.len());
        if found.is_none() {
            self.taken.push(Vec::new());
        }
        if let Some(tier) = self.taken.get_mut(index) {
            tier.push((low, high));
        }
        index
    }
}

/// A dimension to be placed.
pub(super) struct Dim {
    /// What it is, for readers of the file.
    pub part: &'static str,
    /// Inches.
    pub value: f64,
    /// What is measured, on the sheet.
    pub from: At,
    /// What is measured, on the sheet.
    pub to: At,
}

impl Dim {
    fn words(&self, length: LengthWords) -> String {
        length(self.value)
    }
}

/// A level dimension under the drawing; `first` is where the first tier's
/// line lies.
pub(super) fn below(
    scene: &mut Scene,
    tiers: &mut Tiers,
    first: f64,
    dim: &Dim,
    length: LengthWords,
) {
    level(scene, tiers, (first, 1.0), dim, length);
}

/// A level dimension over the drawing.
pub(super) fn above(
    scene: &mut Scene,
    tiers: &mut Tiers,
    first: f64,
    dim: &Dim,
    length: LengthWords,
) {
    level(scene, tiers, (first, -1.0), dim, length);
}

fn level(
    scene: &mut Scene,
    tiers: &mut Tiers,
    (first, side): (f64, f64),
    dim: &Dim,
    length: LengthWords,
) {
    let words = dim.words(length);
    let (a, b) = (dim.from.x.min(dim.to.x), dim.from.x.max(dim.to.x));
    let middle = f64::midpoint(a, b);
    let half = text_width(&words, SMALL) / 2.0;
    let tier = tiers.take(a.min(middle - half - 2.0), b.max(middle + half + 2.0));
    let y = first + side * STEP * tier_number(tier);
    let ends = (at(dim.from.x, y), at(dim.to.x, y));
    for (start, end) in [(dim.from, ends.0), (dim.to, ends.1)] {
        extension(
            scene,
            start.moved(0.0, side * GAP),
            end.moved(0.0, side * GAP),
        );
    }
    line(scene, ends);
    figure(scene, dim, at(middle, y - 5.0), 0.0, words);
}

/// An upright dimension left of the drawing, read from the right; `first` is
/// where the first tier's line lies.
pub(super) fn beside(
    scene: &mut Scene,
    tiers: &mut Tiers,
    first: f64,
    dim: &Dim,
    length: LengthWords,
) {
    let words = dim.words(length);
    let (a, b) = (dim.from.y.min(dim.to.y), dim.from.y.max(dim.to.y));
    let middle = f64::midpoint(a, b);
    let half = text_width(&words, SMALL) / 2.0;
    let tier = tiers.take(a.min(middle - half - 2.0), b.max(middle + half + 2.0));
    let x = first - STEP * tier_number(tier);
    let ends = (at(x, dim.from.y), at(x, dim.to.y));
    for (start, end) in [(dim.from, ends.0), (dim.to, ends.1)] {
        extension(scene, start.moved(-GAP, 0.0), end.moved(-GAP, 0.0));
    }
    line(scene, ends);
    figure(scene, dim, at(x - 5.0, middle), -90.0, words);
}

/// A dimension along a slope, `away` units off what is measured, on its
/// left seen from `from` to `to`. Left out where its words would meet
/// others: tables carry the number as well.
pub(super) fn along(scene: &mut Scene, dim: &Dim, away: f64, length: LengthWords) {
    let words = dim.words(length);
    let run = dim.from.distance(dim.to).max(1e-9);
    let (dx, dy) = ((dim.to.x - dim.from.x) / run, (dim.to.y - dim.from.y) / run);
    // On the sheet y is down, so left of (dx, dy) is (dy, −dx).
    let off = |p: At, by: f64| p.moved(dy * by, -dx * by);
    let ends = (off(dim.from, away), off(dim.to, away));
    let middle = off(ends.0.towards(ends.1, 0.5), 5.0);
    // Read from below or from the right, never upside down.
    let turn = match dy.atan2(dx).to_degrees() {
        t if t >= 90.0 - 1e-6 => t - 180.0,
        t if t < -90.0 - 1e-6 => t + 180.0,
        t => t,
    };
    let flipped = dx < -1e-6 || (dx.abs() <= 1e-6 && dy > 0.0);
    // The words stand on the line, so a turned-over baseline moves away.
    let middle = off(middle, if flipped { 0.7 * SMALL } else { 0.0 });
    if !room(scene, middle, turn, &words) {
        return;
    }
    for (start, end) in [(dim.from, ends.0), (dim.to, ends.1)] {
        extension(scene, off(start, GAP), off(end, GAP));
    }
    line(scene, ends);
    figure(scene, dim, middle, turn, words);
}

#[expect(clippy::cast_precision_loss, reason = "a few tiers")]
const fn tier_number(tier: usize) -> f64 {
    tier as f64
}

fn extension(scene: &mut Scene, from: At, to: At) {
    scene.draw(Ink::Hair, Shape::Line(from, to));
}

/// The line and an oblique tick at each end.
fn line(scene: &mut Scene, (a, b): (At, At)) {
    scene.draw(Ink::Hair, Shape::Line(a, b));
    let tick = |p: At| (p.moved(-3.5, 3.5), p.moved(3.5, -3.5));
    scene.draw(Ink::Line, Shape::Lines(vec![tick(a), tick(b)]));
}

fn figure(scene: &mut Scene, dim: &Dim, place: At, turn: f64, words: String) {
    let text = Text {
        at: place,
        size: SMALL,
        anchor: Anchor::Middle,
        turn,
        content: words.into(),
    };
    scene.mark(
        Ink::Figure,
        Some(dim.part),
        Some(dim.value),
        Shape::Text(text),
    );
}

/// Whether centred words would stay clear of all words on the sheet.
pub(super) fn room(scene: &Scene, place: At, turn: f64, words: &str) -> bool {
    let text = Text {
        at: place,
        size: SMALL,
        anchor: Anchor::Middle,
        turn,
        content: words.to_owned().into(),
    };
    let mine = text.corners();
    scene.marks.iter().all(|m| match &m.shape {
        Shape::Text(other) => apart(&mine, &other.corners()),
        _ => true,
    })
}

/// Whether two rectangles are clear of each other: some side of one has all
/// of the other beyond it.
fn apart(a: &[At; 4], b: &[At; 4]) -> bool {
    let beyond = |box_: &[At; 4], other: &[At; 4]| {
        (0..4).any(|i| {
            let (p, q) = (box_[i], box_[(i + 1) % 4]);
            other
                .iter()
                .all(|r| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x) <= 0.0)
        })
    };
    beyond(a, b) || beyond(b, a)
}
