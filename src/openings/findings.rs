//! What the numbers of a survey say: findings on one measure, on the two
//! measures together, and on a drawn head that is to go over the opening.
//!
//! The limits (1/8 in to mind, 1/4 in to act on, 1/2 in for the flashing) are
//! common practice, no source.

use crate::measure::{Length, Unit};
use crate::trim::sheet::{Finding, Severity};

use super::lengths::{absolute, less, longest, mean, nearest, say, shortest, sum};
use super::model::{Measured, OpeningKind, Surveyed};

/// More than this between two numbers that ought to agree is worth a word.
pub const MIND: Length = Length::from_nanometres(3_175_000);
/// More than this must be dealt with before the head is drawn.
pub const ACT: Length = Length::from_nanometres(6_350_000);

/// Findings on one measure by itself, worst first, worded in `unit`.
#[must_use]
pub fn of_measure(kind: OpeningKind, m: &Measured, unit: Unit) -> Vec<Finding> {
    let mut found = Found::new(unit);
    missing(m, &mut found);
    spread("widths", "widths-differ", &m.widths, &mut found);
    if kind == OpeningKind::Arch {
        arch_rise(m, &mut found);
    } else {
        spread("heights", "heights-differ", &m.heights, &mut found);
    }
    impossible(m, &mut found);
    if !found.has_error() {
        square(m, &mut found);
        closes(kind, m, &mut found);
    }
    leaning(m, &mut found);
    found.worst_first()
}

/// Findings on an opening as a whole: its last measure, and what the second
/// says against the first.
#[must_use]
pub fn of_opening(opening: &Surveyed, unit: Unit) -> Vec<Finding> {
    let mut found = Found::new(unit);
    if let Some(counts) = opening.counts() {
        found.list = of_measure(opening.kind, counts, unit);
    }
    match (&opening.first, &opening.second) {
        (None, None) => found.note("not-measured", "Not measured yet.".into()),
        (Some(_), None) => found.warning(
            "second-missing",
            "Measured once. Take the second measure before anything is ordered.".into(),
        ),
        (None, Some(_)) => found.warning(
            "first-missing",
            "There is a second measure and no first: nothing to hold it against.".into(),
        ),
        (Some(first), Some(second)) => between(first, second, &mut found),
    }
    found.worst_first()
}

/// May lumber be bought from these numbers: measured twice, the two agreeing,
/// nothing impossible among them.
#[must_use]
pub fn ready_to_order(opening: &Surveyed) -> bool {
    let stops = |f: &Finding| {
        f.severity == Severity::Error
            || matches!(
                f.code,
                "not-measured" | "second-missing" | "first-missing" | "measures-differ"
            )
    };
    !of_opening(opening, Unit::Inch).iter().any(stops)
}

/// One row of the comparison of two measures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Compared {
    /// `Width, top`.
    pub what: &'static str,
    /// The first measure's number.
    pub first: Option<Length>,
    /// The second's.
    pub second: Option<Length>,
}

impl Compared {
    /// Second less first.
    #[must_use]
    pub fn difference(&self) -> Option<Length> {
        Some(less(self.second?, self.first?))
    }

    /// Do the two differ by more than 1/8 in?
    #[must_use]
    pub fn differs(&self) -> bool {
        self.difference().is_some_and(|d| absolute(d) > MIND)
    }
}

/// Every number of the two measures, side by side, in the order of the form.
#[must_use]
pub fn compare(first: &Measured, second: &Measured) -> Vec<Compared> {
    let rows = first.named().into_iter().zip(second.named());
    rows.map(|((what, first), (_, second))| Compared {
        what,
        first,
        second,
    })
    .collect()
}

fn between(first: &Measured, second: &Measured, found: &mut Found) {
    for row in compare(first, second).iter().filter(|row| row.differs()) {
        let (Some(a), Some(b)) = (row.first, row.second) else {
            continue;
        };
        let text = format!(
            "{}: first {}, second {}, {} apart. Measure again.",
            row.what,
            found.say(a),
            found.say(b),
            found.say(absolute(less(b, a)))
        );
        found.warning("measures-differ", text);
    }
}

fn missing(m: &Measured, found: &mut Found) {
    let named = m.named();
    let blank: Vec<_> = named
        .iter()
        .filter(|(_, value)| value.is_none())
        .map(|(name, _)| name.to_lowercase())
        .collect();
    if !blank.is_empty() {
        found.note(
            "not-all-measured",
            format!("Not measured: {}.", blank.join("; ")),
        );
    }
}

fn spread(what: &str, code: &'static str, values: &[Option<Length>; 3], found: &mut Found) {
    let (Some(least), Some(most)) = (shortest(values), longest(values)) else {
        return;
    };
    let apart = less(most, least);
    if apart > ACT {
        let text = format!(
            "The {what} differ by {}. Scribe the casings, or decide which number the head follows.",
            found.say(apart)
        );
        found.warning(code, text);
    } else if apart > MIND {
        found.note(code, format!("The {what} differ by {}.", found.say(apart)));
    }
}

fn arch_rise(m: &Measured, found: &mut Found) {
    let [Some(left), Some(middle), Some(right)] = m.heights else {
        return;
    };
    if middle <= left.max(right) {
        let text = format!(
            "An arch is highest in the middle, but the middle is {} and the sides are {} and {}.",
            found.say(middle),
            found.say(left),
            found.say(right)
        );
        found.warning("arch-flat", text);
    }
    let apart = absolute(less(left, right));
    if apart > MIND {
        let text = format!("The arch springs {} higher on one side.", found.say(apart));
        found.note("heights-differ", text);
    }
}

/// Each diagonal makes a triangle with a width and a height; no side of a
/// triangle reaches the other two together, and this one faces a wide angle.
fn impossible(m: &Measured, found: &mut Found) {
    let [left, _, right] = m.heights;
    let [top, _, bottom] = m.widths;
    let [rising, falling] = m.diagonals;
    let triangles = [
        ("rising", rising, bottom, right),
        ("rising", rising, top, left),
        ("falling", falling, top, right),
        ("falling", falling, bottom, left),
    ];
    for (name, diagonal, width, height) in triangles {
        let (Some(d), Some(w), Some(h)) = (diagonal, width, height) else {
            continue;
        };
        let both = sum(&[w, h]);
        let why = if d <= w {
            format!("it must be longer than the width, {}", found.say(w))
        } else if d <= h {
            format!("it must be longer than the height, {}", found.say(h))
        } else if d >= both {
            format!(
                "it must be shorter than width and height together, {}",
                found.say(both)
            )
        } else {
            continue;
        };
        let said = format!("The {name} diagonal cannot be {}", found.say(d));
        if !found.list.iter().any(|f| f.text.starts_with(&said)) {
            found.error("impossible", format!("{said}: {why}. Measure again."));
        }
    }
}

/// A w × h rectangle leaning by s over its height has d1² − d2² = 4·w·s.
fn square(m: &Measured, found: &mut Found) {
    let [Some(rising), Some(falling)] = m.diagonals else {
        return;
    };
    let apart = absolute(less(rising, falling));
    if apart <= MIND {
        return;
    }
    let lean = mean(&m.widths).map(|width| {
        let (a, b) = (rising.inches(), falling.inches());
        ((a * a - b * b) / (4.0 * width)).abs()
    });
    let by = lean.map_or_else(String::new, |inches| {
        format!(
            ": the sides lean about {} over the height",
            found.about(inches)
        )
    });
    let text = format!(
        "Out of square: the diagonals differ by {}{by}.",
        found.say(apart)
    );
    if apart > ACT {
        found.warning("out-of-square", text);
    } else {
        found.note("out-of-square", text);
    }
}

/// Four sides and one diagonal fix the other diagonal. If what was measured is
/// another, one of the numbers is a slip of the tape or of the pencil.
fn closes(kind: OpeningKind, m: &Measured, found: &mut Found) {
    // An arch's heights and a bay's widths do not bound one flat four-sided figure.
    if matches!(
        kind,
        OpeningKind::Arch | OpeningKind::Bay | OpeningKind::Other
    ) {
        return;
    }
    let [Some(top), _, Some(bottom)] = m.widths else {
        return;
    };
    let [Some(left), _, Some(right)] = m.heights else {
        return;
    };
    let [Some(rising), Some(falling)] = m.diagonals else {
        return;
    };
    let sides = [top, right, bottom, left].map(Length::inches);
    let Some(expected) = other_diagonal(sides, rising.inches()) else {
        return;
    };
    if (expected - falling.inches()).abs() > ACT.inches() {
        let text = format!(
            "With these sides and a rising diagonal of {} the falling one would be about {}, not \
             {}. One of the numbers is wrong: measure again.",
            found.say(rising),
            found.about(expected),
            found.say(falling)
        );
        found.warning("does-not-close", text);
    }
}

/// Length of the diagonal from top left to bottom right of a four-sided figure
/// with the sides `[top, right, bottom, left]` and the diagonal `rising` from
/// bottom left to top right, all in one unit; `None` if there is no such figure.
#[must_use]
pub fn other_diagonal([top, right, bottom, left]: [f64; 4], rising: f64) -> Option<f64> {
    // Bottom left at the origin, top right at (rising, 0): the other two
    // corners stand on opposite sides of that line.
    let corner = |from_origin: f64, from_top_right: f64| {
        let x = (from_origin.powi(2) - from_top_right.powi(2) + rising.powi(2)) / (2.0 * rising);
        let y2 = from_origin.powi(2) - x * x;
        (y2 >= 0.0).then(|| (x, y2.sqrt()))
    };
    let (x1, y1) = corner(left, top)?;
    let (x2, y2) = corner(bottom, right)?;
    Some((x1 - x2).hypot(y1 + y2))
}

fn leaning(m: &Measured, found: &mut Found) {
    let named = [
        ("plumb", "out-of-plumb", m.plumb),
        ("level", "out-of-level", m.level),
    ];
    for (what, code, value) in named {
        let Some(off) = value else { continue };
        if off > ACT {
            found.warning(
                code,
                format!("Out of {what} by {}: pack or scribe.", found.say(off)),
            );
        } else if off > MIND {
            found.note(code, format!("Out of {what} by {}.", found.say(off)));
        }
    }
}

/// Findings being gathered, with the unit they are worded in.
pub(super) struct Found {
    pub(super) list: Vec<Finding>,
    unit: Unit,
}

impl Found {
    pub(super) const fn new(unit: Unit) -> Self {
        Self {
            list: Vec::new(),
            unit,
        }
    }

    pub(super) fn say(&self, length: Length) -> String {
        say(length, self.unit)
    }

    /// A reckoned length, to the nearest division.
    pub(super) fn about(&self, inches: f64) -> String {
        say(nearest(inches, self.unit), self.unit)
    }

    fn add(&mut self, severity: Severity, code: &'static str, text: String) {
        self.list.push(Finding {
            severity,
            code,
            piece: None,
            text,
        });
    }

    pub(super) fn error(&mut self, code: &'static str, text: String) {
        self.add(Severity::Error, code, text);
    }

    pub(super) fn warning(&mut self, code: &'static str, text: String) {
        self.add(Severity::Warning, code, text);
    }

    pub(super) fn note(&mut self, code: &'static str, text: String) {
        self.add(Severity::Note, code, text);
    }

    fn has_error(&self) -> bool {
        self.list.iter().any(|f| f.severity == Severity::Error)
    }

    pub(super) fn worst_first(mut self) -> Vec<Finding> {
        self.list.sort_by_key(|f| f.severity);
        self.list
    }
}
