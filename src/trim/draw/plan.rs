//! The corners seen from above: a panel for each stretch of a run that turns
//! in plan, with its mitre lines, labels, lengths and projection.

use crate::trim::sheet::{Piece, SectionPoint, Sheet, SolvedRun};
use crate::trim::space::{Point, Vector};

use super::dims::{Dim, Tiers, above, along, beside, room};
use super::scene::{Anchor, At, Ink, Scene, Shape, View, at};
use super::shapes::hatch;
use super::{Look, SMALL, short};

const MARGIN: f64 = 10.0;
/// A sheet of more is no help to anybody.
const MOST_PANELS: usize = 12;

/// Every plan corner of `sheet` seen from above, the wall at the top, the
/// viewer at the bottom; long pieces are broken. `None` if it has none.
#[must_use]
pub fn plan(sheet: &Sheet, look: &Look) -> Option<Scene> {
    let stretches: Vec<Stretch<'_>> = sheet.runs.iter().flat_map(stretches).collect();
    if stretches.is_empty() {
        return None;
    }
    let title = format!("Corners of {} from above", short(&sheet.head, 60));
    let names: Vec<String> = stretches
        .iter()
        .take(MOST_PANELS)
        .map(Stretch::name)
        .collect();
    let desc = format!("Seen from above, wall at the top: {}.", names.join("; "));
    let mut scene = Scene::new(title, desc, look.width(), 0.0);
    let columns = if look.compact() || stretches.len() == 1 {
        1.0
    } else {
        2.0
    };
    let width = (look.width() / columns).min(560.0);
    let (mut x, mut y, mut tall) = (0.0, 0.0, 0.0_f64);
    for stretch in stretches.iter().take(MOST_PANELS) {
        if x + width > look.width() + 0.5 {
            (x, y, tall) = (0.0, y + tall, 0.0);
        }
        let panel = stretch.panel(width, look);
        let height = panel.height;
        let (dx, dy) = (x - panel.corner.x, y - panel.corner.y);
        scene.append(panel, dx, dy);
        tall = tall.max(height);
        x += width;
    }
    scene.height = y + tall;
    scene.width = look.width().min(width * columns);
    Some(scene)
}

/// Pieces one after another with a plan corner between each two.
struct Stretch<'a> {
    run: &'a SolvedRun,
    pieces: &'a [Piece],
    /// Whether it is the run's first: it alone carries the projection.
    first: bool,
}

fn stretches(run: &SolvedRun) -> Vec<Stretch<'_>> {
    let turns = |a: &Piece, b: &Piece| a.leg.n.dot(b.leg.n) < 1.0 - 1e-9;
    let level = |p: &Piece| p.leg.d.y.abs() < 1e-6;
    let mut found: Vec<Stretch<'_>> = Vec::new();
    for pieces in run
        .pieces
        .chunk_by(|a, b| turns(a, b) && level(a) && level(b))
        .filter(|p| p.len() > 1)
    {
        let first = found.is_empty();
        found.push(Stretch { run, pieces, first });
    }
    found
}

/// A piece placed in the panel: long ones shortened.
struct Placed<'a> {
    piece: &'a Piece,
    start: Point,
    end: Point,
    broken: bool,
}

impl Stretch<'_> {
    fn name(&self) -> String {
        let label = |p: Option<&Piece>| p.map_or(String::new(), |p| short(&p.label, 14));
        format!(
            "{} to {}",
            label(self.pieces.first()),
            label(self.pieces.last())
        )
    }

    fn reach(&self) -> (f64, f64) {
        let us = self.run.section.iter().map(|p| p.u);
        us.fold((0.0, 0.0), |(a, b), u| (a.min(u), b.max(u)))
    }

    /// Shortens what is much longer than the moulding is deep.
    fn placed(&self) -> Vec<Placed<'_>> {
        let (low, high) = self.reach();
        let most = ((high - low) * 5.0).max(2.0);
        let mut shift = Vector::new(0.0, 0.0, 0.0);
        let mut placed = Vec::with_capacity(self.pieces.len());
        for piece in self.pieces {
            let shown = piece.reference.min(most);
            let start = piece.leg.start + shift;
            placed.push(Placed {
                piece,
                start,
                end: start + piece.leg.d * shown,
                broken: shown < piece.reference,
            });
            shift = shift + piece.leg.d * (shown - piece.reference);
        }
        placed
    }

    fn panel(&self, width: f64, look: &Look) -> Scene {
        let placed = self.placed();
        let (low, high) = self.reach();
        let corners = |p: &Placed<'_>| p.corners(low, high);
        let all: Vec<Point> = placed.iter().flat_map(corners).collect();
        let span = |f: fn(&Point) -> f64| {
            let values = all.iter().map(f);
            let start = (f64::INFINITY, f64::NEG_INFINITY);
            values.fold(start, |(a, b), v| (a.min(v), b.max(v)))
        };
        let (left, right) = span(|p| p.x);
        let wide = (right - left).max(1e-6);
        let scale = ((width - 2.0 * MARGIN - 70.0) / wide).clamp(1e-3, 56.0);
        let mut scene = Scene::new(String::new(), String::new(), width, 0.0);
        let view = View {
            name: "plan",
            scale,
            origin: at(0.0, 0.0),
        };
        scene.open(view);
        let back = span(|p| p.z).0;
        body(&mut scene, &view, &placed, back);
        for p in &placed {
            p.draw(&mut scene, &view, &self.run.section, (low, high));
        }
        for p in &placed {
            p.label(&mut scene, &view, (low, high));
        }
        self.measure(&mut scene, &view, &placed, look);
        scene.close();
        let top = scene.extents().map_or(0.0, |(c, ..)| c.y);
        let title = at(f64::midpoint(left, right) * scale, top - 14.0);
        scene.text(Ink::Strong, title, SMALL, Anchor::Middle, self.name());
        scene.fit(width, MARGIN);
        scene
    }

    fn measure(&self, scene: &mut Scene, view: &View, placed: &[Placed<'_>], look: &Look) {
        let back = placed.iter().map(|p| p.start.z.min(p.end.z));
        let back = back.fold(f64::INFINITY, f64::min);
        let line = view.at(0.0, -back).y - 30.0;
        let mut tiers = Tiers::default();
        let flat = |p: &Placed<'_>| p.piece.leg.d.x.abs() > 1.0 - 1e-9;
        for p in placed.iter().filter(|p| flat(p)) {
            let dim = p.dim(view, back);
            above(scene, &mut tiers, line, &dim, look.length);
        }
        for p in placed.iter().filter(|p| !flat(p)) {
            let dim = Dim {
                part: "length",
                value: p.piece.reference,
                from: view.at(p.start.x, -p.start.z),
                to: view.at(p.end.x, -p.end.z),
            };
            along(scene, &dim, 12.0, look.length);
        }
        if self.first {
            self.projection(scene, view, placed, look);
        }
    }

    /// How far the moulding stands out, at the first piece along the wall.
    fn projection(&self, scene: &mut Scene, view: &View, placed: &[Placed<'_>], look: &Look) {
        let (low, high) = self.reach();
        let Some(p) = placed.iter().find(|p| p.piece.leg.n.z > 0.99) else {
            return;
        };
        let all = placed.iter().flat_map(|p| p.corners(low, high));
        let left = all.map(|p| p.x).fold(f64::INFINITY, f64::min);
        let line = view.at(left, 0.0).x - 22.0;
        let dim = Dim {
            part: "projection",
            value: high,
            from: view.at(left, -(p.start.z + high)),
            to: view.at(left, -p.start.z),
        };
        beside(scene, &mut Tiers::default(), line, &dim, look.length);
    }
}

/// The board (and block) that the moulding is fixed to, hatched.
fn body(scene: &mut Scene, view: &View, placed: &[Placed<'_>], back: f64) {
    let (Some(first), Some(last)) = (placed.first(), placed.last()) else {
        return;
    };
    let mut area: Vec<At> = placed
        .iter()
        .map(|p| view.at(p.start.x, -p.start.z))
        .collect();
    area.push(view.at(last.end.x, -last.end.z));
    area.push(view.at(last.end.x, -back));
    area.push(view.at(first.start.x, -back));
    let lines = hatch(&area, 10.0);
    scene.part("board", Ink::Board, Shape::Area(area));
    scene.draw(Ink::Hatch, Shape::Lines(lines));
}

impl Placed<'_> {
    fn at_u(&self, u: f64, right: bool) -> Point {
        let (from, cut) = if right {
            (self.end, &self.piece.right)
        } else {
            (self.start, &self.piece.left)
        };
        from + self.piece.leg.n * u + self.piece.leg.d * (cut.per_u * u)
    }

    fn corners(&self, low: f64, high: f64) -> [Point; 4] {
        [
            self.at_u(low, false),
            self.at_u(low, true),
            self.at_u(high, true),
            self.at_u(high, false),
        ]
    }

    fn draw(
        &self,
        scene: &mut Scene,
        view: &View,
        section: &[SectionPoint],
        (low, high): (f64, f64),
    ) {
        let place = |p: Point| view.at(p.x, -p.z);
        let corners = self.corners(low, high).map(place);
        scene.part("piece", Ink::Wood, Shape::Area(corners.to_vec()));
        let mut us: Vec<f64> = section.iter().map(|p| p.u).collect();
        us.sort_by(f64::total_cmp);
        us.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        let inner = us.iter().filter(|u| **u > low + 1e-6 && **u < high - 1e-6);
        let lines: Vec<(At, At)> = inner
            .take(12)
            .map(|u| (place(self.at_u(*u, false)), place(self.at_u(*u, true))))
            .collect();
        if !lines.is_empty() {
            scene.draw(Ink::Hair, Shape::Lines(lines));
        }
        let [a, b, c, d] = corners;
        scene.part("mitre", Ink::Line, Shape::Lines(vec![(a, d), (b, c)]));
        if self.broken {
            broken(scene, a.towards(b, 0.5), d.towards(c, 0.5));
        }
    }

    /// The piece's number, in the middle of what is seen of it.
    fn label(&self, scene: &mut Scene, view: &View, (low, high): (f64, f64)) {
        let corners = self.corners(low, high).map(|p| view.at(p.x, -p.z));
        let sum = corners.iter().fold(at(0.0, 0.0), |s, c| s.moved(c.x, c.y));
        let aside = if self.broken { 0.3 } else { 0.0 };
        let [a, b, ..] = corners;
        let middle = at(sum.x / 4.0, sum.y / 4.0);
        let place = middle.moved((a.x - b.x) * aside, (a.y - b.y) * aside + 6.0);
        let label = &self.piece.label;
        let number = label.rsplit_once('-').map_or(label.as_str(), |(_, n)| n);
        let words = short(number, 4);
        if room(scene, place, 0.0, &words) {
            scene.text(Ink::Strong, place, SMALL, Anchor::Middle, words);
            return;
        }
        // Too tight: outside the moulding, on a leader.
        let [.., c, d] = corners;
        let (edge, n) = (c.towards(d, 0.5), self.piece.leg.n);
        for away in [16.0, 34.0, 52.0] {
            let end = edge.moved(n.x * away, n.z * away);
            let base = end.moved(n.x * 8.0, n.z * 8.0 + 6.0);
            if room(scene, base, 0.0, &words) {
                scene.draw(Ink::Hair, Shape::Line(middle, end));
                scene.text(Ink::Strong, base, SMALL, Anchor::Middle, words);
                return;
            }
        }
    }

    /// Along the wall, measured from behind the board.
    fn dim(&self, view: &View, back: f64) -> Dim {
        Dim {
            part: "length",
            value: self.piece.reference,
            from: view.at(self.start.x, -back),
            to: view.at(self.end.x, -back),
        }
    }
}

/// A break across a piece from `a` to `b`: paper between two zigzags.
fn broken(scene: &mut Scene, a: At, b: At) {
    let run = a.distance(b).max(1e-9);
    let (dx, dy) = ((b.x - a.x) / run, (b.y - a.y) / run);
    let point = |t: f64, off: f64| a.moved(dx * run * t + dy * off, dy * run * t - dx * off);
    let zigzag = |off: f64| -> Vec<At> {
        [
            (-0.05, 0.0),
            (0.4, 0.0),
            (0.46, -4.0),
            (0.54, 4.0),
            (0.6, 0.0),
            (1.05, 0.0),
        ]
        .map(|(t, o)| point(t, off + o))
        .to_vec()
    };
    let (one, two) = (zigzag(-4.0), zigzag(4.0));
    let mut area = one.clone();
    area.extend(two.iter().rev());
    scene.draw(Ink::Bed, Shape::Area(area));
    scene.draw(Ink::Hair, Shape::Path(one));
    scene.draw(Ink::Hair, Shape::Path(two));
}
