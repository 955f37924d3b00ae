//! Writes sections as an SVG drawing sized in millimetres, curves kept:
//! arcs and ellipses as A, parabolas as Q, cubics as C, hyperbolas as close
//! cubics. With the check bar.

use std::fmt::Write as _;

use crate::trim::section::Curve;
use crate::trim::sheet::SectionPoint;

use super::{Placed, Plate, fit};

const MM: f64 = 25.4;

/// Height of the strip with the check bars, millimetres.
const FOOT: f64 = 22.0;

/// The sections side by side at true scale, one user unit a millimetre.
#[must_use]
pub fn svg(plate: &Plate) -> String {
    let (placed, width, height) = plate.placed();
    let (w, body) = ((width * MM).max(120.0), height * MM);
    let h = body + FOOT;
    let mut out = String::with_capacity(4096);
    // Writing to a string cannot fail.
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.4}mm\" height=\"{h:.4}mm\" \
         viewBox=\"0 0 {w:.4} {h:.4}\" font-family=\"sans-serif\" font-size=\"3.2\"><title>"
    );
    escape(&mut out, &plate.title);
    out.push_str("</title>");
    for p in &placed {
        section(&mut out, p, body);
    }
    check_bars(&mut out, body);
    out.push_str("</svg>\n");
    out
}

fn section(out: &mut String, p: &Placed<'_>, height: f64) {
    let place = |at: SectionPoint| ((at.u + p.u) * MM, height - (at.v + p.v) * MM);
    let curves = p.section.outline.curves();
    out.push_str("<path fill=\"none\" stroke=\"#000\" stroke-width=\"0.1\" d=\"");
    if let Some(first) = curves.first() {
        out.push('M');
        pair(out, place(first.from()));
    }
    for curve in curves {
        trace(out, curve, &place);
    }
    out.push_str("Z\"/>");
    let e = p.section.outline.extents();
    let (x, y) = ((e.u_low + p.u) * MM, height - (e.v_low + p.v) * MM + 5.0);
    let _ = write!(out, "<text x=\"{x:.3}\" y=\"{y:.3}\">");
    escape(out, &p.section.name);
    out.push_str("</text>");
}

fn trace(out: &mut String, curve: &Curve, place: &impl Fn(SectionPoint) -> (f64, f64)) {
    match *curve {
        Curve::Line { to, .. } => {
            out.push('L');
            pair(out, place(to));
        }
        Curve::Arc { to, .. } => {
            let radius = curve.circle().map_or(0.0, |(_, r)| r) * MM;
            let sweep = curve.sweep();
            let large = u8::from(sweep.abs() > std::f64::consts::PI);
            // y runs down on paper: anticlockwise here is flag 0.
            let flag = u8::from(sweep < 0.0);
            let _ = write!(out, "A{radius:.6} {radius:.6} 0 {large} {flag} ");
            pair(out, place(to));
        }
        Curve::Conic {
            from,
            control,
            to,
            weight,
        } if weight < 0.999 => {
            let e = fit::ellipse(from, control, to, weight);
            let flag = u8::from(!e.anticlockwise);
            let _ = write!(
                out,
                "A{:.6} {:.6} {:.6} 0 {flag} ",
                e.major * MM,
                e.minor * MM,
                -e.angle.to_degrees()
            );
            pair(out, place(to));
        }
        Curve::Conic {
            control,
            to,
            weight: 1.0,
            ..
        } => {
            out.push('Q');
            pair(out, place(control));
            out.push(' ');
            pair(out, place(to));
        }
        Curve::Conic { .. } => {
            for [first, second, to] in fit::cubics(curve) {
                cubic(out, [first, second, to].map(place));
            }
        }
        Curve::Cubic {
            first, second, to, ..
        } => cubic(out, [first, second, to].map(place)),
    }
}

fn cubic(out: &mut String, places: [(f64, f64); 3]) {
    out.push('C');
    for (i, p) in places.into_iter().enumerate() {
        if i > 0 {
            out.push(' ');
        }
        pair(out, p);
    }
}

fn check_bars(out: &mut String, top: f64) {
    for (length, words, y) in [(100.0, "100 mm", top + 7.0), (4.0 * MM, "4 in", top + 16.0)] {
        let _ = write!(
            out,
            "<path fill=\"none\" stroke=\"#000\" stroke-width=\"0.2\" \
             d=\"M5 {:.4}V{y:.4}H{:.4}V{:.4}\"/><text x=\"7\" y=\"{:.4}\">{words}</text>",
            y - 3.0,
            5.0 + length,
            y - 3.0,
            y - 0.8,
        );
    }
}

fn pair(out: &mut String, (x, y): (f64, f64)) {
    let _ = write!(out, "{x:.6} {y:.6}");
}

fn escape(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\u{0}'..='\u{1f}' | '\u{7f}' | '\u{fffe}' | '\u{ffff}' => out.push(' '),
            _ => out.push(c),
        }
    }
}
