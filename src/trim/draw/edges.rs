//! Where each thing that can be measured lies on the head.

use crate::trim::built::{Ask, Is};
use crate::trim::sheet::Sheet;
use crate::trim::space::Point;

use super::scene::{Anchor, At, Ink, Scene, Shape, View, at};
use super::solid::draw_front;
use super::{Look, SMALL};

/// Half the size of a number's spot, units.
const SPOT: f64 = 14.0;
const MARGIN: f64 = 30.0;
/// How a place out of the wall is drawn: down and left by this share of it.
const OBLIQUE: (f64, f64) = (-0.55, -0.45);

fn seen(p: Point) -> (f64, f64) {
    (p.x + OBLIQUE.0 * p.z, p.y + OBLIQUE.1 * p.z)
}

/// The head from the front, each of `asks` with its number (from 1, in their
/// order): edges as heavy lines, corners as spots. Runs that turn out of the
/// wall are drawn aslant.
#[must_use]
pub fn edges(sheet: &Sheet, asks: &[Ask], look: &Look) -> Scene {
    let title = "What is measured where".to_owned();
    let names: Vec<String> = asks
        .iter()
        .take(60)
        .enumerate()
        .map(|(nth, ask)| format!("{} {}", nth + 1, ask.spot.label()))
        .collect();
    let desc = format!("{}.", names.join(", "));
    let mut scene = Scene::new(title, desc, look.width(), 0.0);
    let places: Vec<(f64, f64)> = asks.iter().flat_map(|ask| ask.at.map(seen)).collect();
    let reach = |pick: fn(&(f64, f64)) -> f64| {
        let all = places.iter().map(pick);
        (
            all.clone().fold(f64::INFINITY, f64::min),
            all.fold(f64::NEG_INFINITY, f64::max),
        )
    };
    let (x, y) = (reach(|p| p.0), reach(|p| p.1));
    if !(x.0.is_finite() && y.0.is_finite()) {
        return scene;
    }
    let scale = (look.width() - 2.0 * MARGIN) / (x.1 - x.0).max(1.0);
    let view = View {
        name: "front",
        scale,
        origin: at(MARGIN - x.0 * scale, MARGIN + y.1 * scale),
    };
    scene.open(view);
    if asks
        .iter()
        .all(|ask| ask.at.iter().all(|p| p.z.abs() < 1e-9))
    {
        draw_front(&mut scene, sheet, &view);
    }
    for ask in asks.iter().filter(|ask| ask.spot.is() == Is::Length) {
        let [a, b] = ask.at.map(|p| {
            let (x, y) = seen(p);
            view.at(x, y)
        });
        scene.mark(
            Ink::Accent,
            Some("edge"),
            Some(ask.drawn),
            Shape::Line(a, b),
        );
    }
    scene.close();
    let mut taken: Vec<At> = Vec::new();
    for (nth, ask) in asks.iter().enumerate() {
        number(&mut scene, &view, nth + 1, ask, &mut taken);
    }
    scene.fit(look.width(), 10.0);
    scene
}

/// The number beside its edge or corner, clear of those already written.
fn number(scene: &mut Scene, view: &View, nth: usize, ask: &Ask, taken: &mut Vec<At>) {
    let [a, b] = ask.at.map(|p| {
        let (x, y) = seen(p);
        view.at(x, y)
    });
    let corner = ask.spot.is() != Is::Length;
    let middle = a.towards(b, 0.5);
    // An edge's number stands under it, a corner's over it.
    let step = if corner { -26.0 } else { 26.0 };
    let mut place = middle.moved(0.0, step);
    let mut tries = 0;
    while tries < 12
        && taken
            .iter()
            .any(|other| other.distance(place) < 2.0 * SPOT + 4.0)
    {
        tries += 1;
        place = if tries % 3 == 0 {
            middle.moved(0.0, step * f64::from(1 + tries / 3))
        } else {
            place.moved(if tries % 3 == 1 { 32.0 } else { -64.0 }, 0.0)
        };
    }
    taken.push(place);
    scene.draw(Ink::AccentHair, Shape::Line(middle, place));
    if corner {
        scene.draw(Ink::Spot, Shape::Circle(middle, 4.0));
    }
    scene.draw(Ink::Paper, Shape::Circle(place, SPOT));
    scene.draw(Ink::AccentHair, Shape::Circle(place, SPOT));
    let text = place.moved(0.0, SMALL * 0.36);
    scene.text(Ink::Strong, text, SMALL, Anchor::Middle, nth.to_string());
}
