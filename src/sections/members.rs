//! The members of a section's form: what each may be, and its row read.

use crate::measure::{Length, Unit};
use crate::trim::section::parts::{Conic, Order, Part};
use crate::web::{Choice, Errors};

use super::typed::{Typed, member};

/// Members: value and words.
const MEMBERS: [(&str, &str); 10] = [
    ("fillet", "Fillet: a flat band, plumb"),
    ("soffit", "Level face, seen from below"),
    ("splay", "Splay: a straight sloping face"),
    ("ovolo", "Ovolo: convex"),
    ("cavetto", "Cavetto: hollow"),
    ("cyma-recta", "Cyma recta: hollow above, round below"),
    ("cyma-reversa", "Cyma reversa: round above, hollow below"),
    ("scotia", "Scotia: a deep hollow"),
    ("astragal", "Astragal: half round"),
    ("bead", "Bead: half round, small"),
];

/// Ways to strike a curve: value and words.
const STRUCK: [(&str, &str); 5] = [
    ("roman", "Roman: arcs"),
    ("roman-full", "Roman: two quarter circles (cyma)"),
    ("ellipse", "Greek: ellipse"),
    ("parabola", "Greek: parabola"),
    ("hyperbola", "Greek: hyperbola"),
];

/// Weight of a hyperbola here: its shoulder lies 1/6 of each side from where
/// the tangents meet. How sharp it is drawn is a matter of taste.
const SHARP: f64 = 2.0;

fn choices(all: &[(&str, &str)]) -> Vec<Choice> {
    all.iter()
        .map(|(value, words)| Choice::new(value, words))
        .collect()
}

/// What a member may be.
#[must_use]
pub fn member_choices() -> Vec<Choice> {
    choices(&MEMBERS)
}

/// How its curve may be struck.
#[must_use]
pub fn struck_choices() -> Vec<Choice> {
    choices(&STRUCK)
}

/// Words of a member without its explanation.
#[must_use]
pub fn member_words(is: &str) -> &'static str {
    let found = MEMBERS.iter().find(|(value, _)| *value == is);
    found.map_or("Member", |(_, words)| {
        words.split(':').next().unwrap_or(words)
    })
}

/// One row being read.
struct Row<'a> {
    typed: &'a Typed,
    nth: usize,
    unit: Unit,
    errors: &'a mut Errors,
}

impl Row<'_> {
    fn text(&self, field: &str) -> &str {
        self.typed.get(&member(self.nth, field))
    }

    /// A length in inches; blank is nothing where it may be.
    fn length(&mut self, field: &str, may_lack: bool) -> f64 {
        let text = self.text(field).to_owned();
        if text.is_empty() && may_lack {
            return 0.0;
        }
        match length(&text, self.unit) {
            Ok(length) => length,
            Err(words) => {
                self.errors.add(&member(self.nth, field), words);
                0.0
            }
        }
    }

    fn order(&mut self) -> (Order, bool) {
        let greek = |conic| (Order::Greek(conic), false);
        match self.text("struck") {
            "roman" => (Order::Roman, false),
            "roman-full" => (Order::Roman, true),
            "ellipse" => greek(Conic::Ellipse),
            "parabola" => greek(Conic::Parabola),
            "hyperbola" => greek(Conic::Hyperbola(SHARP)),
            _ => {
                let name = member(self.nth, "struck");
                self.errors.add(&name, "Choose one of the list.");
                (Order::Roman, false)
            }
        }
    }

    fn part(&mut self) -> Option<Part> {
        let is = self.text("is").to_owned();
        if is == "soffit" {
            let projection = self.length("out", false);
            return Some(Part::Soffit { projection });
        }
        let height = self.length("height", false);
        if is == "fillet" {
            return Some(Part::Fillet { height });
        }
        if is == "splay" {
            let projection = self.length("out", true);
            return Some(Part::Splay { height, projection });
        }
        let (order, full) = self.order();
        let needs_out = matches!(
            is.as_str(),
            "ovolo" | "cavetto" | "cyma-recta" | "cyma-reversa"
        );
        let projection = self.length("out", !needs_out);
        let greek = matches!(order, Order::Greek(_));
        let depth = match is.as_str() {
            "scotia" | "astragal" | "bead" => self.length("depth", !greek),
            _ => 0.0,
        };
        Some(match is.as_str() {
            "ovolo" => Part::Ovolo {
                height,
                projection,
                order,
            },
            "cavetto" => Part::Cavetto {
                height,
                projection,
                order,
            },
            "cyma-recta" => Part::CymaRecta {
                height,
                projection,
                order,
                full,
            },
            "cyma-reversa" => Part::CymaReversa {
                height,
                projection,
                order,
                full,
            },
            "scotia" => Part::Scotia {
                height,
                depth,
                projection,
                order,
            },
            "astragal" | "bead" => Part::Astragal {
                height,
                depth,
                order,
            },
            _ => {
                self.errors
                    .add(&member(self.nth, "is"), "Choose one of the list.");
                return None;
            }
        })
    }
}

/// A length as typed, in inches: at most 100 ft either way.
///
/// # Errors
/// What is wrong with it.
pub(super) fn length(text: &str, unit: Unit) -> Result<f64, String> {
    if text.is_empty() {
        return Err("Fill this in.".to_owned());
    }
    let length = Length::parse(&text.replace('\u{2212}', "-"), unit).map_err(|error| {
        let mut words = error.to_string();
        if !words.ends_with('.') {
            words.push('.');
        }
        words
    })?;
    if length.inches().abs() > Length::DESIGN_MAX.inches() {
        return Err("At most 100 ft is allowed.".to_owned());
    }
    Ok(length.inches())
}

/// Every member from the top down.
pub(super) fn read(typed: &Typed, unit: Unit, errors: &mut Errors) -> Vec<Part> {
    (0..typed.members())
        .filter_map(|nth| {
            Row {
                typed,
                nth,
                unit,
                errors,
            }
            .part()
        })
        .collect()
}
