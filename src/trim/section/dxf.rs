//! Reads a section from a DXF drawing as release 12 writes it: LINE, ARC,
//! CIRCLE, LWPOLYLINE and POLYLINE with bulges, in any order and direction
//! (group codes from memory). x is u, y is v.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use crate::measure::Unit;
use crate::trim::Wrong;
use crate::trim::sheet::SectionPoint;

use super::curve::Curve;
use super::outline::{MAX_CURVES, Outline};
use super::plane::{Affine, place};

/// The largest drawing that is read, bytes.
pub const MAX_TEXT: usize = 1_000_000;

/// Ends nearer than this, inches, are taken to meet.
const NEAR: f64 = 1e-3;

/// What was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// The one closed outline, where it is drawn.
    pub outline: Outline,
    /// The unit that the drawing names, or the one it was read in.
    pub unit: Unit,
    /// Entities that are no outline and were left out, with their number:
    /// texts, dimensions and the like.
    pub left_out: BTreeMap<String, usize>,
}

/// Reads the one closed outline of a drawing. `unit` counts where the
/// drawing names none.
///
/// # Errors
/// If the text is no drawing, holds curves that release 12 does not have, is
/// too large, or its lines do not go round one outline: what, and what is
/// allowed.
pub fn read(text: &str, unit: Unit) -> Result<Drawn, Wrong> {
    if text.len() > MAX_TEXT {
        let what = format!("is larger than {MAX_TEXT} characters, the most that is read");
        return Err(wrong(what));
    }
    let mut reader = Reader::default();
    let mut lines = text.lines();
    let mut number = 0_usize;
    while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
        number += 2;
        let code: i32 = code.trim().parse().map_err(|_| {
            wrong(format!(
                "line {}: a group code, a whole number, is needed",
                number - 1
            ))
        })?;
        reader.group(code, value.trim())?;
    }
    reader.end()?;
    let unit = reader.unit.unwrap_or(unit);
    let scale = Affine::scaled(unit.inches(), unit.inches());
    let mut curves = Vec::with_capacity(reader.curves.len());
    for curve in &reader.curves {
        curve.map_into(&scale, &mut curves);
    }
    let chain = chained(curves)?;
    Ok(Drawn {
        outline: Outline::new(chain).map_err(|error| wrong(format!("the outline {error}")))?,
        unit,
        left_out: reader.left_out,
    })
}

fn wrong(what: impl Into<String>) -> Wrong {
    Wrong::new("drawing", what)
}

/// A corner of a polyline and the bulge of what leaves it.
#[derive(Clone, Copy)]
struct Vertex {
    at: SectionPoint,
    bulge: f64,
}

#[derive(Default)]
struct Reader {
    section: String,
    variable: String,
    unit: Option<Unit>,
    /// Kind of the entity being read, empty for none.
    kind: String,
    numbers: BTreeMap<i32, f64>,
    vertices: Vec<Vertex>,
    /// In a POLYLINE, between it and its SEQEND: whether it is closed.
    polyline: Option<bool>,
    curves: Vec<Curve>,
    left_out: BTreeMap<String, usize>,
}

impl Reader {
    fn group(&mut self, code: i32, value: &str) -> Result<(), Wrong> {
        if code == 0 {
            self.end()?;
            self.kind = value.chars().take(40).collect();
            self.numbers.clear();
            return Ok(());
        }
        match (self.kind.as_str(), code) {
            ("SECTION", 2) => value.clone_into(&mut self.section),
            _ if self.section == "HEADER" => self.header(code, value),
            _ if self.section == "ENTITIES" => self.entity(code, value)?,
            _ => {}
        }
        Ok(())
    }

    fn header(&mut self, code: i32, value: &str) {
        if code == 9 {
            value.clone_into(&mut self.variable);
        } else if code == 70 && self.variable == "$INSUNITS" {
            self.unit = match value {
                "1" => Some(Unit::Inch),
                "2" => Some(Unit::Foot),
                "4" => Some(Unit::Millimetre),
                "5" => Some(Unit::Centimetre),
                "6" => Some(Unit::Metre),
                _ => None,
            };
        }
    }

    fn entity(&mut self, code: i32, value: &str) -> Result<(), Wrong> {
        let wanted = matches!(code, 10..=11 | 20..=21 | 40 | 42 | 50..=51 | 70 | 230);
        if !wanted {
            return Ok(());
        }
        let number = value.parse::<f64>().ok().filter(|n| n.abs() <= 1e9);
        let Some(number) = number else {
            let shown: String = value.chars().take(20).collect();
            return Err(wrong(format!(
                "{}: group {code} is `{shown}`; a number of at most 1e9 is needed",
                self.kind
            )));
        };
        if self.kind == "LWPOLYLINE" {
            match code {
                10 => self.vertices.push(Vertex {
                    at: place(number, 0.0),
                    bulge: 0.0,
                }),
                20 => self.last(|vertex| vertex.at.v = number),
                42 => self.last(|vertex| vertex.bulge = number),
                _ => {}
            }
            self.few(self.vertices.len())?;
        }
        self.numbers.insert(code, number);
        Ok(())
    }

    fn last(&mut self, change: impl FnOnce(&mut Vertex)) {
        if let Some(vertex) = self.vertices.last_mut() {
            change(vertex);
        }
    }

    fn number(&self, code: i32) -> f64 {
        self.numbers.get(&code).copied().unwrap_or(0.0)
    }

    fn closed(&self) -> bool {
        // Bit 1 of the flags.
        (self.number(70) / 2.0).fract().abs() > 0.25
    }

    /// Ends the entity being read.
    fn end(&mut self) -> Result<(), Wrong> {
        if self.section != "ENTITIES" {
            return Ok(());
        }
        let kind = std::mem::take(&mut self.kind);
        let from = place(self.number(10), self.number(20));
        match kind.as_str() {
            "" | "SECTION" | "ENDSEC" | "EOF" => {
                if kind == "ENDSEC" {
                    self.section.clear();
                }
            }
            "LINE" => self.push(Curve::Line {
                from,
                to: place(self.number(11), self.number(21)),
            }),
            "ARC" => {
                let (start, end) = (self.number(50).to_radians(), self.number(51).to_radians());
                self.arc(from, start, (end - start).rem_euclid(TAU));
            }
            "CIRCLE" => {
                self.arc(from, 0.0, TAU / 2.0);
                self.arc(from, TAU / 2.0, TAU / 2.0);
            }
            "LWPOLYLINE" => {
                let closed = self.closed();
                self.polyline(closed);
            }
            "POLYLINE" => {
                // Bits 8, 16 and 64: not a flat polyline.
                let flags = self.number(70);
                if (8.0..128.0).contains(&flags) {
                    return Err(wrong("a POLYLINE in space or a mesh; a flat one is needed"));
                }
                self.polyline = Some(self.closed());
                self.vertices.clear();
            }
            "VERTEX" => {
                self.vertices.push(Vertex {
                    at: from,
                    bulge: self.number(42),
                });
            }
            "SEQEND" => {
                if let Some(closed) = self.polyline.take() {
                    self.polyline(closed);
                }
            }
            "SPLINE" | "ELLIPSE" | "INSERT" | "MLINE" => {
                return Err(wrong(format!(
                    "holds a {kind}; lines, arcs and polylines are read: save it as release 12 \
                     with blocks exploded"
                )));
            }
            _ => self.left_out(kind),
        }
        self.few(self.curves.len())?;
        self.few(self.vertices.len())
    }

    fn left_out(&mut self, kind: String) {
        // A drawing has few kinds; a bound keeps a bad file small.
        if self.left_out.len() < 50 || self.left_out.contains_key(&kind) {
            *self.left_out.entry(kind).or_default() += 1;
        }
    }

    fn few(&self, count: usize) -> Result<(), Wrong> {
        if count > MAX_CURVES {
            return Err(wrong(format!(
                "has more than {MAX_CURVES} lines and arcs; fewer are allowed"
            )));
        }
        Ok(())
    }

    fn push(&mut self, curve: Curve) {
        // A LINE is drawn in the world; only flat entities are seen from
        // behind.
        self.curves.push(curve);
    }

    /// An entity whose plane looks down is drawn from behind: x is mirrored.
    fn push_flat(&mut self, curve: Curve) {
        if self.number(230) < 0.0 {
            curve.map_into(&Affine::scaled(-1.0, 1.0), &mut self.curves);
        } else {
            self.curves.push(curve);
        }
    }

    fn arc(&mut self, centre: SectionPoint, start: f64, sweep: f64) {
        let radius = self.number(40);
        let on = |angle: f64| {
            place(
                centre.u + radius * angle.cos(),
                centre.v + radius * angle.sin(),
            )
        };
        self.push_flat(Curve::Arc {
            from: on(start),
            to: on(start + sweep),
            bulge: (sweep / 4.0).tan(),
        });
    }

    fn polyline(&mut self, closed: bool) {
        let vertices = std::mem::take(&mut self.vertices);
        let ends = vertices
            .iter()
            .skip(1)
            .chain(vertices.first().filter(|_| closed));
        for (one, two) in vertices.iter().zip(ends) {
            let (from, to) = (one.at, two.at);
            if from == to {
                continue;
            }
            self.push_flat(if one.bulge.abs() < 1e-12 {
                Curve::Line { from, to }
            } else {
                Curve::Arc {
                    from,
                    to,
                    bulge: one.bulge,
                }
            });
        }
    }
}

/// Puts curves end to end: from the end of one to the nearest free end.
fn chained(mut free: Vec<Curve>) -> Result<Vec<Curve>, Wrong> {
    free.retain(|c| c.from().distance(c.to()) > NEAR / 10.0);
    let mut chain: Vec<Curve> = Vec::with_capacity(free.len());
    let Some(first) = free.pop() else {
        return Err(wrong("holds no lines or arcs; a closed outline is needed"));
    };
    chain.push(first);
    let mut end = first.to();
    while !free.is_empty() {
        let gaps = free.iter().enumerate().flat_map(|(i, c)| {
            [
                (c.from().distance(end), i, false),
                (c.to().distance(end), i, true),
            ]
        });
        let Some((gap, i, back)) = gaps.min_by(|a, b| a.0.total_cmp(&b.0)) else {
            break;
        };
        if gap > NEAR {
            break;
        }
        let curve = free.swap_remove(i);
        let curve = if back { curve.reversed() } else { curve };
        chain.push(curve.with_ends(end, curve.to()));
        end = curve.to();
    }
    let start = first.from();
    if start.distance(end) > NEAR {
        return Err(wrong(format!(
            "the outline is open: from ({:.4}, {:.4}) in no line goes on within {NEAR} in",
            end.u, end.v
        )));
    }
    if !free.is_empty() {
        return Err(wrong(format!(
            "holds more than the one outline: {} lines or arcs are left over",
            free.len()
        )));
    }
    if let Some(last) = chain.last_mut() {
        *last = last.with_ends(last.from(), start);
    }
    Ok(chain)
}
