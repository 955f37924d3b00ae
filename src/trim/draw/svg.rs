//! Writes a scene as SVG: classes for the style sheet, plain attributes so
//! that a file also stands alone, no `style` attribute, no ids.

use super::scene::{Anchor, At, Ink, Mark, Scene, Set, Shape, Text, View, pieces};

/// How the file is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct SvgOptions {
    /// Name the width and height, for a file that stands alone; inside a
    /// page the page decides.
    pub sized: bool,
}

/// The scene as one `svg` element with a title and a description. All text
/// is escaped; characters that XML forbids are left out.
#[must_use]
pub fn svg(scene: &Scene, options: &SvgOptions) -> String {
    let mut out = String::with_capacity(700 + scene.marks.len() * 110);
    head(&mut out, scene, *options);
    let mut ink = None;
    for mark in &scene.marks {
        match &mark.shape {
            Shape::Open(view) => {
                end_group(&mut out, &mut ink);
                open(&mut out, view);
            }
            Shape::Close => {
                end_group(&mut out, &mut ink);
                out.push_str("</g>");
            }
            _ => {
                if ink != Some(mark.ink) {
                    end_group(&mut out, &mut ink);
                    let (class, attributes) = inked(mark.ink);
                    for s in ["<g class=\"", class, "\" ", attributes, ">"] {
                        out.push_str(s);
                    }
                    ink = Some(mark.ink);
                }
                shape(&mut out, mark);
            }
        }
    }
    end_group(&mut out, &mut ink);
    out.push_str("</svg>");
    out
}

fn end_group(out: &mut String, ink: &mut Option<Ink>) {
    if ink.take().is_some() {
        out.push_str("</g>");
    }
}

fn head(out: &mut String, scene: &Scene, options: SvgOptions) {
    out.push_str("<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing\" role=\"img\"");
    if options.sized {
        attribute(out, "width", scene.width);
        attribute(out, "height", scene.height);
    }
    out.push_str(" viewBox=\"");
    for (i, v) in [scene.corner.x, scene.corner.y, scene.width, scene.height]
        .into_iter()
        .enumerate()
    {
        if i > 0 {
            out.push(' ');
        }
        number(out, v);
    }
    out.push_str("\" font-family=\"system-ui, sans-serif\"><title>");
    escape(out, &scene.title);
    out.push_str("</title><desc>");
    escape(out, &scene.desc);
    out.push_str("</desc>");
}

fn open(out: &mut String, view: &View) {
    out.push_str("<g data-view=\"");
    escape(out, view.name);
    out.push('"');
    out.push_str(" data-scale=\"");
    // The scale multiplies inches, so it is written to more places.
    fixed(out, view.scale, 6);
    out.push('"');
    attribute(out, "data-x", view.origin.x);
    attribute(out, "data-y", view.origin.y);
    out.push('>');
}

/// Class and the attributes that stand in for the style sheet.
const fn inked(ink: Ink) -> (&'static str, &'static str) {
    match ink {
        Ink::Outline => (
            "dw-outline",
            "fill=\"none\" stroke=\"#221e19\" stroke-width=\"1.8\" stroke-linejoin=\"round\"",
        ),
        Ink::Line => (
            "dw-line",
            "fill=\"none\" stroke=\"#221e19\" stroke-width=\"1\" stroke-linejoin=\"round\"",
        ),
        Ink::Hair => (
            "dw-hair",
            "fill=\"none\" stroke=\"#6b6252\" stroke-width=\".8\"",
        ),
        Ink::Dash => (
            "dw-dash",
            "fill=\"none\" stroke=\"#6b6252\" stroke-width=\".9\" stroke-dasharray=\"5 4\"",
        ),
        Ink::Accent => (
            "dw-accent",
            "fill=\"none\" stroke=\"#8f1812\" stroke-width=\"2.2\"",
        ),
        Ink::AccentHair => (
            "dw-accent-hair",
            "fill=\"none\" stroke=\"#8f1812\" stroke-width=\"1.2\" stroke-linejoin=\"round\"",
        ),
        Ink::Hatch => (
            "dw-hatch",
            "fill=\"none\" stroke=\"#857c69\" stroke-width=\".8\"",
        ),
        Ink::Bed => ("dw-bed", "fill=\"#f4eedf\""),
        Ink::Fence => ("dw-fence", "fill=\"#d8cfba\""),
        Ink::Kept => ("dw-kept", "fill=\"#eee1c4\""),
        Ink::Wood => (
            "dw-wood",
            "fill=\"#eee1c4\" stroke=\"#221e19\" stroke-width=\".8\" stroke-linejoin=\"round\"",
        ),
        Ink::Shade => (
            "dw-shade",
            "fill=\"#dfcea9\" stroke=\"#221e19\" stroke-width=\".8\" stroke-linejoin=\"round\"",
        ),
        Ink::Light => (
            "dw-light",
            "fill=\"#f6edd9\" stroke=\"#221e19\" stroke-width=\".8\" stroke-linejoin=\"round\"",
        ),
        Ink::EndGrain => ("dw-end", "fill=\"#cfb98a\""),
        Ink::Board => (
            "dw-board",
            "fill=\"#f7f1e2\" stroke=\"#221e19\" stroke-width=\"1\" stroke-linejoin=\"round\"",
        ),
        Ink::Kerf => ("dw-kerf", "fill=\"#8f1812\" fill-opacity=\".16\""),
        Ink::Spot => ("dw-spot", "fill=\"#8f1812\""),
        Ink::Dot => ("dw-dot", "fill=\"#221e19\""),
        Ink::Paper => (
            "dw-paper",
            "fill=\"#fbf8ef\" stroke=\"#6b6252\" stroke-width=\".8\"",
        ),
        Ink::Text => ("dw-text", "fill=\"#221e19\""),
        Ink::Figure => (
            "dw-figure",
            "fill=\"#221e19\" stroke=\"#fbf8ef\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\"",
        ),
        Ink::Strong => ("dw-strong", "fill=\"#221e19\" font-weight=\"700\""),
        Ink::Quiet => ("dw-quiet", "fill=\"#4a4337\""),
        Ink::AccentText => ("dw-accent-text", "fill=\"#8f1812\" font-weight=\"700\""),
    }
}

fn shape(out: &mut String, mark: &Mark) {
    match &mark.shape {
        Shape::Line(a, b) => {
            out.push_str("<path");
            tags(out, mark);
            out.push_str(" d=\"");
            trace(out, &[*a, *b]);
            out.push_str("\"/>");
        }
        Shape::Path(points) => {
            out.push_str("<path");
            tags(out, mark);
            out.push_str(" d=\"");
            trace(out, points);
            out.push_str("\"/>");
        }
        Shape::Area(points) => {
            out.push_str("<path");
            tags(out, mark);
            out.push_str(" d=\"");
            trace(out, points);
            out.push_str("z\"/>");
        }
        Shape::Lines(lines) => {
            out.push_str("<path");
            tags(out, mark);
            out.push_str(" d=\"");
            for (a, b) in lines {
                trace(out, &[*a, *b]);
            }
            out.push_str("\"/>");
        }
        Shape::Circle(c, r) => {
            out.push_str("<circle");
            tags(out, mark);
            attribute(out, "cx", c.x);
            attribute(out, "cy", c.y);
            attribute(out, "r", *r);
            out.push_str("/>");
        }
        Shape::Arc(c, r, from, to) => arc(out, mark, (*c, *r), *from, *to),
        Shape::Text(text) => words(out, mark, text),
        Shape::Open(_) | Shape::Close => {}
    }
}

fn tags(out: &mut String, mark: &Mark) {
    if let Some(part) = mark.part {
        out.push_str(" data-part=\"");
        escape(out, part);
        out.push('"');
    }
    if let Some(value) = mark.value {
        out.push_str(" data-value=\"");
        fixed(out, value, 6);
        out.push('"');
    }
}

fn trace(out: &mut String, points: &[At]) {
    for (i, p) in points.iter().enumerate() {
        out.push(if i == 0 { 'M' } else { 'L' });
        pair(out, *p);
    }
}

fn pair(out: &mut String, p: At) {
    number(out, p.x);
    out.push(' ');
    number(out, p.y);
}

fn arc(out: &mut String, mark: &Mark, (c, r): (At, f64), from: f64, to: f64) {
    let on = |angle: f64| c.moved(r * angle.cos(), r * angle.sin());
    let large = (to - from).abs() > std::f64::consts::PI;
    out.push_str("<path");
    tags(out, mark);
    out.push_str(" d=\"M");
    pair(out, on(from));
    out.push('A');
    number(out, r);
    out.push(' ');
    number(out, r);
    out.push_str(if large { " 0 1 " } else { " 0 0 " });
    out.push_str(if to > from { "1 " } else { "0 " });
    pair(out, on(to));
    out.push_str("\"/>");
}

fn words(out: &mut String, mark: &Mark, text: &Text) {
    out.push_str("<text");
    tags(out, mark);
    if text.turn == 0.0 {
        attribute(out, "x", text.at.x);
        attribute(out, "y", text.at.y);
    } else {
        out.push_str(" transform=\"translate(");
        pair(out, text.at);
        out.push_str(") rotate(");
        number(out, text.turn);
        out.push_str(")\"");
    }
    attribute(out, "font-size", text.size);
    match text.anchor {
        Anchor::Start => {}
        Anchor::Middle => out.push_str(" text-anchor=\"middle\""),
        Anchor::End => out.push_str(" text-anchor=\"end\""),
    }
    out.push('>');
    for piece in pieces(&text.content) {
        match piece {
            Set::Plain(plain) => escape(out, plain),
            Set::Fraction(over, under) => fraction(out, text.size, over, under),
        }
    }
    out.push_str("</text>");
}

/// A raised small numerator, a fraction slash, a small denominator; the
/// shifts are in units because `em` would follow the small size.
fn fraction(out: &mut String, size: f64, over: &str, under: &str) {
    let (small, up) = (size * 0.66, size * 0.3);
    out.push_str("<tspan class=\"dw-fraction\"");
    attribute(out, "font-size", small);
    attribute(out, "dy", -up);
    out.push('>');
    out.push_str(over);
    out.push_str("</tspan><tspan");
    attribute(out, "dy", up);
    out.push_str(">\u{2044}</tspan><tspan class=\"dw-fraction\"");
    attribute(out, "font-size", small);
    out.push('>');
    out.push_str(under);
    out.push_str("</tspan>");
}

fn attribute(out: &mut String, name: &str, value: f64) {
    out.push(' ');
    out.push_str(name);
    out.push_str("=\"");
    number(out, value);
    out.push('"');
}

/// Two places, no trailing zeros. What is not finite is written as 0, so
/// that no file is ever broken by a number.
fn number(out: &mut String, value: f64) {
    fixed(out, value, 2);
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to what an i64 holds"
)]
fn fixed(out: &mut String, value: f64, places: u32) {
    let power = 10_u64.pow(places);
    let scaled = (value * power as f64).round().clamp(-1e15, 1e15) as i64;
    if scaled < 0 {
        out.push('-');
    }
    let size = scaled.unsigned_abs();
    let mut digits = [b'0'; 20];
    let mut rest = size;
    let mut used = 0;
    while rest > 0 || used <= places as usize {
        digits[19 - used] = b'0' + (rest % 10) as u8;
        rest /= 10;
        used += 1;
    }
    let point = 20 - places as usize;
    for d in &digits[20 - used..point] {
        out.push(char::from(*d));
    }
    let decimals = &digits[point..];
    let keep = decimals
        .iter()
        .rposition(|d| *d != b'0')
        .map_or(0, |i| i + 1);
    if keep > 0 {
        out.push('.');
        for d in &decimals[..keep] {
            out.push(char::from(*d));
        }
    }
}

/// Escapes for text and attributes; leaves out what XML 1.0 forbids.
fn escape(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{0}'..='\u{1f}' | '\u{7f}' | '\u{fffe}' | '\u{ffff}' => {}
            _ => out.push(c),
        }
    }
}
