//! What is said of measures that do not agree.

use crate::trim::sheet::{Finding, Severity};
use crate::trim::solve::Rules;

use super::lay::Laid;
use super::lines::{Line, is_length};
use super::{AsBuilt, Spot};

/// Further off the drawing than this the tape was probably misread, inches.
/// Common practice, no source.
const FAR: f64 = 1.0;
/// The same for a corner, degrees of its mitre.
const FAR_DEGREES: f64 = 5.0;

fn warning(code: &'static str, text: String) -> Finding {
    Finding {
        severity: Severity::Warning,
        code,
        piece: None,
        text,
    }
}

/// Twins that differ by more than the allowance.
pub(super) fn twins(left: (&Spot, f64), right: (&Spot, f64), rules: &Rules) -> Finding {
    let say = |inches| rules.rounding.words(inches);
    let text = format!(
        "The {} and the {} differ by {} ({} and {}); up to {} both would be cut to the longer \
         one. Measure again or recut the board.",
        left.0.label(),
        right.0.label(),
        say((left.1 - right.1).abs()),
        say(left.1),
        say(right.1),
        say(rules.twins)
    );
    warning("twins-differ", text)
}

/// A measure so far off the drawing that the tape was probably misread.
pub(super) fn far(line: &Line, built: &AsBuilt, rules: &Rules, findings: &mut Vec<Finding>) {
    for ask in line.asks() {
        let what = ask.spot.label();
        if is_length(&ask.spot) {
            let Some(measured) = built.lengths.get(&ask.spot) else {
                continue;
            };
            if (measured.inches() - ask.drawn).abs() > FAR {
                let text = format!(
                    "The {what} was measured {}, but is drawn {}. Check the tape, or change the \
                     design.",
                    rules.rounding.words(measured.inches()),
                    rules.rounding.words(ask.drawn)
                );
                findings.push(warning("as-built-far", text));
            }
        } else if let Some(measured) = built.degrees.get(&ask.spot)
            && (measured - ask.drawn).abs() > FAR_DEGREES
        {
            let text = format!(
                "The {what} was measured {measured:.1}°, but is drawn {:.1}°. A mitre is half the \
                 turn at its corner. Check the angle, or change the design.",
                ask.drawn
            );
            findings.push(warning("as-built-far", text));
        }
    }
}

/// Measures that do not come round: as laid, the far end stands higher or
/// lower than it should.
pub(super) fn open(line: &Line, laid: &Laid, rules: &Rules, findings: &mut Vec<Finding>) {
    let rise = |points: &[crate::trim::space::Point]| match (points.first(), points.last()) {
        (Some(first), Some(last)) => last.y - first.y,
        _ => 0.0,
    };
    let (drawn, measured) = (rise(&line.points), rise(&laid.points));
    let off = measured - drawn;
    if drawn.abs() > 1e-6 || off.abs() <= rules.twins + 1e-9 {
        return;
    }
    let which = if off < 0.0 { "lower" } else { "higher" };
    let text = format!(
        "Laid out as measured, the right end stands {} {which} than it should: the lengths and \
         angles do not agree. Measure both rakes and every corner again.",
        rules.rounding.words(off.abs())
    );
    findings.push(warning("as-built-open", text));
}
