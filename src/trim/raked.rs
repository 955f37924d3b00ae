//! Raked sections: the sections of a level return, of the rake, and of the
//! upper return of a broken pediment, so that they close round a plan corner.
//!
//! With pitch θ, plan corner c and k = cot(c/2), a point of the return at
//! projection u and height v belongs to a point of the rake at the same
//! projection and at w = v·cos θ + u·k·sin θ square to the rake (Hatfield,
//! *The American House-Carpenter*, art. 323; the factor k for corners other
//! than 90° is our own derivation). A true curve stays a curve: the map is
//! affine.

use serde::Serialize;
use serde_json::Value;

use super::contract::{FindingOut, finding};
use super::design::{Pitch, Wrong, read};
use super::sheet::{Finding, SectionPoint, Severity};

/// Which run a given section belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Given {
    /// The level return at the lower end.
    Return,
    /// The rake.
    Rake,
}

/// What is asked: one section and the corner it goes round.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// u out from the wall, v up, square to the run; inches.
    pub section: Vec<SectionPoint>,
    /// Whose section it is.
    pub given: Given,
    /// Of the rake.
    pub pitch: Pitch,
    /// Between the two walls, radians; a quarter turn for a return to the
    /// wall.
    pub plan_corner: f64,
}

/// The three sections, points in the order given, inches.
#[derive(Debug, Clone, PartialEq)]
pub struct Raked {
    /// The level return at the lower end.
    pub lower_return: Vec<SectionPoint>,
    /// The rake.
    pub rake: Vec<SectionPoint>,
    /// The level return at the upper end.
    pub upper_return: Vec<SectionPoint>,
    /// What a person must know.
    pub findings: Vec<Finding>,
}

impl Ask {
    /// Reads the contract's JSON.
    ///
    /// # Errors
    /// Where the input is wrong, what is wrong, and what is allowed.
    pub fn from_json(value: &Value) -> Result<Self, Wrong> {
        read::raked(value)
    }

    /// From return to rake and back: (cos θ, sin θ, k).
    fn factors(&self) -> (f64, f64, f64) {
        let (sin, cos) = self.pitch.radians().sin_cos();
        (cos, sin, 1.0 / (self.plan_corner / 2.0).tan())
    }
}

/// Draws the sections that close on the one given.
///
/// A part that turns over, so that a face which looked up looks down, is a
/// finding of severity warning.
#[must_use]
pub fn solve_raked(ask: &Ask) -> Raked {
    let (cos, sin, k) = ask.factors();
    let map = |f: &dyn Fn(f64, f64) -> f64| -> Vec<SectionPoint> {
        let point = |p: &SectionPoint| SectionPoint {
            u: p.u,
            v: f(p.u, p.v),
        };
        ask.section.iter().map(point).collect()
    };
    let (lower_return, rake) = match ask.given {
        Given::Return => (ask.section.clone(), map(&|u, v| v * cos + u * k * sin)),
        Given::Rake => (map(&|u, w| (w - u * k * sin) / cos), ask.section.clone()),
    };
    let upper_return = match ask.given {
        Given::Return => map(&|u, v| v + 2.0 * u * k * sin / cos),
        Given::Rake => map(&|u, w| (w + u * k * sin) / cos),
    };
    let mut findings = Vec::new();
    let changed = [
        ("return", &lower_return),
        ("rake", &rake),
        ("upper return", &upper_return),
    ];
    for (name, section) in changed {
        findings.extend(turns_over(name, &ask.section, section));
    }
    findings.sort_by_key(|finding| finding.severity);
    Raked {
        lower_return,
        rake,
        upper_return,
        findings,
    }
}

/// Steps smaller than this, inches, are level.
const LEVEL: f64 = 1e-9;

/// A part turns over where going out from the wall it rose and now falls, or
/// fell and now rises.
fn turns_over(name: &str, given: &[SectionPoint], made: &[SectionPoint]) -> Option<Finding> {
    let steps = |section: &[SectionPoint]| -> Vec<f64> {
        let next = section.iter().skip(1);
        section.iter().zip(next).map(|(a, b)| b.v - a.v).collect()
    };
    let both = steps(given).into_iter().zip(steps(made));
    let parts: Vec<String> = both
        .enumerate()
        .filter(|(_, (was, is))| was * is < 0.0 && was.abs() > LEVEL && is.abs() > LEVEL)
        .map(|(i, _)| format!("{} to {}", i + 1, i + 2))
        .collect();
    (!parts.is_empty()).then(|| Finding {
        severity: Severity::Warning,
        code: "part-turns-over",
        piece: None,
        text: format!(
            "On the {name} the part from point {} turns over: what sloped one way slopes the \
             other. Keep the other section, or take a flatter pitch.",
            parts.join(", ")
        ),
    })
}

/// The contract's form of the three sections.
#[derive(Debug, Serialize)]
pub struct RakedOut<'a> {
    ok: bool,
    findings: Vec<FindingOut<'a>>,
    return_in: Vec<[f64; 2]>,
    rake_in: Vec<[f64; 2]>,
    upper_return_in: Vec<[f64; 2]>,
}

impl Raked {
    /// Whether nothing stops the sections from being made.
    #[must_use]
    pub fn can_be_made(&self) -> bool {
        self.findings
            .iter()
            .all(|finding| finding.severity != Severity::Error)
    }

    /// The contract's form.
    #[must_use]
    pub fn contract(&self) -> RakedOut<'_> {
        let list = |section: &[SectionPoint]| section.iter().map(|p| [p.u, p.v]).collect();
        RakedOut {
            ok: self.can_be_made(),
            findings: self.findings.iter().map(finding).collect(),
            return_in: list(&self.lower_return),
            rake_in: list(&self.rake),
            upper_return_in: list(&self.upper_return),
        }
    }
}

impl Raked {
    /// The three sections as text, in inches, point by point.
    #[must_use]
    pub fn table(&self) -> String {
        let mut out =
            String::from("Sections in inches: out from the wall (u), and up square to the run\n");
        for finding in &self.findings {
            let line = format!(
                "{} ({}): {}\n",
                finding.severity.word(),
                finding.code,
                finding.text
            );
            out.push_str(&line);
        }
        out.push_str("  point        u    return      rake    upper return\n");
        let rows = self
            .lower_return
            .iter()
            .zip(&self.rake)
            .zip(&self.upper_return);
        for (i, ((low, rake), high)) in rows.enumerate() {
            let row = format!(
                "  {:>5} {:>8.4}  {:>8.4}  {:>8.4}        {:>8.4}\n",
                i + 1,
                low.u,
                low.v,
                rake.v,
                high.v
            );
            out.push_str(&row);
        }
        out
    }
}
