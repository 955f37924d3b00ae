//! A moulding's section, square on, with its dimensions.

use crate::trim::sheet::{SectionPoint, SolvedRun};
use crate::trim::words::degrees_text;

use super::dims::{Dim, Tiers, below, beside};
use super::scene::{Anchor, At, Ink, Scene, Shape, View, at};
use super::shapes::hatch;
use super::{Look, SMALL, short};

/// The section of `run` as it sits on the wall: the wall at the left, up is
/// up, with its projection and height, and the spring angle if it is sprung.
/// The cross marks the reference edge (0, 0).
#[must_use]
pub fn section(run: &SolvedRun, look: &Look) -> Scene {
    let name = short(&run.name, 40);
    let title = format!("Section of {name}");
    let Some((low, high)) = reach(&run.section) else {
        let mut scene = Scene::new(title, "No section.".to_owned(), look.width(), 40.0);
        let place = at(look.width() / 2.0, 26.0);
        scene.text(Ink::Quiet, place, SMALL, Anchor::Middle, "no section");
        return scene;
    };
    let (out, tall) = (high.u - low.u, high.v - low.v);
    let desc = format!(
        "The section of {name}: {} out from the wall, {} high.",
        (look.length)(out),
        (look.length)(tall)
    );
    let mut scene = Scene::new(title, desc, 0.0, 0.0);
    let view = View {
        name: "section",
        scale: ((look.width() - 130.0) / out.max(1e-6))
            .min(220.0 / tall.max(1e-6))
            .min(96.0),
        origin: at(0.0, 0.0),
    };
    scene.open(view);
    let outline: Vec<At> = run.section.iter().map(|p| view.at(p.u, p.v)).collect();
    let lines = hatch(&outline, 8.0);
    scene.part("section", Ink::Wood, Shape::Area(outline.clone()));
    scene.draw(Ink::Hatch, Shape::Lines(lines));
    let mut closed = outline;
    closed.extend(closed.first().copied());
    scene.draw(Ink::Outline, Shape::Path(closed));
    reference(&mut scene, &view);
    if let Some(spring) = run.spring {
        spring_angle(&mut scene, &view, low, spring);
    }
    measure(&mut scene, &view, (low, high), look);
    scene.close();
    scene.fit(look.width(), 10.0);
    scene
}

fn measure(scene: &mut Scene, view: &View, (low, high): (SectionPoint, SectionPoint), look: &Look) {
    let corner = |u: f64, v: f64| view.at(u, v);
    let across = Dim {
        part: "projection",
        value: high.u - low.u,
        from: corner(low.u, low.v),
        to: corner(high.u, low.v),
    };
    let first = corner(low.u, low.v).y + 32.0;
    below(scene, &mut Tiers::default(), first, &across, look.length);
    let up = Dim {
        part: "height",
        value: high.v - low.v,
        from: corner(low.u, low.v),
        to: corner(low.u, high.v),
    };
    let first = corner(low.u, low.v).x - 24.0;
    beside(scene, &mut Tiers::default(), first, &up, look.length);
}

/// Lowest and highest (u, v); `None` if there is no area to show.
fn reach(section: &[SectionPoint]) -> Option<(SectionPoint, SectionPoint)> {
    let mut low = *section.first()?;
    let mut high = low;
    for p in section {
        low = SectionPoint {
            u: low.u.min(p.u),
            v: low.v.min(p.v),
        };
        high = SectionPoint {
            u: high.u.max(p.u),
            v: high.v.max(p.v),
        };
    }
    let size = (high.u - low.u) + (high.v - low.v);
    (size.is_finite() && size > 0.0).then_some((low, high))
}

/// A small cross in a ring at (0, 0).
pub(super) fn reference(scene: &mut Scene, view: &View) {
    let o = view.at(0.0, 0.0);
    let cross = vec![
        (o.moved(-8.0, 0.0), o.moved(8.0, 0.0)),
        (o.moved(0.0, -8.0), o.moved(0.0, 8.0)),
    ];
    scene.part("reference", Ink::Line, Shape::Lines(cross));
    scene.draw(Ink::Line, Shape::Circle(o, 4.0));
}

/// The angle between the flat back and the wall, at the lower end.
pub(super) fn spring_angle(scene: &mut Scene, view: &View, low: SectionPoint, spring: f64) {
    let foot = view.at(low.u, low.v);
    let up = -std::f64::consts::FRAC_PI_2;
    scene.draw(Ink::Dash, Shape::Line(foot, foot.moved(0.0, -86.0)));
    scene.draw(Ink::Hair, Shape::Arc(foot, 70.0, up, up + spring));
    let middle = up + spring * 0.5;
    let place = foot.moved(98.0 * middle.cos(), 98.0 * middle.sin());
    let words = degrees_text(spring);
    scene.mark(
        Ink::Figure,
        Some("spring"),
        Some(spring.to_degrees()),
        Shape::Text(super::Text {
            at: place,
            size: SMALL,
            anchor: Anchor::Middle,
            turn: 0.0,
            content: words.into(),
        }),
    );
}
