//! A moulding's section of true curves: with its dimensions, small for a
//! shelf, and as a rip leaves it.

use crate::trim::section::{ARRIS_TURN, Back, Extents, Outline, Section};
use crate::trim::sheet::SectionPoint;

use super::dims::{Dim, Tiers, below, beside};
use super::scene::{At, Ink, Scene, Shape, View, at};
use super::section::{reference, spring_angle};
use super::shapes::hatch;
use super::{Look, short};

/// What of a section is drawn beside its outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Units an inch; `None` takes what suits the width.
    pub scale: Option<f64>,
    /// The height and projection of each member too, where there is room.
    pub members: bool,
}

/// The scale that fills the width of `look` with a section this large.
fn fitting(e: &Extents, look: &Look) -> f64 {
    ((look.width() - 190.0) / e.width().max(1e-6))
        .min(300.0 / e.height().max(1e-6))
        .min(144.0)
}

/// The section as it sits on the wall, the wall at the left, with its height
/// and projection, those of each member, and the spring angle if it is
/// sprung. The cross marks (0, 0).
#[must_use]
pub fn moulding(name: &str, section: &Section, seen: Seen, look: &Look) -> Scene {
    let e = section.outline.extents();
    let name = short(name, 60);
    let desc = format!(
        "{name}: {} out, {} high.",
        (look.length)(e.width()),
        (look.length)(e.height())
    );
    let mut scene = Scene::new(name, desc, 0.0, 0.0);
    let view = view(seen.scale.unwrap_or_else(|| fitting(&e, look)));
    scene.open(view);
    wood(&mut scene, &view, &section.outline);
    reference(&mut scene, &view);
    if let Back::Sprung(spring) = section.back {
        let low = SectionPoint {
            u: e.u_low,
            v: e.v_low,
        };
        spring_angle(&mut scene, &view, low, spring.radians());
    }
    let mut levels: Vec<SectionPoint> = Vec::new();
    if seen.members && !look.compact() {
        levels = section
            .outline
            .arrises(ARRIS_TURN)
            .iter()
            .map(|a| a.at)
            .collect();
    }
    measure(&mut scene, &view, (&e, &e), &levels, look);
    scene.close();
    // What stands left of the wall and under it makes the drawing's size.
    scene.fit(0.0, 12.0);
    scene
}

fn view(scale: f64) -> View {
    View {
        name: "section",
        scale,
        origin: at(0.0, 0.0),
    }
}

fn ring(view: &View, outline: &Outline) -> Vec<At> {
    let corners = outline.drawn();
    corners.iter().map(|p| view.at(p.u, p.v)).collect()
}

fn wood(scene: &mut Scene, view: &View, outline: &Outline) {
    let area = ring(view, outline);
    let lines = hatch(&area, 8.0);
    scene.part("section", Ink::Wood, Shape::Area(area.clone()));
    scene.draw(Ink::Hatch, Shape::Lines(lines));
    edge(scene, area);
}

fn edge(scene: &mut Scene, mut area: Vec<At>) {
    area.extend(area.first().copied());
    scene.draw(Ink::Outline, Shape::Path(area));
}

/// The whole height and projection, and from level to level those between,
/// their lines clear of all that is drawn, `outer`.
fn measure(
    scene: &mut Scene,
    view: &View,
    (e, outer): (&Extents, &Extents),
    levels: &[SectionPoint],
    look: &Look,
) {
    let least = 1e-6 * (e.width() + e.height());
    let steps = |of: fn(&SectionPoint) -> f64, low: f64, high: f64| {
        let mut all: Vec<f64> = levels.iter().map(of).chain([low, high]).collect();
        all.sort_by(f64::total_cmp);
        all.dedup_by(|a, b| (*a - *b).abs() < least);
        all
    };
    let (mut down, mut left) = (Tiers::default(), Tiers::default());
    let (under, beside_of) = (
        view.at(0.0, outer.v_low).y + 32.0,
        view.at(outer.u_low, 0.0).x - 24.0,
    );
    let vs = steps(|p| p.v, e.v_low, e.v_high);
    let us = steps(|p| p.u, e.u_low, e.u_high);
    let up = |low: f64, high: f64, part: &'static str| Dim {
        part,
        value: high - low,
        from: view.at(e.u_low, low),
        to: view.at(e.u_low, high),
    };
    let across = |low: f64, high: f64, part: &'static str| Dim {
        part,
        value: high - low,
        from: view.at(low, e.v_low),
        to: view.at(high, e.v_low),
    };
    for pair in vs.windows(2).filter(|_| vs.len() > 2) {
        if let &[low, high] = pair {
            beside(
                scene,
                &mut left,
                beside_of,
                &up(low, high, "member-height"),
                look.length,
            );
        }
    }
    beside(
        scene,
        &mut left,
        beside_of,
        &up(e.v_low, e.v_high, "height"),
        look.length,
    );
    for pair in us.windows(2).filter(|_| us.len() > 2) {
        if let &[low, high] = pair {
            below(
                scene,
                &mut down,
                under,
                &across(low, high, "member-projection"),
                look.length,
            );
        }
    }
    below(
        scene,
        &mut down,
        under,
        &across(e.u_low, e.u_high, "projection"),
        look.length,
    );
}

/// The bare outline at `scale` units an inch, for a shelf of many at one
/// scale.
#[must_use]
pub fn small(name: &str, outline: &Outline, scale: f64) -> Scene {
    let name = short(name, 60);
    let mut scene = Scene::new(name.clone(), format!("The section of {name}."), 0.0, 0.0);
    let view = view(scale);
    scene.open(view);
    let area = ring(&view, outline);
    scene.part("section", Ink::Wood, Shape::Area(area.clone()));
    edge(&mut scene, area);
    scene.close();
    scene.fit(0.0, 3.0);
    scene
}

/// A section as a rip leaves it: what is kept as wood, what is lost hatched.
#[must_use]
pub fn ripped(name: &str, kept: &Outline, whole: &Outline, look: &Look) -> Scene {
    let name = short(name, 60);
    let e = kept.extents();
    let desc = format!(
        "What the rip keeps of {name}: {} out, {} high; the rest is lost.",
        (look.length)(e.width()),
        (look.length)(e.height())
    );
    let mut scene = Scene::new(format!("Rip of {name}"), desc, 0.0, 0.0);
    let view = view(fitting(&whole.extents(), look));
    scene.open(view);
    let all = ring(&view, whole);
    let lines = hatch(&all, 6.0);
    scene.part("waste", Ink::Hatch, Shape::Lines(lines));
    let mut round = all;
    round.extend(round.first().copied());
    scene.draw(Ink::Dash, Shape::Path(round));
    let area = ring(&view, kept);
    scene.part("kept", Ink::Wood, Shape::Area(area.clone()));
    edge(&mut scene, area);
    measure(&mut scene, &view, (&e, &whole.extents()), &[], look);
    scene.close();
    scene.fit(0.0, 12.0);
    scene
}
