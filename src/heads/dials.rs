//! What to set on the scale of the saw at hand, where a test cut has shown
//! that the scale is out.

use crate::firm::{TestCut, counting};
use crate::trim::dial::Axis;
use crate::trim::sheet::Setting;
use crate::trim::words;

/// The test cuts of the saw that a sheet is shown for, the newest first.
#[derive(Debug, Clone, Default)]
pub struct Dials(pub Vec<TestCut>);

/// One setting as the scale must show it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dialled {
    /// Radians, signed as a setting's swing.
    pub swing: f64,
    /// Radians, signed as a setting's tilt.
    pub tilt: f64,
    /// What is dialled, what the sheet says and why; empty where the scale
    /// shows the sheet's own figures.
    pub words: Vec<String>,
}

impl Dials {
    /// What to set for `setting`.
    #[must_use]
    pub fn of(&self, setting: &Setting) -> Dialled {
        let mut words = Vec::new();
        let mut axis = |axis, angle: f64, say: fn(f64) -> String| {
            let degrees = angle.to_degrees();
            let Some(cut) = counting(&self.0, axis, degrees) else {
                return angle;
            };
            let dial = cut.reading.dial(degrees).to_radians();
            if say(dial) == say(angle) {
                return angle;
            }
            words.push(reason(cut, say(dial), angle));
            dial
        };
        let swing = axis(Axis::Swing, setting.swing, words::swing_words);
        let tilt = axis(Axis::Tilt, setting.tilt, words::tilt_words);
        Dialled { swing, tilt, words }
    }
}

/// `dial swing right 22.7° (sheet 22.5°; this saw cuts 0.2° less than it
/// shows, test cut of 12 Nov 2026)`.
fn reason(cut: &TestCut, dial: String, sheet: f64) -> String {
    let off = cut.reading.measured - cut.reading.set;
    let way = if off < 0.0 { "less" } else { "more" };
    format!(
        "dial {dial} (sheet {}; this saw cuts {:.1}° {way} than it shows, test cut of {})",
        words::degrees_text(sheet),
        off.abs(),
        cut.day.format("%-d %b %Y")
    )
}
