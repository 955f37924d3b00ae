//! Writes any scene as a PDF at true scale, tiled over sheets of paper where
//! it is larger, with a check bar on every sheet and marks to lay sheets
//! together.

use pdf_writer::{Content, Finish as _, Name, Pdf, Rect, Ref, Str, TextStr};

use crate::trim::draw::{Anchor, At, Ink, Scene, Shape, Text, at};

use super::font;
use super::pen::{INK, pen};
use super::tiles::{FOOT_MM, MARGIN_MM, MM, OVERLAP_MM, POINTS, Paper, Tiles, steps};

const PLAIN: Name<'_> = Name(b"F1");
const BOLD: Name<'_> = Name(b"F2");

/// The scene as a PDF document at true scale: one unit is 1/96 in on paper
/// when it is printed at 100 %. Text is set in Helvetica, which every reader
/// has; characters it lacks become `?`.
#[must_use]
pub fn pdf(scene: &Scene, paper: Paper) -> Vec<u8> {
    let tiles = Tiles::new(scene, paper);
    let mut pdf = Pdf::new();
    let (catalog, tree, info, plain, bold) = (
        Ref::new(1),
        Ref::new(2),
        Ref::new(3),
        Ref::new(4),
        Ref::new(5),
    );
    let count = i32::try_from(tiles.count()).unwrap_or(1);
    let page_ref = |i: i32| Ref::new(6 + 2 * i);
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree).kids((0..count).map(page_ref)).count(count);
    pdf.document_info(info).title(TextStr(&scene.title));
    for (id, name) in [(plain, &b"Helvetica"[..]), (bold, b"Helvetica-Bold")] {
        pdf.type1_font(id)
            .base_font(Name(name))
            .encoding_predefined(Name(b"WinAnsiEncoding"));
    }
    let mut index = 0;
    for row in 0..tiles.down {
        for column in 0..tiles.across {
            let (id, content) = (page_ref(index), Ref::new(7 + 2 * index));
            let mut page = pdf.page(id);
            page.media_box(Rect::new(
                0.0,
                0.0,
                single(tiles.width),
                single(tiles.height),
            ))
            .parent(tree)
            .contents(content);
            page.resources().fonts().pair(PLAIN, plain).pair(BOLD, bold);
            page.finish();
            let drawn = Sheet::new(&tiles, column, row).draw(scene);
            pdf.stream(content, &drawn);
            index += 1;
        }
    }
    pdf.finish()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a PDF's numbers are single"
)]
const fn single(x: f64) -> f32 {
    x as f32
}

/// One sheet being drawn.
struct Sheet<'a> {
    tiles: &'a Tiles,
    column: u32,
    row: u32,
    /// Upper left corner of the drawing that this sheet shows, points.
    from: (f64, f64),
    out: Content,
}

impl<'a> Sheet<'a> {
    fn new(tiles: &'a Tiles, column: u32, row: u32) -> Self {
        let (across, down) = tiles.step();
        Self {
            tiles,
            column,
            row,
            from: (f64::from(column) * across, f64::from(row) * down),
            out: Content::new(),
        }
    }

    fn draw(mut self, scene: &Scene) -> Vec<u8> {
        let (w, h) = self.tiles.area();
        let margin = MARGIN_MM * MM;
        self.out.save_state();
        let bottom = self.tiles.height - margin - h;
        self.out
            .rect(single(margin), single(bottom), single(w), single(h))
            .clip_nonzero()
            .end_path();
        for mark in &scene.marks {
            self.shape(&mark.shape, mark.ink, scene.corner);
        }
        self.marks();
        self.out.restore_state();
        self.foot(scene);
        self.out.finish().to_vec()
    }

    /// Where a place of the scene stands on this sheet, points, y up.
    fn on(&self, p: At, corner: At) -> (f64, f64) {
        let margin = MARGIN_MM * MM;
        (
            margin + (p.x - corner.x) * POINTS - self.from.0,
            self.tiles.height - margin - ((p.y - corner.y) * POINTS - self.from.1),
        )
    }

    fn shape(&mut self, shape: &Shape, ink: Ink, corner: At) {
        match shape {
            Shape::Line(a, b) => self.path(&[&[*a, *b]], ink, corner, false),
            Shape::Path(points) => self.path(&[points], ink, corner, false),
            Shape::Area(points) => self.path(&[points], ink, corner, true),
            Shape::Lines(lines) => {
                let all: Vec<[At; 2]> = lines.iter().map(|(a, b)| [*a, *b]).collect();
                let each: Vec<&[At]> = all.iter().map(<[At; 2]>::as_slice).collect();
                self.path(&each, ink, corner, false);
            }
            Shape::Circle(centre, radius) => {
                let round = arc(*centre, *radius, 0.0, std::f64::consts::TAU);
                self.path(&[&round], ink, corner, true);
            }
            Shape::Arc(centre, radius, from, to) => {
                self.path(&[&arc(*centre, *radius, *from, *to)], ink, corner, false);
            }
            Shape::Text(text) => self.text(text, ink, corner),
            Shape::Open(_) | Shape::Close => {}
        }
    }

    fn path(&mut self, lines: &[&[At]], ink: Ink, corner: At, closed: bool) {
        let pen = pen(ink);
        self.out.save_state();
        if let Some((width, [r, g, b])) = pen.line {
            self.out
                .set_line_width(single(width))
                .set_stroke_rgb(r, g, b);
        }
        if let Some([r, g, b]) = pen.fill {
            self.out.set_fill_rgb(r, g, b);
        }
        if pen.dash {
            self.out.set_dash_pattern([3.75, 3.0], 0.0);
        }
        for line in lines {
            for (i, p) in line.iter().enumerate() {
                let (x, y) = self.on(*p, corner);
                let (x, y) = (single(x), single(y));
                if i == 0 {
                    self.out.move_to(x, y);
                } else {
                    self.out.line_to(x, y);
                }
            }
            if closed {
                self.out.close_path();
            }
        }
        match (pen.fill.filter(|_| closed), pen.line) {
            (Some(_), Some(_)) => self.out.fill_nonzero_and_stroke(),
            (Some(_), None) => self.out.fill_nonzero(),
            (None, Some(_)) => self.out.stroke(),
            (None, None) => self.out.end_path(),
        };
        self.out.restore_state();
    }

    fn text(&mut self, text: &Text, ink: Ink, corner: At) {
        let size = text.size * POINTS;
        let (x, y) = self.on(text.at, corner);
        let bold = matches!(ink, Ink::Strong | Ink::AccentText);
        let turn = -text.turn.to_radians();
        let colour = pen(ink).fill.unwrap_or(INK);
        self.words(
            &text.content,
            (x, y),
            size,
            text.anchor,
            turn,
            (bold, colour),
        );
    }

    fn words(
        &mut self,
        words: &str,
        (x, y): (f64, f64),
        size: f64,
        anchor: Anchor,
        turn: f64,
        (bold, [r, g, b]): (bool, [f32; 3]),
    ) {
        let bytes = font::bytes(words);
        let share = match anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5,
            Anchor::End => 1.0,
        };
        let back = share * font::width(&bytes) * size;
        let (sin, cos) = turn.sin_cos();
        let (x, y) = (x - back * cos, y - back * sin);
        let matrix = [cos, sin, -sin, cos, x, y].map(single);
        self.out
            .begin_text()
            .set_fill_rgb(r, g, b)
            .set_font(if bold { BOLD } else { PLAIN }, single(size))
            .set_text_matrix(matrix)
            .show(Str(&bytes))
            .end_text();
    }

    /// Crosses in the overlap, at the same places of the drawing on both
    /// sheets that share it.
    fn marks(&mut self) {
        let ((w, h), (across, down)) = (self.tiles.area(), self.tiles.step());
        let half = OVERLAP_MM * MM / 2.0;
        let mut places = Vec::new();
        for column in [self.column, self.column + 1] {
            if column > 0 && column < self.tiles.across {
                let x = f64::from(column) * across + half;
                places.extend([0.25, 0.75].map(|share| (x, self.from.1 + share * h)));
            }
        }
        for row in [self.row, self.row + 1] {
            if row > 0 && row < self.tiles.down {
                let y = f64::from(row) * down + half;
                places.extend([0.25, 0.75].map(|share| (self.from.0 + share * w, y)));
            }
        }
        let arm = 4.0 * MM;
        for (x, y) in places {
            let at = |dx: f64, dy: f64| at((x + dx) / POINTS, (y + dy) / POINTS);
            let lines = [[at(-arm, 0.0), at(arm, 0.0)], [at(0.0, -arm), at(0.0, arm)]];
            let each: Vec<&[At]> = lines.iter().map(<[At; 2]>::as_slice).collect();
            self.path(&each, Ink::Hair, crate::trim::draw::at(0.0, 0.0), false);
        }
    }

    /// The check bars, and which sheet this is.
    fn foot(&mut self, scene: &Scene) {
        let left = MARGIN_MM * MM;
        for (length, step, words, y) in [
            (100.0 * MM, 10.0 * MM, "100 mm", left + 9.0 * MM),
            (288.0, 36.0, "4 in", left + 2.0 * MM),
        ] {
            self.bar(left, y, length, step);
            let place = (left + length + 2.0 * MM, y);
            self.words(words, place, 8.0, Anchor::Start, 0.0, (false, INK));
        }
        let right = self.tiles.width - MARGIN_MM * MM;
        let count = self.tiles.count();
        let mut lines = vec!["Print at 100 %. Measure the bars before use.".to_owned()];
        if count > 1 {
            lines.push(format!(
                "Row {} of {}, sheet {} of {} from the left: lay the crosses over each other.",
                self.row + 1,
                self.tiles.down,
                self.column + 1,
                self.tiles.across
            ));
        }
        let title: String = scene.title.chars().take(60).collect();
        lines.push(title);
        for (i, line) in (0..).zip(&lines) {
            // The bars leave half of the strip free; small type fits it.
            let y = left + FOOT_MM * MM - 5.0 - 8.0 * f64::from(i);
            self.words(line, (right, y), 6.5, Anchor::End, 0.0, (false, INK));
        }
    }

    fn bar(&mut self, left: f64, y: f64, length: f64, step: f64) {
        self.out
            .save_state()
            .set_line_width(0.4)
            .set_stroke_rgb(0.0, 0.0, 0.0)
            .move_to(single(left), single(y))
            .line_to(single(left + length), single(y));
        let count = steps(length, step);
        for i in 0..=count {
            let x = single(left + step * f64::from(i));
            let tall = if i == 0 || i == count { 8.0 } else { 4.0 };
            self.out.move_to(x, single(y)).line_to(x, single(y + tall));
        }
        self.out.stroke().restore_state();
    }
}

/// Places along an arc, clockwise positive, close enough for any printer.
fn arc(centre: At, radius: f64, from: f64, to: f64) -> Vec<At> {
    let on = |i: u32| {
        let angle = from + (to - from) * f64::from(i) / 90.0;
        centre.moved(radius * angle.cos(), radius * angle.sin())
    };
    (0..=90).map(on).collect()
}
