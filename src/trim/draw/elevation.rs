//! The head from the front, to scale and dimensioned. Everything is read
//! from the solved sheet: the board's top edge gives wings, rakes and rise.

use crate::trim::sheet::{Board, Piece, Sheet, SolvedRun};
use crate::trim::words::degrees_text;

use super::dims::{Dim, Tiers, along, below, beside, room};
use super::scene::{Anchor, At, Ink, Scene, Shape, Text, View, at, text_width};
use super::solid::{Front, outline};
use super::{Look, SMALL, short};

/// Lengths nearer than this are one length on the drawing: 1/64 in.
const ALIKE: f64 = 1.0 / 64.0;

/// Flatter than half a degree is level: measured corners never add up to
/// nothing at all.
const LEVEL: f64 = 0.0087;

/// The head of `sheet` from the front. A sheet with nothing in it gives a
/// drawing that says so.
#[must_use]
pub fn elevation(sheet: &Sheet, look: &Look) -> Scene {
    let front = Front::of(sheet);
    let Some((_, _, width, _)) = front.bounds() else {
        return empty(sheet, look);
    };
    let room = look.width() - 2.0 * MARGIN;
    // What stands beside the head keeps its size, so two passes settle the
    // scale.
    let mut scale = room * 0.8 / width.max(1e-6);
    for _ in 0..2 {
        let scene = draw((sheet, &front), look, scale);
        let Some((_, used, _)) = scene.extents() else {
            break;
        };
        let beside = used - width * scale;
        scale = ((room - beside) / width.max(1e-6)).max(scale * 0.2);
    }
    let mut scene = draw((sheet, &front), look, scale);
    scene.fit(look.width(), MARGIN);
    scene
}

const MARGIN: f64 = 8.0;

fn empty(sheet: &Sheet, look: &Look) -> Scene {
    let title = short(&sheet.head, 80);
    let desc = "Nothing to draw yet.".to_owned();
    let mut scene = Scene::new(title, desc, look.width(), 80.0);
    let place = at(look.width() / 2.0, 44.0);
    scene.text(
        Ink::Quiet,
        place,
        SMALL,
        Anchor::Middle,
        "nothing to draw yet",
    );
    scene
}

/// One stretch of the measured line: the board's top edge, or without a
/// board the first run's legs in the wall's plane; left to right, y up.
#[derive(Debug, Clone, Copy)]
struct Edge {
    a: At,
    b: At,
}

impl Edge {
    fn length(&self) -> f64 {
        self.a.distance(self.b)
    }

    fn slope(&self) -> f64 {
        (self.b.y - self.a.y).atan2(self.b.x - self.a.x)
    }

    fn level(&self) -> bool {
        self.slope().abs() < LEVEL
    }
}

fn top_edges(sheet: &Sheet) -> Vec<Edge> {
    let Some(board) = main_board(sheet) else {
        return sheet.runs.first().map_or_else(Vec::new, legs);
    };
    let corners: Vec<At> = outline(board).map(|(x, y)| at(x, y)).collect();
    // Anticlockwise, so what runs from right to left is the top.
    let next = corners.iter().cycle().skip(1);
    let mut edges: Vec<Edge> = corners
        .iter()
        .zip(next)
        .filter(|(a, b)| b.x < a.x - 1e-9)
        .map(|(a, b)| Edge { a: *b, b: *a })
        .collect();
    edges.sort_by(|e, f| e.a.x.total_cmp(&f.a.x));
    drop_ends(&mut edges);
    as_cut(sheet, &mut edges);
    edges
}

/// Leaves out where a board is cut square to a rake within the head, behind
/// an upper return: that is an end, not a top edge.
fn drop_ends(edges: &mut Vec<Edge>) {
    let all = edges.clone();
    let Some((low, high)) = all.first().zip(all.last()).map(|(f, l)| (f.a.x, l.b.x)) else {
        return;
    };
    let square = |e: &Edge, f: &Edge| {
        let across = (e.b.x - e.a.x) * (f.b.x - f.a.x) + (e.b.y - e.a.y) * (f.b.y - f.a.y);
        across.abs() < 1e-9 * e.length() * f.length() && !e.level() && !f.level()
    };
    let mut nth = 0_usize;
    edges.retain(|edge| {
        let here = nth;
        nth += 1;
        let beside = [here.checked_sub(1), Some(here + 1)];
        let beside = beside.into_iter().flatten().filter_map(|i| all.get(i));
        let within = edge.a.x > low + 1e-6 && edge.b.x < high - 1e-6;
        let longer = |other: &Edge| other.length() > edge.length();
        !within
            || !beside
                .into_iter()
                .any(|other| square(edge, other) && longer(other))
    });
}

/// Puts the mouldings' own sloping legs in place of the board's: the board
/// on the bench may have been measured since it was drawn.
fn as_cut(sheet: &Sheet, edges: &mut [Edge]) {
    let sloped = edges.iter().filter(|e| !e.level()).count();
    let caps_last = |cap: bool| {
        sheet
            .runs
            .iter()
            .filter(move |r| r.name.ends_with("cap") == cap)
    };
    for run in caps_last(false).chain(caps_last(true)) {
        let mut legs = legs(run);
        legs.retain(|e| !e.level());
        if legs.len() == sloped {
            let places = edges.iter_mut().filter(|e| !e.level());
            places.zip(legs).for_each(|(place, leg)| *place = leg);
            return;
        }
    }
}

/// A run's legs in the wall's plane.
fn legs(run: &SolvedRun) -> Vec<Edge> {
    let leg = |p: &Piece| {
        let (a, b) = (p.leg.start, p.leg.end);
        (p.leg.n.z > 0.99 && b.x > a.x).then(|| Edge {
            a: at(a.x, a.y),
            b: at(b.x, b.y),
        })
    };
    run.pieces.iter().filter_map(leg).collect()
}

/// The widest board of the head itself that looks straight out; where it has
/// none, the widest of all.
fn main_board(sheet: &Sheet) -> Option<&Board> {
    let width = |b: &&Board| b.outline.iter().map(|p| p.0).fold(0.0, f64::max);
    let widest = |own: bool| {
        sheet
            .boards
            .iter()
            .filter(|b| !own || b.label.contains("board") && b.normal().z > 0.99)
            .max_by(|a, b| width(a).total_cmp(&width(b)))
    };
    widest(true).or_else(|| widest(false))
}

fn draw((sheet, front): (&Sheet, &Front), look: &Look, scale: f64) -> Scene {
    let edges = top_edges(sheet);
    let title = short(&sheet.head, 80);
    let desc = describe(sheet, look, &edges);
    let mut scene = Scene::new(title, desc, 0.0, 0.0);
    let view = View {
        name: "front",
        scale,
        origin: at(0.0, 0.0),
    };
    scene.open(view);
    front.draw(&mut scene, sheet, &view);
    let board = Drawn {
        sheet,
        front,
        look,
        view,
        edges: &edges,
    };
    board.level_dims(&mut scene);
    board.upright_dims(&mut scene);
    board.sloped_dims(&mut scene);
    board.angles(&mut scene);
    board.labels(&mut scene);
    scene.close();
    scene
}

fn describe(sheet: &Sheet, look: &Look, edges: &[Edge]) -> String {
    let (Some(first), Some(last)) = (edges.first(), edges.last()) else {
        return "The head from the front.".to_owned();
    };
    let span = (look.length)(last.b.x - first.a.x);
    let pieces: usize = sheet.runs.iter().map(|r| r.pieces.len()).sum();
    let mut text = format!("The head from the front: span {span}, {pieces} pieces");
    if let Some(rake) = edges.iter().find(|e| !e.level()) {
        let (length, angle) = ((look.length)(rake.length()), degrees_text(rake.slope()));
        text = format!("{text}, rake {length} at {angle}");
    }
    text.push('.');
    text
}

/// What the dimensions are placed on.
struct Drawn<'a> {
    sheet: &'a Sheet,
    front: &'a Front,
    look: &'a Look,
    view: View,
    edges: &'a [Edge],
}

impl Drawn<'_> {
    /// Room above the mouldings for a cap's label, units.
    fn label_room(&self) -> f64 {
        if self.look.compact() { 0.0 } else { 22.0 }
    }

    fn lengths_alike(a: &Edge, b: &Edge) -> bool {
        (a.length() - b.length()).abs() < ALIKE && (a.slope().abs() - b.slope().abs()).abs() < 1e-3
    }

    /// Span, wings, overhang: tiers under the drawing.
    fn level_dims(&self, scene: &mut Scene) {
        let (Some(first), Some(last)) = (self.edges.first(), self.edges.last()) else {
            return;
        };
        let Some((_, bottom, ..)) = self.front.bounds() else {
            return;
        };
        let view = self.view;
        let length = self.look.length;
        let mut tiers = Tiers::default();
        let line = view.at(0.0, bottom).y + 30.0;
        let from = self.board_bottom().unwrap_or(bottom);
        let low = |x: f64| view.at(x, from);
        let span = (first.a.x, last.b.x);
        if self.edges.len() > 1 {
            for edge in self.edges.iter().filter(|e| e.level()) {
                for x in [edge.a.x, edge.b.x] {
                    if x > span.0 + 1e-6 && x < span.1 - 1e-6 {
                        let foot = Shape::Line(view.at(x, edge.a.y), low(x));
                        scene.draw(Ink::Dash, foot);
                    }
                }
                let dim = dim("wing", edge.length(), low(edge.a.x), low(edge.b.x));
                below(scene, &mut tiers, line, &dim, length);
            }
        }
        if !self.look.compact()
            && let Some(x) = self.cap_end().filter(|x| *x < span.0 - 1e-6)
        {
            let from = view.at(x, first.a.y);
            let dim = dim("overhang", span.0 - x, from, low(span.0));
            below(scene, &mut tiers, line, &dim, length);
        }
        let dim = dim("span", span.1 - span.0, low(span.0), low(span.1));
        below(scene, &mut tiers, line, &dim, length);
    }

    fn board_bottom(&self) -> Option<f64> {
        main_board(self.sheet).map(|b| b.origin.y)
    }

    /// Foot and top of a leg below the head, with its blocks.
    fn leg(&self) -> Option<(f64, f64)> {
        let of_leg = |b: &&Board| {
            let words = ["casing-1", "pilaster-1", "plinth-1", "cap-block-1"];
            words.iter().any(|word| b.label.ends_with(word))
        };
        let boards = self.sheet.boards.iter().filter(of_leg);
        let ys: Vec<f64> = boards.flat_map(|b| outline(b).map(|p| p.1)).collect();
        let (low, high) = ys
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), y| {
                (l.min(*y), h.max(*y))
            });
        (high > low).then_some((low, high))
    }

    /// Where the cap begins at the left.
    fn cap_end(&self) -> Option<f64> {
        let caps = self.sheet.runs.iter().filter(|r| r.name.ends_with("cap"));
        let starts = caps.filter_map(|r| r.pieces.first()).map(|p| p.leg.start.x);
        starts.min_by(f64::total_cmp)
    }

    /// Board height and rise: tiers left of the drawing.
    fn upright_dims(&self, scene: &mut Scene) {
        let (Some(first), Some((left, ..))) = (self.edges.first(), self.front.bounds()) else {
            return;
        };
        let view = self.view;
        let length = self.look.length;
        let mut tiers = Tiers::default();
        let line = view.at(left, 0.0).x - 22.0;
        let side = |y: f64| view.at(left, y);
        if let Some(bottom) = self.board_bottom() {
            let (low, high) = (view.at(first.a.x, bottom), side(first.a.y));
            let dim = dim("height", first.a.y - bottom, low, high);
            beside(scene, &mut tiers, line, &dim, length);
        }
        if let Some(leg) = self.leg() {
            let (low, high) = (side(leg.0), view.at(first.a.x, leg.1));
            let dim = dim("leg", leg.1 - leg.0, low, high);
            beside(scene, &mut tiers, line, &dim, length);
        }
        let peak = self
            .edges
            .iter()
            .map(|e| e.b)
            .max_by(|a, b| a.y.total_cmp(&b.y));
        let Some(peak) = peak.filter(|p| p.y > first.a.y + 1e-6) else {
            return;
        };
        let slope = self.edges.iter().find(|e| !e.level());
        let steep = slope.map_or(1.0, |e| e.slope().abs().sin().max(1e-3));
        let clear = slope.map_or(0.0, |e| self.front.reach_past(e.a, e.b)) / steep;
        let start = (peak.x - clear - 2.0 / view.scale).max(left);
        let high = view.at(start, peak.y);
        let dim = dim("rise", peak.y - first.a.y, side(first.a.y), high);
        beside(scene, &mut tiers, line, &dim, length);
    }

    /// Rakes along the slope; alike ones once, from the right.
    fn sloped_dims(&self, scene: &mut Scene) {
        let mut shown: Vec<Edge> = Vec::new();
        for edge in self.edges.iter().rev().filter(|e| !e.level()) {
            if shown.iter().any(|s| Self::lengths_alike(s, edge)) {
                continue;
            }
            shown.push(*edge);
            let clear = self.front.reach_past(edge.a, edge.b) * self.view.scale;
            let (a, b) = (
                self.view.at(edge.a.x, edge.a.y),
                self.view.at(edge.b.x, edge.b.y),
            );
            let dim = dim("rake", edge.length(), a, b);
            along(
                scene,
                &dim,
                clear + 14.0 + self.label_room(),
                self.look.length,
            );
        }
    }

    /// The rake's angle from level, at its lower end.
    fn angles(&self, scene: &mut Scene) {
        let mut shown: Vec<f64> = Vec::new();
        for edge in self.edges.iter().filter(|e| e.slope() > LEVEL) {
            if shown.iter().any(|s| (s - edge.slope()).abs() < 1e-3) || shown.len() > 1 {
                continue;
            }
            shown.push(edge.slope());
            self.angle(scene, edge);
        }
    }

    /// The figure stands under the level line, right of where the mouldings
    /// have risen past it, or under them if that is too far.
    fn angle(&self, scene: &mut Scene, edge: &Edge) {
        let foot = self.view.at(edge.a.x, edge.a.y);
        let words = degrees_text(edge.slope());
        let half = text_width(&words, SMALL) / 2.0;
        let lowest = self.sheet.runs.iter().flat_map(|r| &r.section);
        let hang = -lowest.map(|p| p.v).fold(0.0, f64::min) * self.view.scale;
        let far = (edge.b.x - edge.a.x) * self.view.scale;
        let clear = hang / edge.slope().sin().max(1e-3);
        let (start, drop) = if clear + 2.0 * half < far {
            (clear, 18.0)
        } else {
            (
                half.min(far * 0.2),
                hang / edge.slope().cos().max(1e-3) + 18.0,
            )
        };
        let reach = start + 2.0 * half;
        let place = foot.moved(start + half, drop);
        if !room(scene, place, 0.0, &words) {
            return;
        }
        scene.draw(Ink::Dash, Shape::Line(foot, foot.moved(reach, 0.0)));
        let arc = Shape::Arc(foot, (reach - half).min(far), -edge.slope(), 0.0);
        scene.draw(Ink::Hair, arc);
        let text = Text {
            at: place,
            size: SMALL,
            anchor: Anchor::Middle,
            turn: 0.0,
            content: words.into(),
        };
        let value = Some(edge.slope().to_degrees());
        scene.mark(Ink::Figure, Some("angle"), value, Shape::Text(text));
    }

    /// Labels of pieces along the face, where they fit.
    fn labels(&self, scene: &mut Scene) {
        if self.look.compact() {
            return;
        }
        for run in &self.sheet.runs {
            let across = |f: fn(f64, f64) -> f64| run.section.iter().map(|p| p.v).reduce(f);
            let (Some(low), Some(high)) = (across(f64::min), across(f64::max)) else {
                continue;
            };
            let band = (high - low) * self.view.scale;
            for piece in run.pieces.iter().filter(|p| p.leg.n.z > 0.99) {
                let v = if band >= 19.0 {
                    f64::midpoint(low, high) - 5.5 / self.view.scale
                } else if low >= 0.0 {
                    high + 6.0 / self.view.scale
                } else {
                    low - 18.0 / self.view.scale
                };
                self.label(scene, piece, v);
            }
        }
    }

    fn label(&self, scene: &mut Scene, piece: &Piece, v: f64) {
        let leg = &piece.leg;
        let words = short(&piece.label, 14);
        if piece.shortest * self.view.scale < text_width(&words, SMALL) + 8.0 {
            return;
        }
        let middle = leg.start + (leg.end - leg.start) * 0.5 + leg.b * v;
        let place = self.view.at(middle.x, middle.y);
        let turn = -leg.d.y.atan2(leg.d.x).to_degrees();
        if room(scene, place, turn, &words) {
            scene.turned_text(Ink::Text, place, SMALL, Anchor::Middle, turn, words);
        }
    }
}

fn dim(part: &'static str, value: f64, from: At, to: At) -> Dim {
    Dim {
        part,
        value,
        from,
        to,
    }
}
