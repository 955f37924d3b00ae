//! Writes a scene as SVG: classes for the style sheet, plain attributes where
//! a file also has to stand alone, no `style` attribute, no ids.

use super::scene::{Anchor, At, Ink, Mark, Scene, Set, Shape, Text, View, pieces};

/// How the file is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct SvgOptions {
    /// Name the width and height, for a file that stands alone; inside a
    /// page the page decides.
    pub sized: bool,
    /// The page brings `drawing.css`, which says how each ink looks: leave
    /// out the attributes that stand in for it.
    pub dressed: bool,
}

/// The scene as one `svg` element with a title and a description. All text
/// is escaped; characters that XML forbids are left out.
#[must_use]
pub fn svg(scene: &Scene, options: &SvgOptions) -> String {
    let mut out = Out(Vec::with_capacity(900 + scene.marks.len() * 160));
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
            _ if options.dressed => shape(&mut out, mark, Some(inked(mark.ink).0)),
            _ => {
                if ink != Some(mark.ink) {
                    end_group(&mut out, &mut ink);
                    let (class, attributes) = inked(mark.ink);
                    out.push_str("<g class=\"");
                    out.push_str(class);
                    out.push_str("\" ");
                    out.push_str(attributes);
                    out.push(b'>');
                    ink = Some(mark.ink);
                }
                shape(&mut out, mark, None);
            }
        }
    }
    end_group(&mut out, &mut ink);
    out.push_str("</svg>");
    // Only whole strings went in, so this cannot fail.
    String::from_utf8(out.0).unwrap_or_default()
}

/// The file as it grows. Bytes, because numbers are most of it and are laid
/// down digit by digit.
struct Out(Vec<u8>);

impl Out {
    fn push_str(&mut self, text: &str) {
        self.0.extend_from_slice(text.as_bytes());
    }

    /// One ASCII character.
    fn push(&mut self, byte: u8) {
        self.0.push(byte);
    }
}

fn end_group(out: &mut Out, ink: &mut Option<Ink>) {
    if ink.take().is_some() {
        out.push_str("</g>");
    }
}

fn head(out: &mut Out, scene: &Scene, options: SvgOptions) {
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
            out.push(b' ');
        }
        number(out, v);
    }
    out.push_str("\" font-family=\"system-ui, sans-serif\" font-size=\"16\"><title>");
    escape(out, &scene.title);
    out.push_str("</title><desc>");
    escape(out, &scene.desc);
    out.push_str("</desc>");
}

fn open(out: &mut Out, view: &View) {
    out.push_str("<g data-view=\"");
    escape(out, view.name);
    out.push(b'"');
    out.push_str(" data-scale=\"");
    // The scale multiplies inches, so it is written to more places.
    fine(out, view.scale);
    out.push(b'"');
    attribute(out, "data-x", view.origin.x);
    attribute(out, "data-y", view.origin.y);
    out.push(b'>');
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

/// One mark, with its class where no group carries it.
fn shape(out: &mut Out, mark: &Mark, class: Option<&'static str>) {
    match &mark.shape {
        Shape::Line(a, b) => {
            out.push_str("<path");
            tags(out, mark, class);
            out.push_str(" d=\"");
            trace(out, &[*a, *b]);
            out.push_str("\"/>");
        }
        Shape::Path(points) => {
            out.push_str("<path");
            tags(out, mark, class);
            out.push_str(" d=\"");
            trace(out, points);
            out.push_str("\"/>");
        }
        Shape::Area(points) => {
            out.push_str("<path");
            tags(out, mark, class);
            out.push_str(" d=\"");
            trace(out, points);
            out.push_str("z\"/>");
        }
        Shape::Lines(lines) => {
            out.push_str("<path");
            tags(out, mark, class);
            out.push_str(" d=\"");
            // Hatching needs no more than a tenth of a unit.
            for (a, b) in lines {
                out.push(b'M');
                tenth(out, a.x);
                out.push(b' ');
                tenth(out, a.y);
                out.push(b'L');
                tenth(out, b.x);
                out.push(b' ');
                tenth(out, b.y);
            }
            out.push_str("\"/>");
        }
        Shape::Circle(c, r) => {
            out.push_str("<circle");
            tags(out, mark, class);
            attribute(out, "cx", c.x);
            attribute(out, "cy", c.y);
            attribute(out, "r", *r);
            out.push_str("/>");
        }
        Shape::Arc(c, r, from, to) => arc(out, (mark, class), (*c, *r), (*from, *to)),
        Shape::Text(text) => words(out, (mark, class), text),
        Shape::Open(_) | Shape::Close => {}
    }
}

fn tags(out: &mut Out, mark: &Mark, class: Option<&'static str>) {
    if let Some(class) = class {
        out.push_str(" class=\"");
        out.push_str(class);
        out.push(b'"');
    }
    if let Some(part) = mark.part {
        // The names of parts are ours and need no escaping.
        out.push_str(" data-part=\"");
        out.push_str(part);
        out.push(b'"');
    }
    if let Some(value) = mark.value {
        out.push_str(" data-value=\"");
        fine(out, value);
        out.push(b'"');
    }
}

fn trace(out: &mut Out, points: &[At]) {
    for (i, p) in points.iter().enumerate() {
        out.push(if i == 0 { b'M' } else { b'L' });
        pair(out, *p);
    }
}

fn pair(out: &mut Out, p: At) {
    number(out, p.x);
    out.push(b' ');
    number(out, p.y);
}

fn arc(
    out: &mut Out,
    (mark, class): (&Mark, Option<&'static str>),
    (c, r): (At, f64),
    (from, to): (f64, f64),
) {
    let on = |angle: f64| c.moved(r * angle.cos(), r * angle.sin());
    let large = (to - from).abs() > std::f64::consts::PI;
    out.push_str("<path");
    tags(out, mark, class);
    out.push_str(" d=\"M");
    pair(out, on(from));
    out.push(b'A');
    number(out, r);
    out.push(b' ');
    number(out, r);
    out.push_str(if large { " 0 1 " } else { " 0 0 " });
    out.push_str(if to > from { "1 " } else { "0 " });
    pair(out, on(to));
    out.push_str("\"/>");
}

fn words(out: &mut Out, (mark, class): (&Mark, Option<&'static str>), text: &Text) {
    out.push_str("<text");
    tags(out, mark, class);
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
    // The root's own size goes without saying.
    if text.size.to_bits() != 16.0_f64.to_bits() {
        attribute(out, "font-size", text.size);
    }
    match text.anchor {
        Anchor::Start => {}
        Anchor::Middle => out.push_str(" text-anchor=\"middle\""),
        Anchor::End => out.push_str(" text-anchor=\"end\""),
    }
    out.push(b'>');
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
fn fraction(out: &mut Out, size: f64, over: &str, under: &str) {
    let (small, up) = (size * 0.66, size * 0.3);
    out.push_str("<tspan class=\"dw-fraction\"");
    attribute(out, "font-size", small);
    attribute(out, "dy", -up);
    out.push(b'>');
    out.push_str(over);
    out.push_str("</tspan><tspan");
    attribute(out, "dy", up);
    out.push_str(">\u{2044}</tspan><tspan class=\"dw-fraction\"");
    attribute(out, "font-size", small);
    out.push(b'>');
    out.push_str(under);
    out.push_str("</tspan>");
}

fn attribute(out: &mut Out, name: &str, value: f64) {
    out.push(b' ');
    out.push_str(name);
    out.push_str("=\"");
    number(out, value);
    out.push(b'"');
}

/// The numbers 00 to 99, two characters each.
const PAIRS: [[u8; 2]; 100] = pairs();

const fn pairs() -> [[u8; 2]; 100] {
    let mut all = [[b'0'; 2]; 100];
    let (mut n, mut i) = (0_u8, 0);
    while i < 100 {
        all[i] = [b'0' + n / 10, b'0' + n % 10];
        n += 1;
        i += 1;
    }
    all
}

/// Two places, no trailing zeros. What is not finite is written as 0, so
/// that no file is ever broken by a number.
fn number(out: &mut Out, value: f64) {
    let count = scaled(value, 100.0);
    let size = count.unsigned_abs();
    // A place on a sheet: under a thousand, so at most a sign, three digits,
    // a point and two more.
    if size >= 100_000 {
        return decimal(out, count, (100, 2));
    }
    let (whole, rest) = (size / 100, size % 100);
    if count < 0 {
        out.push(b'-');
    }
    small(out, whole);
    let [tens, ones] = pair_of(rest);
    match (tens, ones) {
        (b'0', b'0') => {}
        (_, b'0') => out.0.extend_from_slice(&[b'.', tens]),
        _ => out.0.extend_from_slice(&[b'.', tens, ones]),
    }
}

/// One place, no trailing zero.
fn tenth(out: &mut Out, value: f64) {
    let count = scaled(value, 10.0);
    let size = count.unsigned_abs();
    if size >= 10_000 {
        return decimal(out, count, (10, 1));
    }
    if count < 0 {
        out.push(b'-');
    }
    small(out, size / 10);
    if !size.is_multiple_of(10) {
        out.0.extend_from_slice(&[b'.', digit(size % 10)]);
    }
}

/// A whole number under a thousand.
fn small(out: &mut Out, whole: u64) {
    let [tens, ones] = pair_of(whole % 100);
    match whole {
        0..10 => out.push(ones),
        10..100 => out.0.extend_from_slice(&[tens, ones]),
        _ => out.0.extend_from_slice(&[digit(whole / 100), tens, ones]),
    }
}

/// The two characters of a number under a hundred.
fn pair_of(n: u64) -> [u8; 2] {
    usize::try_from(n)
        .ok()
        .and_then(|n| PAIRS.get(n))
        .copied()
        .unwrap_or([b'0'; 2])
}

/// As `number`, to six places.
fn fine(out: &mut Out, value: f64) {
    decimal(out, scaled(value, 1e6), (1_000_000, 6));
}

/// Half away from zero; 0 for what is not a number.
#[expect(
    clippy::cast_possible_truncation,
    reason = "clamped to what an i64 holds; NaN becomes 0"
)]
fn scaled(value: f64, power: f64) -> i64 {
    // Truncation after half a step is much faster than `round` here.
    (value * power + 0.5_f64.copysign(value)).clamp(-1e15, 1e15) as i64
}

/// `count`/`parts`, `parts` being ten to the `places`, laid down from the
/// right.
fn decimal(out: &mut Out, count: i64, (parts, mut places): (u64, usize)) {
    let size = count.unsigned_abs();
    let (mut whole, mut rest) = (size / parts, size % parts);
    let mut buffer = [b'0'; 24];
    let mut slots = buffer.iter_mut().rev();
    let mut used = 0;
    let mut put = |byte: u8| {
        if let Some(slot) = slots.next() {
            *slot = byte;
            used += 1;
        }
    };
    if rest > 0 {
        while rest.is_multiple_of(10) {
            rest /= 10;
            places -= 1;
        }
        for _ in 0..places {
            put(digit(rest % 10));
            rest /= 10;
        }
        put(b'.');
    }
    loop {
        put(digit(whole % 10));
        whole /= 10;
        if whole == 0 {
            break;
        }
    }
    if count < 0 {
        put(b'-');
    }
    let start = buffer.len() - used;
    out.0
        .extend_from_slice(buffer.get(start..).unwrap_or_default());
}

/// The character of a number below ten.
const fn digit(n: u64) -> u8 {
    b'0' + n.to_le_bytes()[0]
}

/// Escapes for text and attributes; leaves out what XML 1.0 forbids.
fn escape(out: &mut Out, text: &str) {
    let plain =
        |b: &u8| matches!(b, b' '..=b'~') && !matches!(b, b'&' | b'<' | b'>' | b'"' | b'\'');
    if text.as_bytes().iter().all(plain) {
        out.push_str(text);
        return;
    }
    let mut buffer = [0_u8; 4];
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(b' '),
            '\u{0}'..='\u{1f}' | '\u{7f}' | '\u{fffe}' | '\u{ffff}' => {}
            _ => out.push_str(c.encode_utf8(&mut buffer)),
        }
    }
}
