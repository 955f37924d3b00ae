//! A flat board's outline from its lower left corner, with numbered corners.

use crate::trim::sheet::Board;

use super::dims::{Dim, Tiers, below, beside};
use super::scene::{Anchor, At, Ink, Reach, Scene, Shape, View, at};
use super::{Look, SMALL, short};

/// Radius of a corner's number.
const RING: f64 = 12.0;

/// The outline of `board` with its corners numbered from 1 at the lower left
/// in the order of the outline, and the width and the heights of its left
/// side and its highest corner.
#[must_use]
pub fn board(board: &Board, look: &Look) -> Scene {
    let name = short(&board.label, 40);
    let title = format!("Outline of {name}");
    let mut reach = Reach::default();
    board
        .outline
        .iter()
        .for_each(|(x, y)| reach.take(at(*x, *y)));
    let Some((corner, width, height)) = reach.found().filter(|f| f.1 + f.2 > 0.0) else {
        let mut scene = Scene::new(title, "No outline.".to_owned(), look.width(), 40.0);
        let place = at(look.width() / 2.0, 26.0);
        scene.text(Ink::Quiet, place, SMALL, Anchor::Middle, "no outline");
        return scene;
    };
    let desc = format!(
        "{name}: {} corners, {} wide, {} high, {} thick. Coordinates from the lower left corner.",
        board.outline.len(),
        (look.length)(width),
        (look.length)(height),
        (look.length)(board.thickness),
    );
    let mut scene = Scene::new(title, desc, 0.0, 0.0);
    let view = View {
        name: "board",
        scale: ((look.width() - 150.0) / width.max(1e-6))
            .min(look.width() * 0.7 / height.max(1e-6)),
        origin: at(0.0, 0.0),
    };
    scene.open(view);
    let outline: Vec<At> = board.outline.iter().map(|(x, y)| view.at(*x, *y)).collect();
    scene.part("outline", Ink::Wood, Shape::Area(outline.clone()));
    let mut closed = outline.clone();
    closed.extend(closed.first().copied());
    scene.draw(Ink::Outline, Shape::Path(closed));
    origin(&mut scene, &view);
    numbers(&mut scene, &outline);
    measure(&mut scene, board, &view, (corner, width, height), look);
    scene.close();
    scene.fit(look.width(), 10.0);
    scene
}

/// The corner that coordinates are measured from.
fn origin(scene: &mut Scene, view: &View) {
    scene.part("origin", Ink::Spot, Shape::Circle(view.at(0.0, 0.0), 4.5));
}

/// Numbers outside the corners, on the line that halves each corner.
fn numbers(scene: &mut Scene, outline: &[At]) {
    let count = outline.len();
    let mut placed: Vec<At> = Vec::with_capacity(count);
    for (i, here) in outline.iter().enumerate() {
        let (Some(before), Some(after)) = (
            outline.get((i + count - 1) % count),
            outline.get((i + 1) % count),
        ) else {
            continue;
        };
        // Sum of the two outward normals; anticlockwise on a sheet whose y
        // is down has the outside on the right of travel seen on the sheet.
        let normal = |a: At, b: At| {
            let run = a.distance(b).max(1e-9);
            (-(b.y - a.y) / run, (b.x - a.x) / run)
        };
        let (n1, n2) = (normal(*before, *here), normal(*here, *after));
        let (x, y) = (n1.0 + n2.0, n1.1 + n2.1);
        let size = x.hypot(y).max(1e-9);
        let out = |by: f64| here.moved(x / size * by, y / size * by);
        // Corners close together: the next number moves out on a leader.
        let Some((away, place)) = (0..6)
            .map(|step| 18.0 + 26.0 * f64::from(step))
            .map(|away| (away, out(away)))
            .find(|(_, p)| placed.iter().all(|q| p.distance(*q) > 2.0 * RING))
        else {
            continue;
        };
        placed.push(place);
        if away > 18.0 {
            scene.draw(Ink::Hair, Shape::Line(*here, out(away - RING)));
        }
        scene.draw(Ink::Paper, Shape::Circle(place, RING));
        let words = (i + 1).to_string();
        let base = place.moved(0.0, 5.5);
        scene.text(Ink::Text, base, SMALL, Anchor::Middle, words);
    }
}

fn measure(
    scene: &mut Scene,
    board: &Board,
    view: &View,
    (corner, width, height): (At, f64, f64),
    look: &Look,
) {
    let across = Dim {
        part: "width",
        value: width,
        from: view.at(corner.x, corner.y),
        to: view.at(corner.x + width, corner.y),
    };
    let first = view.at(0.0, corner.y).y + 60.0;
    below(scene, &mut Tiers::default(), first, &across, look.length);
    let mut tiers = Tiers::default();
    let first = view.at(corner.x, 0.0).x - 46.0;
    let left = board.outline.iter().filter(|p| p.0 - corner.x < 1e-6);
    let side = left.map(|p| p.1).fold(corner.y, f64::max);
    let mut heights = vec![corner.y + height];
    if side < corner.y + height - 1e-6 && side > corner.y + 1e-6 {
        heights.insert(0, side);
    }
    for y in heights {
        let up = Dim {
            part: "height",
            value: y - corner.y,
            from: view.at(corner.x, corner.y).moved(-20.0, 0.0),
            to: view.at(corner.x, y).moved(-20.0, 0.0),
        };
        beside(scene, &mut tiers, first, &up, look.length);
    }
}
