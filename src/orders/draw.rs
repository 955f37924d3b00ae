//! A stick as it is cut, drawn to scale: pieces with their ends as they lie,
//! what is bad, what is left over.

use crate::trim::draw::{At, Ink, Scene, Shape, SvgOptions, at, svg};
use crate::web::Svg;

/// A cut to draw, inches from the stick's left end.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// Number shown on it.
    pub nth: usize,
    /// From.
    pub from: f64,
    /// To.
    pub to: f64,
    /// Slopes: left u, v, right u, v.
    pub ends: [f64; 4],
    /// Which strip, from 0.
    pub strip: usize,
}

/// A stick to draw.
#[derive(Debug, Clone)]
pub struct Stick {
    /// Inches.
    pub length: f64,
    /// Width of each strip, inches.
    pub width: f64,
    /// How many strips.
    pub strips: usize,
    /// Bad stretches, inches.
    pub bad: Vec<(f64, f64)>,
    /// The cuts.
    pub cuts: Vec<Drawn>,
    /// Corners (u, v) of the section, inches; empty for square ends.
    pub section: Vec<[f64; 2]>,
    /// The longest stick of the plan: all are drawn at its scale.
    pub longest: f64,
    /// What it is, for those who cannot see it.
    pub words: String,
}

/// Units across: a sheet of paper or a screen.
pub const SHEET: f64 = 1000.0;
/// Units across: a phone.
pub const PHONE: f64 = 330.0;
/// Least height of a strip, so that a number stands in it.
const LEAST: f64 = 26.0;
/// Room at the edges.
const EDGE: f64 = 6.0;

/// The picture of one stick, `wide` units across. Lengths are to scale;
/// across, a thin stick is drawn wider than it is. A piece too short for its
/// number goes without: the table under the picture has the order.
#[must_use]
pub fn picture(stick: &Stick, wide: f64) -> Svg {
    let scale = (wide - 2.0 * EDGE) / stick.longest.max(1.0);
    let across =
        (LEAST / stick.width.max(1e-3)).max(scale.min(2.0 * LEAST / stick.width.max(1e-3)));
    let high = stick.width * across;
    let strips = stick.strips.max(1);
    let height = 2.0 * EDGE + high * strips as f64 + 4.0 * (strips - 1) as f64;
    let mut scene = Scene::new(
        "A stick of the plan".into(),
        stick.words.clone(),
        wide,
        height,
    );
    for strip in 0..strips {
        let top = EDGE + (high + 4.0) * strip as f64;
        let place = Place {
            scale,
            top,
            high,
            stick,
        };
        place.draw(&mut scene, strip);
    }
    Svg::drawn(svg(&scene, &SvgOptions::default()))
}

struct Place<'a> {
    scale: f64,
    top: f64,
    high: f64,
    stick: &'a Stick,
}

impl Place<'_> {
    fn x(&self, inches: f64) -> f64 {
        EDGE + inches * self.scale
    }

    fn box_of(&self, from: f64, to: f64) -> Vec<At> {
        let (l, r) = (self.x(from), self.x(to));
        let low = self.top + self.high;
        vec![at(l, self.top), at(r, self.top), at(r, low), at(l, low)]
    }

    fn draw(&self, scene: &mut Scene, strip: usize) {
        let whole = self.box_of(0.0, self.stick.length);
        scene.part("stick", Ink::Board, Shape::Area(whole.clone()));
        for (from, to) in &self.stick.bad {
            let lines = self.hatch(*from, *to);
            scene.part("bad", Ink::Hatch, Shape::Lines(lines));
            scene.draw(Ink::Accent, Shape::Path(closed(self.box_of(*from, *to))));
        }
        for cut in self.stick.cuts.iter().filter(|c| c.strip == strip) {
            let area = self.piece(cut);
            scene.part("piece", Ink::Wood, Shape::Area(area.clone()));
            scene.draw(Ink::Line, Shape::Path(closed(area)));
            let number = cut.nth.to_string();
            if (cut.to - cut.from) * self.scale < 10.0 * number.len() as f64 {
                continue;
            }
            let middle = at(
                self.x((cut.from + cut.to) / 2.0),
                self.top + self.high / 2.0 + 6.0,
            );
            scene.text(
                Ink::Strong,
                middle,
                17.0,
                crate::trim::draw::Anchor::Middle,
                number,
            );
        }
        scene.draw(Ink::Outline, Shape::Path(closed(whole)));
    }

    fn hatch(&self, from: f64, to: f64) -> Vec<(At, At)> {
        let (l, r) = (self.x(from), self.x(to));
        let steps = (((r - l) / 6.0).ceil() as usize).clamp(1, 60);
        (0..steps)
            .map(|i| {
                let x = l + (r - l) * i as f64 / steps as f64;
                let y = self.top + self.high;
                (at(x, y), at((x + 8.0).min(r), self.top))
            })
            .collect()
    }

    /// The outline of a piece, seen so that its ends slope most: along the
    /// height of the section, or along its depth.
    fn piece(&self, cut: &Drawn) -> Vec<At> {
        let [lu, lv, ru, rv] = cut.ends;
        let (axis, left, right) = if lu.abs() + ru.abs() > lv.abs() + rv.abs() {
            (0, lu, ru)
        } else {
            (1, lv, rv)
        };
        let corners = || {
            self.stick
                .section
                .iter()
                .filter_map(|c| c.get(axis))
                .copied()
        };
        let low = corners().fold(f64::INFINITY, f64::min);
        let high = corners().fold(f64::NEG_INFINITY, f64::max);
        let reach = if high > low { high - low } else { 0.0 };
        // At the top edge the axis stands at its high end.
        let slope = |s: f64| (s * reach).clamp(-(cut.to - cut.from), cut.to - cut.from);
        let (l, r) = (slope(left), slope(right));
        let (x0, x1) = (cut.from, cut.to);
        let (lt, lb) = (x0 + l.max(0.0), x0 + (-l).max(0.0));
        let (rt, rb) = (x1 - (-r).max(0.0), x1 - r.max(0.0));
        let bottom = self.top + self.high;
        vec![
            at(self.x(lt), self.top),
            at(self.x(rt), self.top),
            at(self.x(rb), bottom),
            at(self.x(lb), bottom),
        ]
    }
}

fn closed(mut area: Vec<At>) -> Vec<At> {
    area.extend(area.first().copied());
    area
}
