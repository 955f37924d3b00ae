//! The two small views of a cut picture, and the words of the hold.

use crate::trim::sheet::Block;
use crate::trim::words::{degrees_text, lay_words};

use super::SMALL;
use super::cut::Frame;
use super::scene::{Anchor, At, Ink, Scene, Shape, View, at, text_width};
use super::shapes::{arrow, hatch};

const BAR: f64 = 9.0;

/// The stock's end as it is held, seen from the operator's right: operator
/// left, fence right. Against a block, as the operator sees it: the block on
/// its own side. Returns where the view ends.
pub(super) fn end_view(
    scene: &mut Scene,
    frame: &Frame<'_>,
    corner: At,
    (width, height): (f64, f64),
) -> f64 {
    let held = frame.held;
    let scale = 56.0_f64
        .min((height - BAR - 6.0) / held.height.max(1e-3))
        .min((width - BAR - 46.0) / held.depth.max(1e-3));
    let (right, bottom) = (corner.x + width, corner.y + height);
    let block = frame.cut.setting.block;
    // Which way what the stock leans on lies, and its face and back there.
    let (side, face, back) = match block {
        Some(Block::Left) => (-1.0, corner.x + BAR, corner.x),
        _ => (1.0, right - BAR, right),
    };
    let view = View {
        name: "end",
        scale,
        origin: at(face, bottom - BAR),
    };
    scene.open(view);
    let fence = bar(face.min(back), corner.y, face.max(back), bottom);
    scene.part("fence", Ink::Fence, Shape::Area(fence));
    let open = if side > 0.0 { corner.x } else { right };
    let bed = bar(open.min(face), bottom - BAR, open.max(face), bottom);
    scene.part("bed", Ink::Fence, Shape::Area(bed));
    let angle = vec![
        at(open, bottom - BAR),
        at(face, bottom - BAR),
        at(face, corner.y),
    ];
    scene.draw(Ink::Line, Shape::Path(angle));
    let section = held.section.iter();
    let section = section.map(|s| view.at(side * s.y, s.z)).collect();
    scene.part("section", Ink::Wood, Shape::Area(section));
    let hook = view.at(side * held.hook.y, held.hook.z);
    scene.part("hook", Ink::Spot, Shape::Circle(hook, 4.5));
    scene.close();
    if block.is_none() {
        let y = bottom - BAR - 6.0;
        scene.text(Ink::Quiet, at(corner.x, y), SMALL, Anchor::Start, "you");
    }
    bottom
}

fn bar(left: f64, top: f64, right: f64, bottom: f64) -> Vec<At> {
    vec![
        at(left, top),
        at(right, top),
        at(right, bottom),
        at(left, bottom),
    ]
}

/// The blade as the operator sees it, looking along it: its true tilt, the
/// stock as a plain block. Returns where the view ends.
pub(super) fn blade_view(
    scene: &mut Scene,
    frame: &Frame<'_>,
    corner: At,
    (width, height): (f64, f64),
) -> f64 {
    let tilt = frame.cut.setting.tilt;
    let bottom = corner.y + height;
    let bed = bottom - BAR;
    let view = View {
        name: "blade",
        scale: 1.0,
        origin: at(corner.x + width / 2.0, bed),
    };
    let pivot = view.origin;
    // The top leans to the left for a positive tilt.
    let lean = |up: f64| pivot.moved(-up * tilt.tan(), -up);
    let (thick, tall) = (26.0, height - BAR - 8.0);
    let tall = tall.min((width / 2.0 - 4.0) / tilt.tan().abs().max(1e-6));
    scene.open(view);
    let base = bar(corner.x, bed, corner.x + width, bottom);
    scene.part("bed", Ink::Fence, Shape::Area(base));
    let kept = frame.kept_side();
    for side in [-kept, kept] {
        let end = pivot.moved(side * (width / 2.0 - 6.0), 0.0);
        let block = vec![pivot, lean(thick), end.moved(0.0, -thick), end];
        if side == kept {
            scene.part("kept", Ink::Wood, Shape::Area(block));
        } else {
            let lines = hatch(&block, 9.0);
            scene.part("waste", Ink::Bed, Shape::Area(block));
            scene.draw(Ink::Hatch, Shape::Lines(lines));
        }
    }
    let line = Shape::Line(at(corner.x, bed), at(corner.x + width, bed));
    scene.draw(Ink::Line, line);
    scene.draw(Ink::Dash, Shape::Line(pivot, pivot.moved(0.0, -tall)));
    tilt_arc(scene, pivot, tilt, tall);
    scene.part("blade", Ink::Accent, Shape::Line(pivot, lean(tall)));
    scene.close();
    bottom
}

fn tilt_arc(scene: &mut Scene, pivot: At, tilt: f64, tall: f64) {
    let upright = -std::f64::consts::FRAC_PI_2;
    let radius = tall - 12.0;
    let to = upright - tilt;
    scene.mark(
        Ink::AccentHair,
        Some("tilt"),
        Some(tilt.to_degrees()),
        Shape::Arc(pivot, radius, upright, to),
    );
    let side = if tilt > 0.0 { -1.0 } else { 1.0 };
    let tip = pivot.moved(radius * to.cos(), radius * to.sin());
    if radius * tilt.abs() > 12.0 {
        let along = to + side * (std::f64::consts::FRAC_PI_2 - 0.1);
        scene.draw(Ink::AccentHair, Shape::Path(arrow(tip, along, 8.0)));
    }
    // On the other side of the upright there is always room.
    let place = pivot.moved(-side * 8.0, 12.0 - tall);
    let anchor = if side < 0.0 {
        Anchor::Start
    } else {
        Anchor::End
    };
    scene.text(Ink::AccentText, place, SMALL, anchor, degrees_text(tilt));
}

/// The hold in words, broken to `width`; returns where they end.
pub(super) fn hold_lines(scene: &mut Scene, frame: &Frame<'_>, first: At, width: f64) -> f64 {
    let mut place = first;
    let mut line = String::new();
    for word in lay_words(&frame.cut.setting).split(' ') {
        let longer = text_width(&line, SMALL) + text_width(word, SMALL) + 0.4 * SMALL;
        if !line.is_empty() && longer > width {
            let full = std::mem::take(&mut line);
            scene.text(Ink::Text, place, SMALL, Anchor::Start, full);
            place = place.moved(0.0, 20.0);
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    scene.text(Ink::Text, place, SMALL, Anchor::Start, line);
    place.y + 6.0
}
