//! Raked sections: where a level return meets a rake round a plan corner,
//! the joint closes only if one of the two is another section.
//!
//! With the pitch θ, the plan corner c (90° for a return to the wall) and
//! k = cot(c/2), the rake's section is (u, v·cos θ + u·k·sin θ) of the
//! return's (u, v); the return's from the rake's (u, w) is
//! v = w/cos θ − u·k·tan θ, and the return at the upper end of a rake
//! v = w/cos θ + u·k·tan θ. Sources: HATF art. 323, BTP Fig. 24, KITT
//! Problems 91 and 92 for 90°; own derivation, checked by vectors, for any
//! corner. The maps are affine, so a curve stays the curve it is.

mod change;
mod cuts;
mod json;
mod table;

pub use change::{ArrisRow, PartRow, Shape, arris_rows, findings, part_rows};
pub use cuts::{RakeCuts, eave_plane, rake_cuts, upper_plane};
pub use json::{RakedInput, from_json, from_json_text};

use super::section::{Affine, Outline};
use super::sheet::SectionPoint;

/// How a rake stands and how its return turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RakeCorner {
    /// Pitch of the rake from level, radians, 0 up to but not a right angle.
    pub pitch: f64,
    /// Plan corner, radians between the two walls: a quarter turn for a
    /// return to the wall, more than half a turn for an inside corner.
    pub plan_corner: f64,
}

/// Which of the three sections.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// The level return at the rake's lower end.
    Return,
    /// The raking moulding, square to the rake.
    Rake,
    /// The level return at the rake's upper end, as on a broken gable.
    UpperReturn,
}

impl Form {
    /// All three, in the order they are shown.
    pub const ALL: [Self; 3] = [Self::Return, Self::Rake, Self::UpperReturn];

    /// In the trade's words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Return => "level return",
            Self::Rake => "rake",
            Self::UpperReturn => "upper return",
        }
    }
}

impl RakeCorner {
    /// k = cot(c/2): 1 at a square corner, 0 straight on.
    #[must_use]
    pub fn k(&self) -> f64 {
        let (sin, cos) = (self.plan_corner / 2.0).sin_cos();
        cos / sin
    }

    /// The map from the section `from` to the section `to`.
    #[must_use]
    pub fn map(&self, from: Form, to: Form) -> Affine {
        // Heights are reckoned by way of the rake's own, w.
        let (per_u, per_v) = self.onto_rake(from);
        let (u, w) = self.off_rake(to);
        if from == to {
            return Affine::SAME;
        }
        Affine::sheared(u + w * per_u, w * per_v)
    }

    /// w for each u and each v of a section.
    fn onto_rake(&self, from: Form) -> (f64, f64) {
        let (sin, cos) = self.pitch.sin_cos();
        match from {
            Form::Rake => (0.0, 1.0),
            Form::Return => (self.k() * sin, cos),
            Form::UpperReturn => (-self.k() * sin, cos),
        }
    }

    /// v of a section for each u and each w.
    fn off_rake(&self, to: Form) -> (f64, f64) {
        let (sin, cos) = self.pitch.sin_cos();
        match to {
            Form::Rake => (0.0, 1.0),
            Form::Return => (-self.k() * sin / cos, 1.0 / cos),
            Form::UpperReturn => (self.k() * sin / cos, 1.0 / cos),
        }
    }

    /// The plumb section at the peak: height w/cos θ, projection kept (WARE
    /// p. 41; own derivation).
    #[must_use]
    pub fn peak_map(&self, from: Form) -> Affine {
        let (per_u, per_v) = self.onto_rake(from);
        let cos = self.pitch.cos();
        Affine::sheared(per_u / cos, per_v / cos)
    }
}

/// The three sections of a rake and its returns.
#[derive(Debug, Clone, PartialEq)]
pub struct Raked {
    /// Which one was given.
    pub given: Form,
    /// The corner.
    pub corner: RakeCorner,
    /// The level return.
    pub level_return: Outline,
    /// The rake.
    pub rake: Outline,
    /// The upper return.
    pub upper_return: Outline,
}

impl Raked {
    /// Derives the other two from one section.
    #[must_use]
    pub fn new(section: &Outline, given: Form, corner: RakeCorner) -> Self {
        let form = |to| section.mapped(&corner.map(given, to));
        Self {
            given,
            corner,
            level_return: form(Form::Return),
            rake: form(Form::Rake),
            upper_return: form(Form::UpperReturn),
        }
    }

    /// One of the three.
    #[must_use]
    pub const fn form(&self, form: Form) -> &Outline {
        match form {
            Form::Return => &self.level_return,
            Form::Rake => &self.rake,
            Form::UpperReturn => &self.upper_return,
        }
    }
}

/// Points of one section as they stand on another.
#[must_use]
pub fn map_points(points: &[SectionPoint], map: &Affine) -> Vec<SectionPoint> {
    points.iter().map(|p| map.apply(*p)).collect()
}
