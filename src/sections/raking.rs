//! Raked sections for a page and for paper: the source beside the sections
//! that close on it, the height of every arris, how each part changes.

use askama::Template;
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use serde::Deserialize;

use crate::measure::{Unit, parse_number};
use crate::trim::draw::{self, Look, Seen};
use crate::trim::paper::{self, Paper, Plate};
use crate::trim::raked::{Form, RakeCorner, Raked, arris_rows, findings, part_rows};
use crate::trim::section::{Back, Curve, Outline, Section};
use crate::trim::words::degrees_text;
use crate::web::{AppState, Errors, Fields, Fragment, Svg, WebError, percent};

use super::showing::{look, signed, sized, words};

/// What a raked page asks for, as typed in its address.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    /// `return` or `rake`: which run the section belongs to.
    pub given: String,
    /// Rise in 12, or degrees.
    pub pitch: String,
    /// `rise` or `degrees`.
    pub written_as: String,
    /// Degrees between the walls.
    pub corner: String,
    /// `letter` or `a4`.
    pub paper: String,
    /// Which of a head's sections, from 0.
    pub which: String,
}

impl Asked {
    /// For the form to show.
    #[must_use]
    pub fn fields(&self) -> Fields {
        Fields::default()
            .with("given", &self.given)
            .with("pitch", &self.pitch)
            .with("written_as", &self.written_as)
            .with("corner", &self.corner)
            .with("paper", &self.paper)
            .with("which", &self.which)
    }

    /// With blanks filled: a pitch of 7 in 12 at a square corner, the section
    /// being the level return's.
    #[must_use]
    pub fn or_usual(mut self) -> Self {
        for (field, usual) in [
            (&mut self.given, "return"),
            (&mut self.pitch, "7"),
            (&mut self.written_as, "rise"),
            (&mut self.corner, "90"),
            (&mut self.paper, "letter"),
            (&mut self.which, "0"),
        ] {
            if field.trim().is_empty() {
                usual.clone_into(field);
            }
        }
        self
    }

    /// Which run the section belongs to, and the corner.
    ///
    /// # Errors
    /// What is wrong with which field.
    pub fn corner(&self) -> Result<(Form, RakeCorner), Errors> {
        let mut errors = Errors::default();
        let given = match self.given.as_str() {
            "return" => Some(Form::Return),
            "rake" => Some(Form::Rake),
            _ => {
                errors.add("given", "Choose one of the list.");
                None
            }
        };
        let mut number = |field: &str, text: &str, low: f64, high: f64| {
            let found = parse_number(text.trim().trim_end_matches(['°', ' ']))
                .ok()
                .filter(|n| (low..=high).contains(n));
            if found.is_none() {
                errors.add(field, format!("Write a number from {low} to {high}."));
            }
            found
        };
        let pitch = if self.written_as == "degrees" {
            number("pitch", &self.pitch, 0.01, 79.9).map(f64::to_radians)
        } else {
            number("pitch", &self.pitch, 0.01, 60.0).map(|rise| rise.atan2(12.0))
        };
        let corner = number("corner", &self.corner, 1.0, 359.0).map(f64::to_radians);
        match (given, pitch, corner) {
            (Some(given), Some(pitch), Some(plan_corner)) => {
                Ok((given, RakeCorner { pitch, plan_corner }))
            }
            _ => Err(errors),
        }
    }

    /// The paper; Letter unless A4 is asked for.
    #[must_use]
    pub fn paper(&self) -> Paper {
        if self.paper == "a4" {
            Paper::A4
        } else {
            Paper::Letter
        }
    }

    /// The same question as an address's query.
    #[must_use]
    pub fn query(&self) -> String {
        format!(
            "given={}&pitch={}&written_as={}&corner={}&paper={}&which={}",
            percent(&self.given),
            percent(&self.pitch),
            percent(&self.written_as),
            percent(&self.corner),
            percent(&self.paper),
            percent(&self.which),
        )
    }
}

/// One of the three sections on the page.
struct Shown {
    name: String,
    given: bool,
    picture: Svg,
    words: String,
}

struct ArrisLine {
    nth: usize,
    sharp: bool,
    out: String,
    heights: [String; 3],
    peak: String,
}

struct PartLine {
    nth: usize,
    what: &'static str,
    out: String,
    up: [String; 3],
    growth: String,
    note: &'static str,
}

/// The raked sections as a piece of a page.
#[derive(Template)]
#[template(path = "sections/raked_part.html")]
pub struct RakedPart {
    shown: Vec<Shown>,
    arrises: Vec<ArrisLine>,
    parts: Vec<PartLine>,
    findings: Vec<String>,
    pitch: String,
    corner: String,
    keep: &'static str,
}

/// Where a part changes: named once, since the map is one for all arrises.
fn growth(given: f64, changed: f64) -> String {
    if given.abs() < 1e-9 {
        return String::new();
    }
    let share = (changed / given - 1.0) * 100.0;
    if share.abs() < 0.05 {
        "as it was".to_owned()
    } else if share > 0.0 {
        format!("{share:.1} % taller")
    } else if share > -100.0 {
        format!("{:.1} % shorter", -share)
    } else {
        "turned over".to_owned()
    }
}

impl RakedPart {
    /// Of a section.
    #[must_use]
    pub fn new(app: &AppState, outline: &Outline, given: Form, corner: RakeCorner) -> Self {
        let say = words(app);
        let raked = Raked::new(outline, given, corner);
        let rows = part_rows(outline.curves(), given, &corner);
        let points: Vec<_> = outline.curves().iter().map(Curve::from).collect();
        let sharp: Vec<usize> = outline
            .arrises(crate::trim::section::ARRIS_TURN)
            .iter()
            .map(|a| a.curve)
            .collect();
        let place = |form: Form| Form::ALL.iter().position(|f| *f == form).unwrap_or(0);
        // What is cut to another form: the rake for a given return, the return for a given rake.
        let changed = place(if given == Form::Return {
            Form::Rake
        } else {
            Form::Return
        });
        let arrises = arris_rows(&points, given, &corner)
            .into_iter()
            .enumerate()
            .map(|(i, row)| ArrisLine {
                nth: i + 1,
                sharp: sharp.contains(&i),
                out: signed(row.u, say),
                heights: row.heights.map(|h| signed(h, say)),
                peak: signed(row.peak, say),
            });
        let parts = rows.iter().map(|row| PartLine {
            nth: row.part + 1,
            what: row.shape.words(),
            out: signed(row.out, say),
            up: row.up.map(|up| signed(up, say)),
            growth: growth(
                row.up.get(place(given)).copied().unwrap_or(0.0),
                row.up.get(changed).copied().unwrap_or(0.0),
            ),
            note: match (row.turns_over.contains(&true), row.dips.contains(&true)) {
                (true, _) => "turns over",
                (false, true) => "dips",
                _ => "",
            },
        });
        Self {
            shown: shown(&raked, &look(app, 420.0)),
            arrises: arrises.collect(),
            parts: parts.collect(),
            findings: findings(&rows, given).into_iter().map(|f| f.text).collect(),
            pitch: degrees_text(corner.pitch),
            corner: degrees_text(corner.plan_corner),
            keep: given.words(),
        }
    }

    /// Drawn for another page to hold.
    ///
    /// # Errors
    /// The template's.
    pub fn fragment(&self) -> Result<Fragment, WebError> {
        Ok(Fragment::of(self)?)
    }
}

/// The three side by side at one scale.
fn shown(raked: &Raked, look: &Look) -> Vec<Shown> {
    let extents = Form::ALL.map(|form| raked.form(form).extents());
    let (wide, tall) = extents.iter().fold((1e-6_f64, 1e-6_f64), |(w, h), e| {
        (w.max(e.width()), h.max(e.height()))
    });
    let scale = (230.0 / wide).min(300.0 / tall).min(120.0);
    let one = |(form, e): (Form, &crate::trim::section::Extents)| {
        let section = Section {
            outline: raked.form(form).clone(),
            back: Back::Solid,
        };
        let seen = Seen {
            scale: Some(scale),
            members: false,
        };
        let scene = draw::moulding(form.words(), &section, seen, look);
        Shown {
            name: form.words().to_owned(),
            given: form == raked.given,
            picture: sized(&scene),
            words: format!(
                "{} out, {} high",
                (look.length)(e.width()),
                (look.length)(e.height())
            ),
        }
    };
    Form::ALL.into_iter().zip(&extents).map(one).collect()
}

/// A file for the knife grinder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RakedFile {
    /// Paper at true scale, with check bars.
    Pdf,
    /// A drawing in millimetres, curves kept.
    Svg,
    /// A drawing of release 12.
    Dxf,
}

/// The file of a plate as a reply, named `{stem}.pdf` and so on.
#[must_use]
pub fn file(app: &AppState, plate: &Plate, what: RakedFile, paper: Paper, stem: &str) -> Response {
    let (kind, ending, body) = match what {
        RakedFile::Pdf => ("application/pdf", "pdf", paper::pdf(&plate.scene(), paper)),
        RakedFile::Svg => (
            "image/svg+xml; charset=utf-8",
            "svg",
            paper::svg(plate).into_bytes(),
        ),
        RakedFile::Dxf => {
            let unit = if app.firm().unit == Unit::Millimetre {
                Unit::Millimetre
            } else {
                Unit::Inch
            };
            ("image/vnd.dxf", "dxf", paper::dxf(plate, unit).into_bytes())
        }
    };
    let heads = [
        (header::CONTENT_TYPE, kind.to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"{stem}.{ending}\""),
        ),
    ];
    (heads, body).into_response()
}
