//! Labels as a PDF at true size: pieces and heads, each with a QR code that
//! leads back to its sheet; on sheets of labels or on a roll of any size.
//! Pure: the layout and words in, the file out.

use pdf_writer::types::TextRenderingMode;
use pdf_writer::{Content, Finish as _, Name, Pdf, Rect, Ref, Str, TextStr};
use qrcode::{Color, EcLevel, QrCode};

/// Points in an inch.
const PT: f64 = 72.0;
/// Clear modules round a QR code (ISO/IEC 18004, from memory).
const QUIET: usize = 4;

/// How labels lie on their paper; all in inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layout {
    /// Width and height of the sheet; of one label for a roll.
    pub page: (f64, f64),
    /// Width and height of a label.
    pub label: (f64, f64),
    /// From the sheet's left and top edge to the first label.
    pub first: (f64, f64),
    /// Clear between two labels, across and down.
    pub gap: (f64, f64),
}

/// What a layout cannot be, in words.
pub type BadLayout = (&'static str, String);

impl Layout {
    /// A roll: each label a page of its own.
    #[must_use]
    pub const fn roll(width: f64, height: f64) -> Self {
        Self {
            page: (width, height),
            label: (width, height),
            first: (0.0, 0.0),
            gap: (0.0, 0.0),
        }
    }

    /// How many labels lie side by side, and below one another.
    ///
    /// # Errors
    /// The field and what is allowed: labels from 3/4 in to 12 in each way,
    /// sheets up to 48 in, and at least one label on a sheet.
    pub fn grid(&self) -> Result<(usize, usize), BadLayout> {
        let fits = |size: f64, least: f64, most: f64| (least..=most).contains(&size);
        for (name, size) in [
            ("label_width", self.label.0),
            ("label_height", self.label.1),
        ] {
            if !fits(size, 0.75, 12.0) {
                return Err((name, "A label is 3/4 in to 12 in wide and high.".into()));
            }
        }
        for (name, size) in [("page_width", self.page.0), ("page_height", self.page.1)] {
            if !fits(size, 0.75, 48.0) {
                return Err((name, "A sheet is at most 48 in wide and high.".into()));
            }
        }
        for (name, size) in [
            ("left", self.first.0),
            ("top", self.first.1),
            ("gap_across", self.gap.0),
            ("gap_down", self.gap.1),
        ] {
            if !fits(size, 0.0, 12.0) {
                return Err((name, "Between 0 and 12 in.".into()));
            }
        }
        let many = |page: f64, first: f64, label: f64, gap: f64| {
            // A hair of room, so that sizes rounded to 1/64 in still fit.
            let room = (page - first + gap + 0.02) / (label + gap);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "between 0 and 64"
            )]
            let whole = room.floor().clamp(0.0, 64.0) as usize;
            whole
        };
        let across = many(self.page.0, self.first.0, self.label.0, self.gap.0);
        let down = many(self.page.1, self.first.1, self.label.1, self.gap.1);
        if across == 0 || down == 0 {
            return Err(("label_width", "Not one label fits on this sheet.".into()));
        }
        Ok((across, down))
    }
}

/// One label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// In big letters: the piece or the head.
    pub big: String,
    /// Below, in small ones.
    pub lines: Vec<String>,
    /// What the QR code says.
    pub link: String,
}

/// The dark modules of a QR code, row by row; level M.
///
/// # Errors
/// The link is too long for a code.
pub fn modules(link: &str) -> Result<Vec<Vec<bool>>, String> {
    let code = QrCode::with_error_correction_level(link, EcLevel::M).map_err(|e| e.to_string())?;
    let dark: Vec<bool> = code.to_colors().iter().map(|c| *c == Color::Dark).collect();
    Ok(dark.chunks(code.width()).map(<[bool]>::to_vec).collect())
}

/// The labels as a file, the first `skip` places left empty, so that a sheet
/// begun can be used up.
///
/// # Errors
/// The layout cannot be, or a link is too long.
pub fn pdf(labels: &[Label], layout: &Layout, skip: usize) -> Result<Vec<u8>, BadLayout> {
    let (across, down) = layout.grid()?;
    let each = across * down;
    let skip = skip % each;
    let count = (skip + labels.len()).div_ceil(each).max(1);
    let mut pdf = Pdf::new();
    let (catalog, tree, info) = (Ref::new(1), Ref::new(2), Ref::new(3));
    let (plain, bold) = (Ref::new(4), Ref::new(5));
    let whole = |n: usize| i32::try_from(n).unwrap_or(i32::MAX / 4);
    let page_ref = |n: usize| Ref::new(6 + 2 * whole(n));
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree)
        .kids((0..count).map(page_ref))
        .count(whole(count));
    pdf.document_info(info).title(TextStr("Labels"));
    for (id, name) in [(plain, "Helvetica"), (bold, "Helvetica-Bold")] {
        pdf.type1_font(id)
            .base_font(Name(name.as_bytes()))
            .encoding_predefined(Name(b"WinAnsiEncoding"));
    }
    for n in 0..count {
        let content = Ref::new(7 + 2 * whole(n));
        let mut page = pdf.page(page_ref(n));
        let (width, height) = layout.page;
        page.media_box(Rect::new(0.0, 0.0, single(width * PT), single(height * PT)))
            .parent(tree)
            .contents(content);
        page.resources()
            .fonts()
            .pair(Name(b"P"), plain)
            .pair(Name(b"B"), bold);
        page.finish();
        let mut out = Content::new();
        for place in 0..each {
            let nth = (n * each + place).checked_sub(skip);
            if let Some(label) = nth.and_then(|nth| labels.get(nth)) {
                let corner = corner(layout, (place % across, place / across));
                draw(&mut out, label, layout.label, corner)?;
            }
        }
        pdf.stream(content, &out.finish());
    }
    Ok(pdf.finish())
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a PDF's numbers are single"
)]
const fn single(x: f64) -> f32 {
    x as f32
}

#[expect(
    clippy::cast_precision_loss,
    reason = "at most 64 by 64 labels and 177 modules"
)]
const fn real(n: usize) -> f64 {
    n as f64
}

/// Lower left corner of a label, points from the page's.
fn corner(layout: &Layout, (column, row): (usize, usize)) -> (f64, f64) {
    let x = layout.first.0 + real(column) * (layout.label.0 + layout.gap.0);
    let y = layout.first.1 + real(row) * (layout.label.1 + layout.gap.1) + layout.label.1;
    (x * PT, (layout.page.1 - y) * PT)
}

/// One label: the code at the left, as high as the label, the words beside it.
fn draw(
    out: &mut Content,
    label: &Label,
    (width, height): (f64, f64),
    (x, y): (f64, f64),
) -> Result<(), BadLayout> {
    let rows = modules(&label.link).map_err(|why| ("label_width", why))?;
    let side = height.min(width * 0.5) * PT;
    let module = side / real(rows.len() + 2 * QUIET);
    let top = y + (height * PT + side) / 2.0;
    for (r, row) in rows.iter().enumerate() {
        for (c, dark) in row.iter().enumerate() {
            if *dark {
                let at = (
                    x + module * real(c + QUIET),
                    top - module * real(r + QUIET + 1),
                );
                out.rect(single(at.0), single(at.1), single(module), single(module));
            }
        }
    }
    out.fill_nonzero();
    let left = x + side;
    let room = width * PT - side - 4.0;
    let big = fitted(&label.big, room, (height * PT * 0.3).min(28.0), 0.62);
    let small = (height * PT * 0.13).clamp(6.0, 11.0);
    let mut line = y + height * PT - big - 4.0;
    text(out, b"B", big, (left, line), &label.big);
    for words in &label.lines {
        let size = fitted(words, room, small, 0.56);
        line -= size * 1.25;
        if line < y + 2.0 {
            break;
        }
        text(out, b"P", size, (left, line), words);
    }
    Ok(())
}

/// A size at which the words fit, not under 4 points; `each` is a generous mean
/// width of a character at size 1.
fn fitted(words: &str, room: f64, most: f64, each: f64) -> f64 {
    let wanted = room / (real(words.chars().count().max(1)) * each);
    wanted.min(most).max(4.0)
}

fn text(out: &mut Content, font: &[u8], size: f64, (x, y): (f64, f64), words: &str) {
    out.begin_text()
        .set_text_rendering_mode(TextRenderingMode::Fill)
        .set_font(Name(font), single(size))
        .next_line(single(x), single(y))
        .show(Str(&latin(words)))
        .end_text();
}

/// Windows-1252, as the standard fonts want it; `?` for what it lacks.
fn latin(words: &str) -> Vec<u8> {
    let one = |c: char| match c {
        ' '..='~' | '\u{a0}'..='\u{ff}' => u8::try_from(u32::from(c)).unwrap_or(b'?'),
        '\u{2019}' => 0x92,
        '\u{2013}' => 0x96,
        _ => b'?',
    };
    words.chars().map(one).collect()
}
