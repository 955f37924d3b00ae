//! The saw seen from above with the stock square to the fence against a
//! block: what a saw does that does not swing far enough.
//!
//! The stock lies as it would along the fence, turned a quarter about the
//! upright, its kept part towards the operator. Shapes are made in the
//! stock's own places (x along it, y across it, as along a fence) and turned
//! as they are put on the sheet.

use crate::trim::sheet::Block;

use super::cut::{FarEnd, Frame};
use super::cut_top::{BED, FENCE, INSET, LEFT, RIGHT, operator, rectangle, swing_arc};
use super::scene::{Anchor, At, Ink, Scene, Shape, View, at};
use super::shapes::{arrow, break_line, clipped, hatch, open_outline};
use super::{SMALL, short};

/// From the block's face to its back, and from the bed's side to its back.
const BLOCK: f64 = 58.0;
const SIDE: f64 = 10.0;
/// Wood left standing between the cut and the fence.
const WASTE: f64 = 26.0;
/// What is shown of the kept part below the cut.
const KEPT: f64 = 100.0;

struct Place {
    view: View,
    /// +1 where the block stands at the right of the stock, −1 at the left.
    side: f64,
    fence_top: f64,
    face: f64,
    bed_end: f64,
    /// The lowest place of the cut on the sheet.
    lowest: f64,
    /// Where the stock is broken off.
    edge: f64,
}

impl Place {
    /// A place of the stock, `x` along it and `y` across it, moved by `dx`
    /// along it.
    fn on_sheet(&self, points: &[(f64, f64)], dx: f64) -> Vec<At> {
        let put = |(x, y): &(f64, f64)| self.put(x + dx, *y);
        points.iter().map(put).collect()
    }

    /// The quarter turn: what was right along the fence comes towards the
    /// operator when the block is at the right, and the other way round.
    fn put(&self, x: f64, y: f64) -> At {
        self.view.at(self.side * y, -self.side * x)
    }

    /// The stock's side away from the block.
    fn open_side(&self, depth: f64) -> f64 {
        self.view.origin.x - self.side * depth * self.view.scale
    }
}

/// Draws the saw from above, beginning at height `top`; returns where it
/// ends.
pub(super) fn against_block(scene: &mut Scene, frame: &Frame<'_>, block: Block, top: f64) -> f64 {
    let place = place(frame, block, top);
    scene.open(place.view);
    saw(scene, &place);
    stock(scene, frame, &place);
    blade(scene, frame, &place);
    tape(scene, frame, &place);
    scene.close();
    operator(scene, place.bed_end);
    place.bed_end + 22.0
}

fn place(frame: &Frame<'_>, block: Block, top: f64) -> Place {
    let held = frame.held;
    let side = match block {
        Block::Right => 1.0,
        Block::Left => -1.0,
    };
    let near = &held.near;
    // How far towards the fence the cut goes from the mark, and how far from
    // it towards the operator.
    let up = |f: fn(f64, f64) -> f64| near.iter().map(|p| -side * p.0).fold(0.0, f);
    let (low, high) = (up(f64::min), up(f64::max));
    let scale = 56.0_f64
        .min(96.0 / held.depth.max(1e-3))
        .min(150.0 / (high - low).max(1e-3));
    let fence_top = top + 6.0;
    let face = fence_top + FENCE;
    let kerf = scale * frame.look.kerf * held.cut.stretch();
    let mark = face + WASTE + kerf + scale * high;
    let lowest = mark - scale * low;
    let block_face = match block {
        Block::Right => RIGHT - SIDE - BLOCK,
        Block::Left => LEFT + SIDE + BLOCK,
    };
    let bed_end = (lowest + KEPT).max(face + BED);
    Place {
        view: View {
            name: "saw",
            scale,
            origin: at(block_face, mark),
        },
        side,
        fence_top,
        face,
        bed_end,
        lowest,
        edge: bed_end - INSET,
    }
}

fn saw(scene: &mut Scene, place: &Place) {
    let bed = rectangle(LEFT, place.face, RIGHT, place.bed_end);
    scene.part("bed", Ink::Bed, Shape::Area(bed));
    let fence = rectangle(LEFT, place.fence_top, RIGHT, place.face);
    scene.part("fence", Ink::Fence, Shape::Area(fence));
    let (left, right) = (at(LEFT, place.face), at(RIGHT, place.face));
    scene.draw(Ink::Line, Shape::Line(left, right));
    let (face, end) = (place.view.origin.x, place.bed_end - 6.0);
    let back = face + place.side * BLOCK;
    let block = rectangle(face.min(back), place.face, face.max(back), end);
    scene.part("block", Ink::Fence, Shape::Area(block));
    let outline = vec![
        at(back, place.face),
        at(back, end),
        at(face, end),
        at(face, place.face),
    ];
    scene.draw(Ink::Line, Shape::Path(outline));
    let middle = f64::midpoint(face, back);
    scene.text(
        Ink::Text,
        at(middle, end - 10.0),
        SMALL,
        Anchor::Middle,
        "block",
    );
    let baseline = place.fence_top + 16.5;
    let (x, anchor) = if place.side > 0.0 {
        (LEFT + 8.0, Anchor::Start)
    } else {
        (RIGHT - 8.0, Anchor::End)
    };
    scene.text(Ink::Text, at(x, baseline), SMALL, anchor, "fence");
}

fn swapped(points: &[At]) -> Vec<At> {
    points.iter().map(|p| at(p.y, p.x)).collect()
}

/// Cuts an area off at an edge across the sheet: what lies above it stays for
/// `side` 1, below it for −1. Returns the area and its outline without that
/// edge.
fn cut_off(area: &[At], edge: f64, side: f64) -> (Vec<At>, Vec<At>) {
    let area = clipped(&swapped(area), edge, side);
    let outline = open_outline(&area, edge);
    (swapped(&area), swapped(&outline))
}

fn stock(scene: &mut Scene, frame: &Frame<'_>, place: &Place) {
    let held = frame.held;
    let near = &held.near;
    waste(scene, frame, place, near);
    let far = place.on_sheet(&held.seen_end(&held.far, held.kept), 0.0);
    let mut area = place.on_sheet(near, 0.0);
    let ends_here = frame.far == FarEnd::Cut;
    if ends_here {
        area.extend(far.iter().rev());
    } else {
        area.extend(run_on(place, held.depth, 1e4));
    }
    let (area, outline) = cut_off(&area, place.edge, 1.0);
    let runs_on = outline.first() != outline.last();
    scene.part("kept", Ink::Kept, Shape::Area(area));
    end_face(scene, frame, place, near);
    for &spot in &held.arrises {
        let from = place.put(held.cut.x(spot), spot.y);
        let mut to = at(from.x, place.edge);
        if ends_here {
            to.y = to.y.min(place.put(held.far.x(spot), spot.y).y);
        }
        scene.part("arris", Ink::Hair, Shape::Line(from, to));
    }
    scene.part("kept-outline", Ink::Outline, Shape::Path(outline));
    if runs_on {
        let open = place.open_side(held.depth);
        let face = place.view.origin.x;
        let line = break_line(place.edge, open.min(face), open.max(face));
        scene.draw(Ink::Hair, Shape::Path(swapped(&line)));
    }
    if !ends_here && far.iter().all(|p| p.y < place.edge - 4.0) {
        scene.part("next", Ink::Dash, Shape::Path(far));
    }
}

/// The stock's far corners at a height of the sheet: away from the block,
/// then at it.
fn run_on(place: &Place, depth: f64, y: f64) -> [At; 2] {
    [at(place.open_side(depth), y), at(place.view.origin.x, y)]
}

/// What falls off towards the fence, one kerf away.
fn waste(scene: &mut Scene, frame: &Frame<'_>, place: &Place, near: &[(f64, f64)]) {
    let held = frame.held;
    let kerf = frame.look.kerf * held.cut.stretch();
    let mut area = place.on_sheet(near, -held.kept * kerf);
    area.extend(run_on(place, held.depth, -1e4));
    let (area, outline) = cut_off(&area, place.face, -1.0);
    let lines = hatch(&area, 9.0);
    scene.part("waste", Ink::Bed, Shape::Area(area));
    scene.draw(Ink::Hatch, Shape::Lines(lines));
    scene.draw(Ink::Hair, Shape::Path(outline));
}

/// The cut end itself, where it can be seen from above.
fn end_face(scene: &mut Scene, frame: &Frame<'_>, place: &Place, near: &[(f64, f64)]) {
    if !frame.leans || frame.held.cut.by_z * frame.held.kept < 0.0 {
        return;
    }
    let top = place.on_sheet(&frame.held.top_edge(&frame.held.cut), 0.0);
    let mut face = place.on_sheet(near, 0.0);
    face.extend(top.iter().rev());
    scene.part("end-face", Ink::EndGrain, Shape::Area(face));
    scene.draw(Ink::Line, Shape::Path(top));
}

/// Blade, kerf, the square line and the arc of the swing.
fn blade(scene: &mut Scene, frame: &Frame<'_>, place: &Place) {
    let (held, view) = (frame.held, place.view);
    // Where the cut meets the bed at a height of the sheet: the stock's
    // places are solved for the one across it.
    let on = |sheet_y: f64| {
        let along = -place.side * (view.origin.y - sheet_y) / view.scale;
        let across = (along - held.cut.at) / held.cut.by_y;
        at(view.origin.x + view.scale * place.side * across, sheet_y)
    };
    let pivot = on(place.face);
    let (top, end) = (on(place.fence_top - 4.0), on(place.lowest + 34.0));
    let kerf = -frame.look.kerf * held.cut.stretch() * view.scale;
    let band = vec![top, end, end.moved(0.0, kerf), top.moved(0.0, kerf)];
    let (band, _) = cut_off(&band, place.fence_top - 4.0, -1.0);
    scene.part("kerf", Ink::Kerf, Shape::Area(band));
    let foot = at(pivot.x, end.y);
    scene.part("square", Ink::Dash, Shape::Line(pivot, foot));
    swing_arc(scene, frame, pivot, end);
    scene.part("blade", Ink::Accent, Shape::Line(top, end));
}

/// The mark, the hook on it, the way the tape runs, and the piece's label
/// beside it.
fn tape(scene: &mut Scene, frame: &Frame<'_>, place: &Place) {
    let held = frame.held;
    let mark = place.put(0.0, held.hook.y);
    let x = place.open_side(held.depth) - place.side * 18.0;
    let end = at(x, place.bed_end - 4.0);
    scene.draw(Ink::AccentHair, Shape::Line(mark, at(x, mark.y)));
    // The hook: a short foot that turns back over the end.
    let hook = vec![
        at(x + place.side * 6.0, mark.y - 5.0),
        at(x, mark.y - 5.0),
        end,
    ];
    scene.part("tape", Ink::AccentHair, Shape::Path(hook));
    let down = std::f64::consts::FRAC_PI_2;
    scene.draw(Ink::AccentHair, Shape::Path(arrow(end, down, 9.0)));
    scene.part("hook", Ink::Spot, Shape::Circle(mark, 4.5));
    let anchor = if place.side > 0.0 {
        Anchor::End
    } else {
        Anchor::Start
    };
    let text = at(x - place.side * 8.0, place.bed_end - 14.0);
    let words = format!("tape {}", (frame.look.length)(frame.piece.tape));
    scene.text(Ink::Text, text, SMALL, anchor, words);
    let label = super::Text {
        at: text.moved(0.0, -24.0),
        size: 17.0,
        anchor,
        turn: 0.0,
        content: short(&frame.piece.label, 14).into(),
    };
    scene.part("label", Ink::Strong, Shape::Text(label));
}
