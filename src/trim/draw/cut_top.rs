//! The saw seen from above: fence, bed, blade, stock, tape.

use crate::trim::words::{degrees_text, shows_as_zero};

use super::cut::{FarEnd, Frame};
use super::cut_block::against_block;
use super::scene::{Anchor, At, Ink, Scene, Shape, View, at, text_width};
use super::shapes::{arrow, break_line, clipped, hatch, open_outline};
use super::{SMALL, short};

/// The bed from side to side.
pub(super) const LEFT: f64 = 8.0;
pub(super) const RIGHT: f64 = 352.0;
/// Where the stock is broken off.
pub(super) const INSET: f64 = 12.0;
pub(super) const FENCE: f64 = 22.0;
pub(super) const BED: f64 = 168.0;
/// Room above the fence for the tape.
const TAPE: f64 = 30.0;

/// The view's places.
pub(super) struct Place {
    pub view: View,
    /// Upper edge of the fence.
    pub fence_top: f64,
    /// The fence's face.
    pub face: f64,
    /// The stock's front.
    pub front: f64,
    /// Lower edge of the bed.
    pub bed_end: f64,
}

impl Place {
    /// Places of the saw on the sheet, moved by `dx` inches along the fence.
    fn on_sheet(&self, points: &[(f64, f64)], dx: f64) -> Vec<At> {
        let place = |(x, y): &(f64, f64)| self.view.at(x + dx, *y);
        points.iter().map(place).collect()
    }

    /// The stock's far corners beyond `edge` on the side `side`.
    fn run_on(&self, edge: f64, side: f64) -> [At; 2] {
        let beyond = edge + side * 1e4;
        [at(beyond, self.front), at(beyond, self.face)]
    }
}

/// Draws the saw from above, beginning at height `top`; returns where it
/// ends.
pub(super) fn top_view(scene: &mut Scene, frame: &Frame<'_>, top: f64) -> f64 {
    if let Some(block) = frame.cut.setting.block {
        return against_block(scene, frame, block, top);
    }
    let place = place(frame, top);
    scene.open(place.view);
    saw(scene, frame, &place);
    let edge = stock(scene, frame, &place);
    blade(scene, frame, &place);
    tape(scene, frame, &place);
    name(scene, frame, &place, edge);
    scene.close();
    operator(scene, place.bed_end);
    place.bed_end + 22.0
}

fn place(frame: &Frame<'_>, top: f64) -> Place {
    let held = frame.held;
    let near = &held.near;
    // The mark, at 0, too: under a leaning blade it may lie far from the end seen.
    let span = |f: fn(f64, f64) -> f64| near.iter().map(|p| p.0).fold(0.0, f);
    let (low, high) = (span(f64::min), span(f64::max));
    // Small stock is not blown up past 56 units an inch: a carpenter should
    // see a small piece small.
    let scale = 56.0_f64
        .min(100.0 / held.depth.max(1e-3))
        .min(170.0 / (high - low).max(1e-3));
    let middle = f64::midpoint(low, high);
    let fence_top = top + TAPE;
    let face = fence_top + FENCE;
    let centre = f64::midpoint(LEFT, RIGHT);
    Place {
        view: View {
            name: "saw",
            scale,
            origin: at(centre - scale * middle, face),
        },
        fence_top,
        face,
        front: face + scale * held.depth,
        bed_end: face + BED,
    }
}

pub(super) fn rectangle(left: f64, top: f64, right: f64, bottom: f64) -> Vec<At> {
    vec![
        at(left, top),
        at(right, top),
        at(right, bottom),
        at(left, bottom),
    ]
}

fn saw(scene: &mut Scene, frame: &Frame<'_>, place: &Place) {
    let bed = rectangle(LEFT, place.face, RIGHT, place.bed_end);
    scene.part("bed", Ink::Bed, Shape::Area(bed));
    let fence = rectangle(LEFT, place.fence_top, RIGHT, place.face);
    scene.part("fence", Ink::Fence, Shape::Area(fence));
    let face = (at(LEFT, place.face), at(RIGHT, place.face));
    scene.draw(Ink::Line, Shape::Line(face.0, face.1));
    let baseline = place.fence_top + 16.5;
    let (x, anchor) = if frame.held.kept > 0.0 {
        (LEFT + 8.0, Anchor::Start)
    } else {
        (RIGHT - 8.0, Anchor::End)
    };
    scene.text(Ink::Text, at(x, baseline), SMALL, anchor, "fence");
}

/// Waste, then what is kept, with its arrises. Returns how far along the
/// fence the piece itself is seen: its other end, or the edge of the sheet.
fn stock(scene: &mut Scene, frame: &Frame<'_>, place: &Place) -> f64 {
    let held = frame.held;
    let near = &held.near;
    let (kept_edge, waste_edge) = if held.kept > 0.0 {
        (RIGHT - INSET, LEFT + INSET)
    } else {
        (LEFT + INSET, RIGHT - INSET)
    };
    waste(scene, frame, place, near, waste_edge);
    let far = place.on_sheet(&held.seen_end(&held.far, held.kept), 0.0);
    let mut area = place.on_sheet(near, 0.0);
    match frame.far {
        FarEnd::Cut => area.extend(far.iter().rev()),
        FarEnd::Stick => area.extend(place.run_on(kept_edge, held.kept)),
    }
    let area = clipped(&area, kept_edge, held.kept);
    let outline = open_outline(&area, kept_edge);
    let runs_on = outline.first() != outline.last();
    scene.part("kept", Ink::Kept, Shape::Area(area));
    end_face(scene, frame, place, near);
    arrises(scene, frame, place, kept_edge);
    scene.part("kept-outline", Ink::Outline, Shape::Path(outline));
    if runs_on {
        let line = break_line(kept_edge, place.face, place.front);
        scene.draw(Ink::Hair, Shape::Path(line));
    }
    let short_of = |p: &At| (kept_edge - p.x) * held.kept;
    let room = far
        .iter()
        .map(short_of)
        .fold(f64::NEG_INFINITY, f64::max)
        .max(0.0);
    if frame.far == FarEnd::Stick && far.iter().all(|p| short_of(p) > 4.0) {
        // Where the piece will end, so that a short one is seen to be short.
        scene.part("next", Ink::Dash, Shape::Path(far));
    }
    kept_edge - room * held.kept
}

/// What falls off, one kerf away.
fn waste(scene: &mut Scene, frame: &Frame<'_>, place: &Place, near: &[(f64, f64)], edge: f64) {
    let held = frame.held;
    let kerf = frame.look.kerf * held.cut.stretch();
    let mut area = place.on_sheet(near, -held.kept * kerf);
    area.extend(place.run_on(edge, -held.kept));
    let area = clipped(&area, edge, -held.kept);
    let lines = hatch(&area, 9.0);
    let outline = open_outline(&area, edge);
    scene.part("waste", Ink::Bed, Shape::Area(area));
    scene.draw(Ink::Hatch, Shape::Lines(lines));
    scene.draw(Ink::Hair, Shape::Path(outline));
    let line = break_line(edge, place.face, place.front);
    scene.draw(Ink::Hair, Shape::Path(line));
    let start = near.iter().map(|p| place.view.at(p.0, 0.0).x);
    let start = start
        .map(|x| (x - edge) * held.kept)
        .fold(f64::INFINITY, f64::min);
    if start > 96.0 && place.front - place.face > 26.0 {
        let middle = at(
            edge + held.kept * 50.0,
            f64::midpoint(place.face, place.front) + 5.5,
        );
        scene.text(Ink::Figure, middle, SMALL, Anchor::Middle, "waste");
    }
}

/// The cut end itself, where it can be seen from above.
fn end_face(scene: &mut Scene, frame: &Frame<'_>, place: &Place, near: &[(f64, f64)]) {
    if !frame.leans || frame.held.cut.by_z * frame.held.kept < 0.0 {
        return;
    }
    let view = place.view;
    let top = frame.held.top_edge(&frame.held.cut);
    let mut face: Vec<At> = near.iter().map(|(x, y)| view.at(*x, *y)).collect();
    face.extend(top.iter().rev().map(|(x, y)| view.at(*x, *y)));
    scene.part("end-face", Ink::EndGrain, Shape::Area(face));
    let edge = top.iter().map(|(x, y)| view.at(*x, *y)).collect();
    scene.draw(Ink::Line, Shape::Path(edge));
}

/// The section's visible edges along the kept part.
fn arrises(scene: &mut Scene, frame: &Frame<'_>, place: &Place, edge: f64) {
    let held = frame.held;
    for &spot in &held.arrises {
        let from = place.view.at(held.cut.x(spot), spot.y);
        let mut to = at(edge, from.y);
        if frame.far == FarEnd::Cut {
            let far = place.view.at(held.far.x(spot), spot.y);
            if (far.x - edge) * held.kept < 0.0 {
                to = far;
            }
        }
        scene.part("arris", Ink::Hair, Shape::Line(from, to));
    }
}

/// Blade, kerf, the square line and the arc of the swing.
fn blade(scene: &mut Scene, frame: &Frame<'_>, place: &Place) {
    let held = frame.held;
    let view = place.view;
    let on = |sheet_y: f64| {
        let y = (view.origin.y - sheet_y) / view.scale;
        view.at(held.cut.on_bed(y), y)
    };
    let pivot = on(place.face);
    let lean = held.cut.by_y;
    // The line stops at the bed's end or its side, whichever comes first.
    let side = if lean < 0.0 {
        RIGHT - pivot.x
    } else {
        pivot.x - LEFT
    };
    let drop = (place.bed_end - 6.0 - place.face).min(side / lean.abs().max(1e-6));
    let (top, end) = (on(place.fence_top - 4.0), on(place.face + drop));
    let kerf = -held.kept * frame.look.kerf * held.cut.stretch() * view.scale;
    let band = vec![top, end, end.moved(kerf, 0.0), top.moved(kerf, 0.0)];
    scene.part("kerf", Ink::Kerf, Shape::Area(band));
    if !shows_as_zero(frame.cut.setting.swing) {
        let foot = at(pivot.x, place.bed_end - 6.0);
        scene.part("square", Ink::Dash, Shape::Line(pivot, foot));
        swing_arc(scene, frame, pivot, end);
        swing_text(scene, frame, place, pivot, end);
    }
    scene.part("blade", Ink::Accent, Shape::Line(top, end));
}

/// The arc from square to the blade, and its arrow.
pub(super) fn swing_arc(scene: &mut Scene, frame: &Frame<'_>, pivot: At, end: At) {
    let swing = frame.cut.setting.swing;
    let radius = (pivot.distance(end) - 10.0).clamp(20.0, BED - 34.0);
    let square = std::f64::consts::FRAC_PI_2;
    let blade = (end.y - pivot.y).atan2(end.x - pivot.x);
    scene.mark(
        Ink::AccentHair,
        Some("swing"),
        Some(swing.to_degrees()),
        Shape::Arc(pivot, radius, square, blade),
    );
    let tip = pivot.moved(radius * blade.cos(), radius * blade.sin());
    let side = if blade < square { 1.0 } else { -1.0 };
    let along = blade - side * (square - (9.0 / radius).min(0.4) * 0.5);
    if radius * (blade - square).abs() > 12.0 {
        scene.draw(Ink::AccentHair, Shape::Path(arrow(tip, along, 9.0)));
    }
}

/// The angle beside the blade.
fn swing_text(scene: &mut Scene, frame: &Frame<'_>, place: &Place, pivot: At, end: At) {
    let swing = frame.cut.setting.swing;
    let side = if end.x > pivot.x { 1.0 } else { -1.0 };
    let text = degrees_text(swing);
    let width = text_width(&text, SMALL) + 10.0;
    let line = place.bed_end - 10.0;
    let inner = (end.x - pivot.x).abs() > width + 14.0;
    let outer = end.x + side * width;
    let (x, anchor) = if !inner && (LEFT..RIGHT).contains(&outer) {
        (end.x + side * 8.0, side)
    } else if inner {
        (pivot.x + side * 8.0, side)
    } else {
        (pivot.x - side * 8.0, -side)
    };
    let anchor = if anchor > 0.0 {
        Anchor::Start
    } else {
        Anchor::End
    };
    scene.text(Ink::AccentText, at(x, line), SMALL, anchor, text);
}

/// The mark, the hook on it, and the way the tape runs.
fn tape(scene: &mut Scene, frame: &Frame<'_>, place: &Place) {
    let held = frame.held;
    let mark = place.view.at(0.0, held.hook.y);
    let above = -held.hook.y <= held.depth * 0.5;
    let line = if above {
        place.fence_top - 9.0
    } else {
        place.front + 30.0
    };
    let side = held.kept;
    let end = if side > 0.0 { RIGHT - 6.0 } else { LEFT + 6.0 };
    scene.draw(Ink::AccentHair, Shape::Line(mark, at(mark.x, line)));
    // The hook: a short foot that turns back over the end.
    let hook = vec![
        at(mark.x - side * 5.0, line + 6.0),
        at(mark.x - side * 5.0, line),
        at(end, line),
    ];
    scene.part("tape", Ink::AccentHair, Shape::Path(hook));
    let heading = if side > 0.0 {
        0.0
    } else {
        std::f64::consts::PI
    };
    scene.draw(
        Ink::AccentHair,
        Shape::Path(arrow(at(end, line), heading, 9.0)),
    );
    scene.part("hook", Ink::Spot, Shape::Circle(mark, 4.5));
    let words = format!("tape {}", (frame.look.length)(frame.piece.tape));
    let anchor = if side > 0.0 {
        Anchor::End
    } else {
        Anchor::Start
    };
    let text = at(end - side * 2.0, line - 6.0);
    scene.text(Ink::Text, text, SMALL, anchor, words);
}

/// The piece's label, on it where it fits, else beside it.
fn name(scene: &mut Scene, frame: &Frame<'_>, place: &Place, edge: f64) {
    let held = frame.held;
    let label = short(&frame.piece.label, 14);
    let width = text_width(&label, 17.0) + 10.0;
    // The clear stretch at the label's height.
    let (from, to) = widest_band(frame);
    let middle = f64::midpoint(from, to);
    let reach = |y: f64| {
        let near = held.seen_end(&held.cut, held.kept);
        let x = near
            .iter()
            .map(|p| p.0 * held.kept)
            .fold(f64::NEG_INFINITY, f64::max);
        place.view.at(x * held.kept, y)
    };
    let start = reach(middle);
    let room = (edge - start.x) * held.kept;
    let tall = (from - to) * place.view.scale;
    if room > width && tall > 20.0 {
        let x = f64::midpoint(start.x, edge);
        scene.part(
            "label",
            Ink::Strong,
            label_text(at(x, start.y + 6.0), Anchor::Middle, label),
        );
        return;
    }
    let below_tape = -held.hook.y > held.depth * 0.5;
    let y = place.front + if below_tape { 54.0 } else { 24.0 };
    let (x, anchor) = if held.kept > 0.0 {
        (RIGHT - 8.0, Anchor::End)
    } else {
        (LEFT + 8.0, Anchor::Start)
    };
    scene.part("label", Ink::Strong, label_text(at(x, y), anchor, label));
}

fn label_text(place: At, anchor: Anchor, label: String) -> Shape {
    Shape::Text(super::scene::Text {
        at: place,
        size: 17.0,
        anchor,
        turn: 0.0,
        content: label.into(),
    })
}

/// The widest stretch of depth between arrises: fence side, front side.
fn widest_band(frame: &Frame<'_>) -> (f64, f64) {
    let mut depths: Vec<f64> = frame.held.arrises.iter().map(|s| s.y).collect();
    depths.extend([0.0, -frame.held.depth]);
    depths.sort_by(|a, b| b.total_cmp(a));
    let bands = depths.windows(2).filter_map(|w| match w {
        [a, b] => Some((*a, *b)),
        _ => None,
    });
    bands
        .max_by(|a, b| (a.0 - a.1).total_cmp(&(b.0 - b.1)))
        .unwrap_or((0.0, -frame.held.depth))
}

/// Where the carpenter stands.
pub(super) fn operator(scene: &mut Scene, bed_end: f64) {
    let centre = f64::midpoint(LEFT, RIGHT);
    let y = bed_end + 17.0;
    let foot = at(centre - 22.0, y);
    let head = vec![
        foot.moved(-6.0, 0.0),
        foot.moved(0.0, -11.0),
        foot.moved(6.0, 0.0),
    ];
    scene.part("you", Ink::Dot, Shape::Area(head));
    let words = at(centre - 10.0, y);
    scene.text(Ink::Quiet, words, SMALL, Anchor::Start, "you");
}
