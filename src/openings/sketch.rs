//! The measured opening as a drawing: what was taped, where, and which way it
//! leans. Seen from the front, the side view at the right.
//!
//! The shape is true to the numbers only in kind: an eighth of an inch would
//! not show, so what is off is drawn about twenty times too large.

use crate::measure::{Length, Unit};
use crate::trim::draw::{Anchor, At, Ink, Scene, Shape, at, text_width};

use super::lengths::{mean, say};
use super::model::{High, Lean, Measured, OpeningKind};

/// Longest side of the drawn opening, units.
const LONG: f64 = 200.0;
/// Shortest side, so that the numbers have room.
const SHORT: f64 = 160.0;
/// Units an inch for what is off.
const ENLARGED: f64 = 24.0;
/// No distortion is drawn larger than this, units.
const MOST_OFF: f64 = 14.0;
/// Dimension text, units.
const SIZE: f64 = 16.0;

/// The drawing of one measure; what was not measured stands as `?`.
#[must_use]
pub fn sketch(kind: OpeningKind, m: &Measured, unit: Unit) -> Scene {
    let title = format!("{} as measured", kind.words());
    let mut scene = Scene::new(title, description(m, unit), 320.0, 300.0);
    let shape = Outline::of(kind, m);
    shape.draw(&mut scene);
    let words = Words { m, unit };
    words.widths(&shape, &mut scene);
    words.heights(&shape, &mut scene);
    words.diagonals(&shape, &mut scene);
    words.level(&shape, &mut scene);
    words.plumb(&shape, &mut scene);
    scene.fit(300.0, 6.0);
    scene
}

fn description(m: &Measured, unit: Unit) -> String {
    let said = m.named().into_iter().map(|(name, value)| match value {
        Some(length) => format!("{} {}", name.to_lowercase(), say(length, unit)),
        None => format!("{} not measured", name.to_lowercase()),
    });
    let all: Vec<_> = said.collect();
    format!("Front view of the opening: {}.", all.join("; "))
}

/// The opening's edge in drawing units, x right, y down.
struct Outline {
    /// Left side: top, middle, bottom.
    left: [At; 3],
    /// Right side likewise.
    right: [At; 3],
    /// Middle of the top edge.
    crown: At,
    arch: bool,
}

impl Outline {
    fn of(kind: OpeningKind, m: &Measured) -> Self {
        let (w, h) = proportions(m);
        let width = |i: usize| w + enlarged(off(&m.widths, i));
        let lean = enlarged(lean(m)) / 2.0;
        let tilt = enlarged(m.level.map_or(0.0, Length::inches)) / 2.0;
        let tilt = match m.high {
            Some(High::Left) => tilt,
            Some(High::Right) => -tilt,
            None => 0.0,
        };
        let [top_left, top_middle, top_right] =
            [0, 1, 2].map(|i| -h - enlarged(off(&m.heights, i)));
        let side = |sign: f64, top: f64| {
            [
                at(sign * width(0) / 2.0 + lean, top + sign * tilt),
                at(sign * width(1) / 2.0, -h / 2.0 + sign * tilt),
                at(sign * width(2) / 2.0 - lean, sign * tilt),
            ]
        };
        let arch = kind == OpeningKind::Arch;
        let crown = if arch { -h * 1.22 } else { top_middle };
        Self {
            left: side(-1.0, top_left),
            right: side(1.0, top_right),
            crown: at(lean, crown),
            arch,
        }
    }

    fn draw(&self, scene: &mut Scene) {
        let [lt, lm, lb] = self.left;
        let [rt, rm, rb] = self.right;
        let mut edge = vec![lb, lm, lt];
        if self.arch {
            edge.extend(curve(lt, self.crown, rt));
        } else {
            edge.push(self.crown);
        }
        edge.extend([rt, rm, rb]);
        scene.draw(Ink::Board, Shape::Area(edge.clone()));
        edge.push(lb);
        scene.part("opening", Ink::Outline, Shape::Path(edge));
        scene.draw(
            Ink::Outline,
            Shape::Line(lb.moved(-14.0, 0.0), rb.moved(14.0, 0.0)),
        );
    }
}

/// A smooth top through the crown, by eye: the survey gives one point of it.
fn curve(from: At, crown: At, to: At) -> Vec<At> {
    let pull = at(
        2.0 * crown.x - (from.x + to.x) / 2.0,
        2.0 * crown.y - (from.y + to.y) / 2.0,
    );
    (1..12)
        .map(|i| f64::from(i) / 12.0)
        .map(|t| from.towards(pull, t).towards(pull.towards(to, t), t))
        .collect()
}

/// Width and height as drawn: the opening's own, kept from getting too thin
/// for its numbers.
fn proportions(m: &Measured) -> (f64, f64) {
    let w = mean(&m.widths).filter(|w| *w > 0.0).unwrap_or(36.0);
    let h = mean(&m.heights).filter(|h| *h > 0.0).unwrap_or(48.0);
    let scale = LONG / w.max(h);
    (
        (w * scale).clamp(SHORT, LONG),
        (h * scale).clamp(SHORT, LONG),
    )
}

fn off(values: &[Option<Length>; 3], index: usize) -> f64 {
    let value = values.get(index).copied().flatten();
    match (value, mean(values)) {
        (Some(value), Some(mean)) => value.inches() - mean,
        _ => 0.0,
    }
}

/// How far the top stands to the right of the foot, inches: from the two
/// diagonals, as [`super::findings`] derives it.
fn lean(m: &Measured) -> f64 {
    match (m.diagonals, mean(&m.widths)) {
        ([Some(rising), Some(falling)], Some(width)) if width > 0.0 => {
            (rising.inches().powi(2) - falling.inches().powi(2)) / (4.0 * width)
        }
        _ => 0.0,
    }
}

fn enlarged(inches: f64) -> f64 {
    (inches * ENLARGED).clamp(-MOST_OFF, MOST_OFF)
}

/// The numbers on the drawing.
struct Words<'a> {
    m: &'a Measured,
    unit: Unit,
}

impl Words<'_> {
    fn number(&self, value: Option<Length>) -> String {
        value.map_or_else(|| "?".to_owned(), |length| length.exact(self.unit))
    }

    /// A dimension line with its number in a gap at the share `t` of the way.
    fn dimension(
        &self,
        (ink, part): (Ink, &'static str),
        value: Option<Length>,
        (a, b, t): (At, At, f64),
        scene: &mut Scene,
    ) {
        let text = self.number(value);
        let half = (text_width(&text, SIZE) / 2.0 + 4.0) / a.distance(b).max(1.0);
        let lines = [(a, a.towards(b, t - half)), (a.towards(b, t + half), b)];
        scene.mark(
            ink,
            Some(part),
            value.map(Length::inches),
            Shape::Lines(lines.to_vec()),
        );
        let turn = (b.y - a.y).atan2(b.x - a.x);
        // The baseline lies a third of the figures' height below the line.
        let (sin, cos) = turn.sin_cos();
        let place = a.towards(b, t).moved(-sin * SIZE * 0.35, cos * SIZE * 0.35);
        let ink = if value.is_some() {
            Ink::Strong
        } else {
            Ink::Quiet
        };
        scene.turned_text(ink, place, SIZE, Anchor::Middle, turn.to_degrees(), text);
    }

    fn widths(&self, shape: &Outline, scene: &mut Scene) {
        let places = [(0.09, 0.3), (0.5, 0.25), (0.92, 0.3)];
        for ((down, t), value) in places.into_iter().zip(self.m.widths) {
            let (l, r) = (along(&shape.left, down), along(&shape.right, down));
            self.dimension((Ink::Hair, "width"), value, (l, r, t), scene);
        }
    }

    fn heights(&self, shape: &Outline, scene: &mut Scene) {
        let [lt, _, lb] = shape.left;
        let [rt, _, rb] = shape.right;
        let (left, right) = (lb.x.min(lt.x) - 18.0, rb.x.max(rt.x) + 18.0);
        let foot = at(shape.crown.x, f64::midpoint(lb.y, rb.y));
        // The middle one reads in the upper half, clear of the diagonals.
        let lines = [
            (at(left, lb.y), at(left, lt.y), 0.5),
            (foot, shape.crown, if shape.arch { 0.66 } else { 0.715 }),
            (at(right, rb.y), at(right, rt.y), 0.5),
        ];
        for (line, value) in lines.into_iter().zip(self.m.heights) {
            self.dimension((Ink::Hair, "height"), value, line, scene);
        }
        for (corner, sign) in [(lt, -1.0), (lb, -1.0), (rt, 1.0), (rb, 1.0)] {
            let from = corner.moved(sign * 4.0, 0.0);
            scene.draw(Ink::Hair, Shape::Line(from, from.moved(sign * 20.0, 0.0)));
        }
    }

    fn diagonals(&self, shape: &Outline, scene: &mut Scene) {
        let [lt, _, lb] = shape.left;
        let [rt, _, rb] = shape.right;
        let lines = [(lb, rt, 0.3), (lt, rb, 0.7)];
        for (line, value) in lines.into_iter().zip(self.m.diagonals) {
            self.dimension((Ink::Dash, "diagonal"), value, line, scene);
        }
    }

    fn level(&self, shape: &Outline, scene: &mut Scene) {
        let ([l, ..], [r, ..]) = (shape.left, shape.right);
        let y = l.y.min(r.y).min(shape.crown.y) - 12.0;
        scene.part("level", Ink::Dash, Shape::Line(at(l.x, y), at(r.x, y)));
        let text = match (self.m.level, self.m.high) {
            (None, _) => "level ?".to_owned(),
            (Some(Length::ZERO), _) => "level".to_owned(),
            (Some(off), None) => format!("{} out of level", off.exact(self.unit)),
            (Some(off), Some(High::Left)) => format!("left {} high", off.exact(self.unit)),
            (Some(off), Some(High::Right)) => format!("right {} high", off.exact(self.unit)),
        };
        scene.text(
            Ink::Text,
            at((l.x + r.x) / 2.0, y - 7.0),
            14.0,
            Anchor::Middle,
            text,
        );
    }

    /// The wall from the side, the street at the right: a string with a bob,
    /// and the wall's face beside it.
    fn plumb(&self, shape: &Outline, scene: &mut Scene) {
        let ([lt, _, lb], [rt, _, rb]) = (shape.left, shape.right);
        let x = rt.x.max(rb.x) + 54.0;
        let (top, foot) = (lt.y, lb.y);
        let off = enlarged(self.m.plumb.map_or(0.0, Length::inches));
        let lean = match self.m.lean {
            Some(Lean::Out) => off,
            Some(Lean::In) => -off,
            None => 0.0,
        };
        let (head, base) = (at(x + lean, top), at(x, foot));
        scene.part("wall", Ink::Outline, Shape::Line(head, base));
        let behind = (1..9).map(|i| head.towards(base, f64::from(i) / 9.0));
        scene.draw(
            Ink::Hatch,
            Shape::Lines(behind.map(|p| (p, p.moved(-8.0, 6.0))).collect()),
        );
        let string = x + 10.0 + MOST_OFF;
        scene.part(
            "string",
            Ink::Dash,
            Shape::Line(at(string, top), at(string, foot - 12.0)),
        );
        scene.draw(
            Ink::Dot,
            Shape::Area(vec![
                at(string - 4.0, foot - 12.0),
                at(string + 4.0, foot - 12.0),
                at(string, foot),
            ]),
        );
        let words = match (self.m.plumb, self.m.lean) {
            (None, _) => "plumb ?".to_owned(),
            (Some(Length::ZERO), _) => "plumb".to_owned(),
            (Some(off), None) => format!("{} off", off.exact(self.unit)),
            (Some(off), Some(Lean::Out)) => format!("{} out", off.exact(self.unit)),
            (Some(off), Some(Lean::In)) => format!("{} in", off.exact(self.unit)),
        };
        scene.text(
            Ink::Text,
            at(x + 6.0, foot + 20.0),
            14.0,
            Anchor::Middle,
            words,
        );
    }
}

/// The place a share `down` of a side from its top.
fn along(side: &[At; 3], down: f64) -> At {
    let [top, middle, bottom] = *side;
    if down < 0.5 {
        top.towards(middle, down * 2.0)
    } else {
        middle.towards(bottom, down * 2.0 - 1.0)
    }
}
