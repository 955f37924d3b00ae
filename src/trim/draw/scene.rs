//! A drawing as plain values: lines, areas, arcs and text with their ink,
//! in groups that keep their real-world scale. A writer turns it into SVG
//! (or paper at true scale); nothing here knows how.

use std::borrow::Cow;

/// A place on the sheet in drawing units, x right, y down. One unit is one
/// CSS pixel when the drawing is shown at its own width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct At {
    /// Right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// The place (x, y).
#[must_use]
pub const fn at(x: f64, y: f64) -> At {
    At { x, y }
}

impl At {
    /// This place moved by (dx, dy).
    #[must_use]
    pub fn moved(self, dx: f64, dy: f64) -> Self {
        at(self.x + dx, self.y + dy)
    }

    /// The place a share `t` of the way to `other`.
    #[must_use]
    pub fn towards(self, other: Self, t: f64) -> Self {
        at(
            self.x + (other.x - self.x) * t,
            self.y + (other.y - self.y) * t,
        )
    }

    /// Distance to `other`.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (other.x - self.x).hypot(other.y - self.y)
    }
}

/// How something is inked. The names are what it shows, not a colour, so
/// that paper, dark screens and grey print each choose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Heavy outline of what is kept.
    Outline,
    /// Ordinary line.
    Line,
    /// Hairline: dimension and extension lines, arrises.
    Hair,
    /// Broken hairline: level lines, the square line, what is hidden.
    Dash,
    /// Accent: what the hand sets or marks.
    Accent,
    /// Thin accent: arcs and the tape.
    AccentHair,
    /// Hatching of waste.
    Hatch,
    /// Area: the saw's bed.
    Bed,
    /// Area: the saw's fence.
    Fence,
    /// Area: the part that is kept, without outline.
    Kept,
    /// Area: wood seen square on.
    Wood,
    /// Area: wood turned away from the light.
    Shade,
    /// Area: wood turned towards the light.
    Light,
    /// Area: a cut end.
    EndGrain,
    /// Area: the flat board behind.
    Board,
    /// Area: what the blade eats.
    Kerf,
    /// Area: a solid accent spot.
    Spot,
    /// Area: a solid ink spot.
    Dot,
    /// Area: paper behind a number.
    Paper,
    /// Words and numbers.
    Text,
    /// Numbers of dimensions, kept clear of the lines behind them.
    Figure,
    /// Words and numbers that stand out.
    Strong,
    /// Quiet words.
    Quiet,
    /// Words and numbers of what the hand sets.
    AccentText,
}

/// How text sits at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Begins there.
    Start,
    /// Centred there.
    Middle,
    /// Ends there.
    End,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// On the baseline.
    pub at: At,
    /// Units.
    pub size: f64,
    /// How it sits at `at`.
    pub anchor: Anchor,
    /// Degrees clockwise about `at`.
    pub turn: f64,
    /// Plain text; `3/4` between other characters is set as a fraction.
    pub content: Cow<'static, str>,
}

/// What a mark is.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A straight line.
    Line(At, At),
    /// Straight lines end to end.
    Path(Vec<At>),
    /// An area.
    Area(Vec<At>),
    /// Separate straight lines drawn alike.
    Lines(Vec<(At, At)>),
    /// A circle: centre, radius.
    Circle(At, f64),
    /// An arc: centre, radius, from and to in radians, clockwise positive,
    /// 0 to the right.
    Arc(At, f64, f64, f64),
    /// Text.
    Text(Text),
    /// The marks up to the matching `Close` belong to one view.
    Open(View),
    /// End of a view.
    Close,
}

impl Shape {
    fn shift(&mut self, dx: f64, dy: f64) {
        let by = |p: &mut At| *p = p.moved(dx, dy);
        match self {
            Self::Line(a, b) => [a, b].into_iter().for_each(by),
            Self::Path(points) | Self::Area(points) => points.iter_mut().for_each(by),
            Self::Lines(lines) => lines.iter_mut().for_each(|(a, b)| {
                by(a);
                by(b);
            }),
            Self::Circle(c, _) | Self::Arc(c, ..) => by(c),
            Self::Text(text) => by(&mut text.at),
            Self::Open(view) => by(&mut view.origin),
            Self::Close => {}
        }
    }
}

/// A group of marks drawn at one scale. A place (a, b) in inches, b up,
/// stands at `origin` + `scale`·(a, −b).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// What it shows: `saw`, `end`, `blade`, `front`, `plan`, `board` or
    /// `section`.
    pub name: &'static str,
    /// Units an inch.
    pub scale: f64,
    /// Where (0, 0) stands.
    pub origin: At,
}

impl View {
    /// Where (a, b), inches, stands on the sheet.
    #[must_use]
    pub fn at(&self, a: f64, b: f64) -> At {
        at(
            self.origin.x + self.scale * a,
            self.origin.y - self.scale * b,
        )
    }
}

/// A shape with its ink and, where a reader of the file needs it, the name
/// of the part that it shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// How it is inked.
    pub ink: Ink,
    /// What it shows, for instance `blade`, `kept`, `waste`, `hook`.
    pub part: Option<&'static str>,
    /// The number it stands for, inches or degrees, unrounded.
    pub value: Option<f64>,
    /// What is drawn.
    pub shape: Shape,
}

/// A drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// What it is, in a few words.
    pub title: String,
    /// What it shows, in a sentence, for those who cannot see it.
    pub desc: String,
    /// Upper left corner, units.
    pub corner: At,
    /// Width, units.
    pub width: f64,
    /// Height, units.
    pub height: f64,
    /// In the order they are drawn.
    pub marks: Vec<Mark>,
}

impl Scene {
    /// An empty sheet.
    #[must_use]
    pub fn new(title: String, desc: String, width: f64, height: f64) -> Self {
        Self {
            title,
            desc,
            corner: at(0.0, 0.0),
            width,
            height,
            marks: Vec::with_capacity(48),
        }
    }

    /// Draws one mark.
    pub fn draw(&mut self, ink: Ink, shape: Shape) {
        self.mark(ink, None, None, shape);
    }

    /// Draws one mark and names the part that it shows.
    pub fn part(&mut self, part: &'static str, ink: Ink, shape: Shape) {
        self.mark(ink, Some(part), None, shape);
    }

    /// Draws one mark with the part and the number that it stands for.
    pub fn mark(&mut self, ink: Ink, part: Option<&'static str>, value: Option<f64>, shape: Shape) {
        self.marks.push(Mark {
            ink,
            part,
            value,
            shape,
        });
    }

    /// Begins a view.
    pub fn open(&mut self, view: View) {
        self.draw(Ink::Line, Shape::Open(view));
    }

    /// Ends the view begun last.
    pub fn close(&mut self) {
        self.draw(Ink::Line, Shape::Close);
    }

    /// Writes level text.
    pub fn text(
        &mut self,
        ink: Ink,
        place: At,
        size: f64,
        anchor: Anchor,
        content: impl Into<Cow<'static, str>>,
    ) {
        self.turned_text(ink, place, size, anchor, 0.0, content);
    }

    /// Writes text turned by `turn` degrees clockwise.
    pub fn turned_text(
        &mut self,
        ink: Ink,
        place: At,
        size: f64,
        anchor: Anchor,
        turn: f64,
        content: impl Into<Cow<'static, str>>,
    ) {
        let content = content.into();
        if content.is_empty() {
            return;
        }
        let text = Text {
            at: place,
            size,
            anchor,
            turn,
            content,
        };
        self.draw(ink, Shape::Text(text));
    }

    /// The least box round all marks, text included: corner, width, height.
    /// `None` for an empty sheet.
    #[must_use]
    pub fn extents(&self) -> Option<(At, f64, f64)> {
        let mut reach = Reach::default();
        for mark in &self.marks {
            reach.shape(&mark.shape);
        }
        reach.found()
    }

    /// Draws all of `other` moved by (dx, dy).
    pub fn append(&mut self, other: Self, dx: f64, dy: f64) {
        let moved = other.marks.into_iter().map(|mut mark| {
            mark.shape.shift(dx, dy);
            mark
        });
        self.marks.extend(moved);
    }

    /// Fits the sheet to its marks with `margin` on every side, no narrower
    /// than `width`.
    pub fn fit(&mut self, width: f64, margin: f64) {
        let Some((corner, w, h)) = self.extents() else {
            return;
        };
        self.width = (w + 2.0 * margin).max(width);
        self.height = h + 2.0 * margin;
        self.corner = corner.moved(-(self.width - w) / 2.0, -margin);
    }
}

/// Grows to hold places.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    low: At,
    high: At,
}

impl Default for Reach {
    fn default() -> Self {
        Self {
            low: at(f64::INFINITY, f64::INFINITY),
            high: at(f64::NEG_INFINITY, f64::NEG_INFINITY),
        }
    }
}

impl Reach {
    /// Takes in one place.
    pub(super) fn take(&mut self, p: At) {
        self.low = at(self.low.x.min(p.x), self.low.y.min(p.y));
        self.high = at(self.high.x.max(p.x), self.high.y.max(p.y));
    }

    /// Corner, width, height; `None` if nothing was taken in.
    pub(super) fn found(&self) -> Option<(At, f64, f64)> {
        let (w, h) = (self.high.x - self.low.x, self.high.y - self.low.y);
        (w.is_finite() && h.is_finite()).then_some((self.low, w, h))
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Line(a, b) => [*a, *b].into_iter().for_each(|p| self.take(p)),
            Shape::Path(points) | Shape::Area(points) => {
                points.iter().for_each(|p| self.take(*p));
            }
            Shape::Lines(lines) => lines.iter().for_each(|(a, b)| {
                self.take(*a);
                self.take(*b);
            }),
            Shape::Circle(c, r) | Shape::Arc(c, r, ..) => {
                self.take(c.moved(-r, -r));
                self.take(c.moved(*r, *r));
            }
            Shape::Text(text) => text.corners().into_iter().for_each(|p| self.take(p)),
            Shape::Open(_) | Shape::Close => {}
        }
    }
}

impl Text {
    /// The corners of the box that the text fills, estimated for a wide
    /// system font, in order round the box.
    #[must_use]
    pub fn corners(&self) -> [At; 4] {
        let width = text_width(&self.content, self.size);
        let left = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -width / 2.0,
            Anchor::End => -width,
        };
        let (up, down) = (-0.78 * self.size, 0.22 * self.size);
        let (sin, cos) = self.turn.to_radians().sin_cos();
        let place = |x: f64, y: f64| self.at.moved(x * cos - y * sin, x * sin + y * cos);
        [
            place(left, up),
            place(left + width, up),
            place(left + width, down),
            place(left, down),
        ]
    }
}

/// Estimated width of `text` set at `size`, for a wide system font; a
/// fraction such as `3/4` is set small.
#[must_use]
pub fn text_width(text: &str, size: f64) -> f64 {
    let mut ems = 0.0;
    for piece in pieces(text) {
        ems += match piece {
            Set::Plain(plain) => plain.chars().map(char_ems).sum(),
            Set::Fraction(over, under) => 0.36 + 0.4 * digits(over.len() + under.len()),
        };
    }
    ems * size
}

#[expect(clippy::cast_precision_loss, reason = "a count of digits")]
const fn digits(count: usize) -> f64 {
    count as f64
}

const fn char_ems(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' => 0.32,
        ' ' | '-' | 'f' | 'r' | 't' | '(' | ')' => 0.4,
        'm' | 'w' | 'M' | 'W' => 0.98,
        '0'..='9' => 0.64,
        'a'..='z' => 0.62,
        'A'..='Z' => 0.72,
        '\u{2009}' => 0.2,
        '°' | '·' => 0.5,
        '\u{2e80}'.. => 1.0,
        _ => 0.7,
    }
}

/// A stretch of text as it is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Set<'a> {
    /// As it is.
    Plain(&'a str),
    /// Numerator and denominator, both digits.
    Fraction(&'a str, &'a str),
}

/// Splits text into plain stretches and fractions of up to three digits over
/// up to three digits.
pub(super) fn pieces(text: &str) -> impl Iterator<Item = Set<'_>> {
    let mut rest = text;
    std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        // Most words have none.
        let slashed = rest.as_bytes().contains(&b'/');
        let Some((start, slash, end)) = slashed.then(|| fraction(rest)).flatten() else {
            return Some(Set::Plain(std::mem::take(&mut rest)));
        };
        if start > 0 {
            let (plain, after) = rest.split_at(start);
            rest = after;
            return Some(Set::Plain(plain));
        }
        let set = Set::Fraction(&rest[..slash], &rest[slash + 1..end]);
        rest = &rest[end..];
        Some(set)
    })
}

/// Byte places of the first fraction: start, slash, end.
fn fraction(text: &str) -> Option<(usize, usize, usize)> {
    let bytes = text.as_bytes();
    text.match_indices('/').find_map(|(slash, _)| {
        let before = bytes[..slash].iter().rev();
        let over = before.take_while(|b| b.is_ascii_digit()).count();
        let after = bytes[slash + 1..].iter();
        let under = after.take_while(|b| b.is_ascii_digit()).count();
        ((1..=3).contains(&over) && (1..=3).contains(&under))
            .then(|| (slash - over, slash, slash + 1 + under))
    })
}
