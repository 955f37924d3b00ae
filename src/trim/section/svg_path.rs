//! Reads a section from the path of an SVG drawing: the commands
//! M L H V C S Q T A Z, absolute and relative (W3C SVG 1.1, ch. 8, from
//! memory). Every curve stays what it is: A a circle's arc or a conic, Q a
//! parabola, C a cubic.

use crate::trim::Wrong;
use crate::trim::sheet::SectionPoint;

use super::curve::Curve;
use super::outline::{MAX_CURVES, Outline};
use super::plane::{Affine, place, shift};

/// The longest path that is read, bytes.
pub const MAX_TEXT: usize = 100_000;

/// Reads one closed outline. `inches` is the size of one unit of the drawing;
/// its y runs down, the section's v up. The outline stays where it is drawn:
/// see [`super::settled`]. A path left open is closed by a straight line.
///
/// # Errors
/// If the text is no such path, holds more than one outline, is too long, or
/// the outline cannot be a section: what, at which character, and what is
/// allowed.
pub fn read(text: &str, inches: f64) -> Result<Outline, Wrong> {
    if text.len() > MAX_TEXT {
        let what = format!("is longer than {MAX_TEXT} characters, the most that is read");
        return Err(Wrong::new("path", what));
    }
    if !(inches.is_finite() && inches > 0.0) {
        return Err(Wrong::new("path", "a unit's size must be more than 0"));
    }
    let drawn = Reader::new(text).curves()?;
    let up = Affine::scaled(inches, -inches);
    let mut curves = Vec::with_capacity(drawn.len());
    for curve in &drawn {
        curve.map_into(&up, &mut curves);
    }
    Outline::new(curves).map_err(|error| Wrong::new("path", format!("the outline {error}")))
}

/// What a command letter asks for.
#[derive(Clone, Copy)]
struct Command {
    letter: u8,
    relative: bool,
}

struct Reader<'a> {
    text: &'a [u8],
    next: usize,
    at: SectionPoint,
    start: SectionPoint,
    /// Handle that a smooth command mirrors, and whether it is a cubic's.
    handle: Option<(SectionPoint, bool)>,
    curves: Vec<Curve>,
    closed: bool,
}

impl<'a> Reader<'a> {
    const fn new(text: &'a str) -> Self {
        Self {
            text: text.as_bytes(),
            next: 0,
            at: place(0.0, 0.0),
            start: place(0.0, 0.0),
            handle: None,
            curves: Vec::new(),
            closed: false,
        }
    }

    fn curves(mut self) -> Result<Vec<Curve>, Wrong> {
        let mut command = None;
        loop {
            self.skip_space();
            let Some(c) = self.peek() else { break };
            if c.is_ascii_alphabetic() {
                self.next += 1;
                command = Some(self.command(c)?);
                if c.eq_ignore_ascii_case(&b'z') {
                    self.close();
                    command = None;
                    continue;
                }
            } else if command.is_none() {
                return Err(self.wrong("a command letter is needed here"));
            }
            if let Some(current) = command {
                command = Some(self.draw(current)?);
            }
            if self.curves.len() > MAX_CURVES {
                let what = format!("more than {MAX_CURVES} curves; fewer are allowed");
                return Err(self.wrong(&what));
            }
        }
        self.close();
        Ok(self.curves)
    }

    fn command(&self, c: u8) -> Result<Command, Wrong> {
        let letter = c.to_ascii_lowercase();
        if !b"mlhvcsqtaz".contains(&letter) {
            let what = format!(
                "`{}` is no command; allowed: M L H V C S Q T A Z",
                char::from(c)
            );
            return Err(self.wrong(&what));
        }
        if letter != b'm' && self.curves.is_empty() && !self.closed && self.start != self.at {
            return Err(self.wrong("a path begins with M"));
        }
        if self.closed || (letter == b'm' && !self.curves.is_empty()) {
            return Err(self.wrong("a second outline begins; one is allowed"));
        }
        Ok(Command {
            letter,
            relative: c.is_ascii_lowercase(),
        })
    }

    /// Draws one command with one set of numbers; says what follows if more
    /// numbers come.
    fn draw(&mut self, command: Command) -> Result<Command, Wrong> {
        let from = self.at;
        let base = if command.relative {
            from
        } else {
            place(0.0, 0.0)
        };
        let mut handle = None;
        match command.letter {
            b'm' => {
                self.at = self.point(base)?;
                self.start = self.at;
                self.handle = None;
                return Ok(Command {
                    letter: b'l',
                    ..command
                });
            }
            b'h' => {
                let x = self.number()?;
                self.line_to(place(base.u + x, from.v));
            }
            b'v' => {
                let y = self.number()?;
                self.line_to(place(from.u, base.v + y));
            }
            b'c' | b's' => {
                let first = if command.letter == b'c' {
                    self.point(base)?
                } else {
                    self.mirrored(true)
                };
                let second = self.point(base)?;
                let to = self.point(base)?;
                handle = Some((second, true));
                self.push(Curve::Cubic {
                    from,
                    first,
                    second,
                    to,
                });
            }
            b'q' | b't' => {
                let control = if command.letter == b'q' {
                    self.point(base)?
                } else {
                    self.mirrored(false)
                };
                let to = self.point(base)?;
                handle = Some((control, false));
                self.push(Curve::Conic {
                    from,
                    control,
                    to,
                    weight: 1.0,
                });
            }
            b'a' => self.arc(base)?,
            _ => {
                let to = self.point(base)?;
                self.line_to(to);
            }
        }
        self.handle = handle;
        Ok(command)
    }

    fn mirrored(&self, cubic: bool) -> SectionPoint {
        match self.handle {
            Some((handle, of_cubic)) if of_cubic == cubic => self.at + (self.at - handle),
            _ => self.at,
        }
    }

    fn line_to(&mut self, to: SectionPoint) {
        self.push(Curve::Line { from: self.at, to });
    }

    fn push(&mut self, curve: Curve) {
        self.at = curve.to();
        if curve.from() != curve.to() || !matches!(curve, Curve::Line { .. }) {
            self.curves.push(curve);
        }
    }

    fn close(&mut self) {
        if !self.closed && !self.curves.is_empty() {
            self.line_to(self.start);
            self.closed = true;
        }
        self.handle = None;
    }

    /// An elliptical arc. On the plane where the ellipse is a circle of
    /// radius 1 the flags choose the arc; the way back keeps it exact.
    fn arc(&mut self, base: SectionPoint) -> Result<(), Wrong> {
        let (rx, ry) = (self.number()?.abs(), self.number()?.abs());
        let turn = self.number()?.to_radians();
        let (large, sweep) = (self.flag()?, self.flag()?);
        let (from, to) = (self.at, self.point(base)?);
        if from == to {
            return Ok(());
        }
        if rx == 0.0 || ry == 0.0 {
            self.line_to(to);
            return Ok(());
        }
        let chord = (to - from).turned(-turn);
        let half = 0.5 * shift(chord.u / rx, chord.v / ry).length();
        if !(half.is_finite() && half > 0.0) {
            return Err(self.wrong("an arc's radius is out of bounds"));
        }
        // Radii too small for the chord are grown to reach.
        let grow = half.max(1.0);
        let short = (half / grow).asin();
        let half_sweep = if large {
            std::f64::consts::PI - short
        } else {
            short
        };
        let bulge = (half_sweep / 2.0).tan() * if sweep { 1.0 } else { -1.0 };
        let unit = shift(chord.u / (rx * grow), chord.v / (ry * grow));
        let round = Curve::Arc {
            from: place(0.0, 0.0),
            to: place(unit.u, unit.v),
            bulge,
        };
        let back = Affine::scaled(rx * grow, ry * grow)
            .then(&Affine::turned(turn))
            .then(&Affine::moved(shift(from.u, from.v)));
        let mut found = Vec::with_capacity(4);
        round.map_into(&back, &mut found);
        let last = found.len().saturating_sub(1);
        for (i, curve) in found.into_iter().enumerate() {
            let end = if i == last { to } else { curve.to() };
            self.push(curve.with_ends(self.at, end));
        }
        Ok(())
    }

    fn point(&mut self, base: SectionPoint) -> Result<SectionPoint, Wrong> {
        let (x, y) = (self.number()?, self.number()?);
        Ok(place(base.u + x, base.v + y))
    }

    fn flag(&mut self) -> Result<bool, Wrong> {
        self.skip_space_and_comma();
        let flag = match self.peek() {
            Some(b'0') => false,
            Some(b'1') => true,
            _ => return Err(self.wrong("an arc's flag is 0 or 1")),
        };
        self.next += 1;
        Ok(flag)
    }

    fn number(&mut self) -> Result<f64, Wrong> {
        self.skip_space_and_comma();
        let start = self.next;
        if matches!(self.peek(), Some(b'+' | b'-')) {
            self.next += 1;
        }
        self.digits();
        if self.peek() == Some(b'.') {
            self.next += 1;
            self.digits();
        }
        if matches!(self.peek(), Some(b'e' | b'E')) {
            let mark = self.next;
            self.next += 1;
            if matches!(self.peek(), Some(b'+' | b'-')) {
                self.next += 1;
            }
            if self.digits() == 0 {
                self.next = mark;
            }
        }
        let text = self.text.get(start..self.next).unwrap_or_default();
        let number = std::str::from_utf8(text)
            .ok()
            .and_then(|t| t.parse::<f64>().ok());
        number
            .filter(|n| n.abs() <= 1e9)
            .ok_or_else(|| self.wrong("a number of at most 1e9 is needed here"))
    }

    fn digits(&mut self) -> usize {
        let start = self.next;
        while self.peek().is_some_and(|c| c.is_ascii_digit()) {
            self.next += 1;
        }
        self.next - start
    }

    fn peek(&self) -> Option<u8> {
        self.text.get(self.next).copied()
    }

    fn skip_space(&mut self) {
        while self.peek().is_some_and(|c| c.is_ascii_whitespace()) {
            self.next += 1;
        }
    }

    fn skip_space_and_comma(&mut self) {
        self.skip_space();
        if self.peek() == Some(b',') {
            self.next += 1;
            self.skip_space();
        }
    }

    fn wrong(&self, what: &str) -> Wrong {
        Wrong::new("path", format!("at character {}: {what}", self.next + 1))
    }
}
