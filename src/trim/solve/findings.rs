//! What a person must know about single pieces and cuts.

use crate::trim::design::Saw;
use crate::trim::sheet::{Cut, Finding, Hold, Piece, Setting, Severity, SolvedRun};

use super::{Rules, saw};

/// A length of no more than this, inches, is no wood.
const NO_WOOD: f64 = 1e-9;

/// Pieces that vanish, are thin, or are too short to hold by hand.
pub(super) fn of_pieces(run: &SolvedRun, rules: &Rules, findings: &mut Vec<Finding>) {
    let say = |inches| rules.rounding.words(inches);
    for piece in &run.pieces {
        let mut push = |severity, code, text| {
            findings.push(Finding {
                severity,
                code,
                piece: Some(piece.label.clone()),
                text,
            });
        };
        if piece.shortest <= NO_WOOD {
            push(Severity::Error, "piece-vanishes", vanishes(piece, rules));
            continue;
        }
        if piece.shortest < rules.thin - NO_WOOD {
            let text = format!(
                "At its shortest the piece is only {} long: it may break at the saw.",
                say(piece.shortest)
            );
            push(Severity::Warning, "piece-thin", text);
        }
        if piece.overall < rules.short_piece - NO_WOOD {
            let text = format!(
                "Only {} long: do not hold it by hand. Cut it from a longer stick, clamp it, \
                 and let the blade stop before it is lifted.",
                say(piece.overall)
            );
            push(Severity::Warning, "short-piece", text);
        }
    }
}

fn vanishes(piece: &Piece, rules: &Rules) -> String {
    format!(
        "The two cuts meet inside the wood: the measured edge is {}, but at the face {} of it is \
         missing. A longer leg, a smaller projection or a narrower drop is needed.",
        rules.rounding.words(piece.reference),
        rules.rounding.words(-piece.shortest)
    )
}

/// Cuts that the saw cannot make as they stand.
pub(super) fn of_saw(run: &SolvedRun, limits: &Saw, rules: &Rules, findings: &mut Vec<Finding>) {
    for piece in &run.pieces {
        for (end, cut) in [("left", &piece.left), ("right", &piece.right)] {
            for text in over((run, piece, cut), limits, rules) {
                findings.push(Finding {
                    severity: Severity::Warning,
                    code: "saw-limit",
                    piece: Some(piece.label.clone()),
                    text: format!("At the {end} end {text}"),
                });
            }
        }
    }
}

/// In words, each limit that a cut is past and the way round.
fn over((run, piece, cut): (&SolvedRun, &Piece, &Cut), limits: &Saw, rules: &Rules) -> Vec<String> {
    let say = |inches| rules.rounding.words(inches);
    let setting = &cut.setting;
    let mut found = Vec::new();
    if let Some((most, to)) = past_swing(setting.swing, limits) {
        found.push(format!(
            "the swing of {:.1}° to the {to} is past this saw's {most}°. {}",
            setting.swing.to_degrees().abs(),
            complement(setting, limits)
        ));
    }
    if let Some((most, to)) = past_tilt(setting.tilt, limits) {
        found.push(format!(
            "the tilt of {:.1}° to the {to} is past this saw's {most}°. {}",
            setting.tilt.to_degrees().abs(),
            other_way(run, piece, cut, limits)
        ));
    }
    let frame = saw::SawFrame::new(setting.hold, run.spring.unwrap_or(0.0));
    let (depth, height) = frame.depth_and_height(&run.section);
    if let Some(most) = limits
        .max_height
        .filter(|most| height > most.inches() + NO_WOOD)
    {
        found.push(format!(
            "the stock stands {} tall, past this saw's {most}. Lay it down and tilt the blade, \
             or cut it in two passes with the stock turned over.",
            say(height)
        ));
    }
    if let Some(most) = limits
        .max_depth
        .filter(|most| depth > most.inches() + NO_WOOD)
    {
        found.push(format!(
            "the stock lies {} deep, past this saw's {most}. Stand it on edge, or cut it on a \
             sliding saw or a table saw.",
            say(depth)
        ));
    }
    found
}

/// The limit that a swing is past, and to which side.
fn past_swing(swing: f64, limits: &Saw) -> Option<(f64, &'static str)> {
    past(
        swing,
        (limits.swing_right, "right"),
        (limits.swing_left, "left"),
    )
}

fn past_tilt(tilt: f64, limits: &Saw) -> Option<(f64, &'static str)> {
    past(
        tilt,
        (limits.tilt_left, "left"),
        (limits.tilt_right, "right"),
    )
}

type Limit = (Option<f64>, &'static str);

fn past(angle: f64, more: Limit, less: Limit) -> Option<(f64, &'static str)> {
    let (most, to) = if angle >= 0.0 { more } else { less };
    let most = most?;
    (angle.abs().to_degrees() > most + 1e-7).then_some((most, to))
}

/// The stock square to the fence: the complement, to the other side.
fn complement(setting: &Setting, limits: &Saw) -> String {
    let quarter = std::f64::consts::FRAC_PI_2;
    let swing = if setting.swing > 0.0 {
        setting.swing - quarter
    } else {
        setting.swing + quarter
    };
    let side = if swing > 0.0 { "right" } else { "left" };
    if past_swing(swing, limits).is_some() {
        return "Mark it and cut it by hand.".to_owned();
    }
    format!(
        "Stand the stock square to the fence against a block, clamped, and set the complement: \
         {:.1}° to the {side}.",
        swing.to_degrees().abs()
    )
}

/// A hold in which the same cut needs no tilt that this saw cannot give.
fn other_way(run: &SolvedRun, piece: &Piece, cut: &Cut, limits: &Saw) -> String {
    let sprung: &[(Hold, &str)] = &[
        (
            Hold::SprungFlat,
            "on its back, the edge that meets the cap to the fence",
        ),
        (
            Hold::SprungFlatTurned,
            "on its back turned end for end, lower edge to the fence",
        ),
    ];
    let solid: &[(Hold, &str)] = &[
        (Hold::Flat, "back on the bed, upper edge to the fence"),
        (Hold::Inverted, "upside down, wall side to the fence"),
        (Hold::Upright, "on its seat, back edge to the fence"),
        (Hold::OnEdge, "on edge, seat against the fence"),
    ];
    let spring = run.spring.unwrap_or(0.0);
    let ways = if run.spring.is_some() { sprung } else { solid };
    for &(hold, words) in ways {
        let other = saw::setting(hold, spring, &piece.leg, cut.plane);
        if past_swing(other.swing, limits).is_none() && past_tilt(other.tilt, limits).is_none() {
            return format!(
                "Hold it {words}: swing {}, tilt {}.",
                swing(&other),
                tilt(&other)
            );
        }
    }
    "Mark it and cut it by hand, or plane it to the line.".to_owned()
}

fn swing(setting: &Setting) -> String {
    side(setting.swing, "to the right", "to the left")
}

fn tilt(setting: &Setting) -> String {
    side(setting.tilt, "to the left", "to the right")
}

fn side(angle: f64, more: &str, less: &str) -> String {
    match angle.to_degrees() {
        a if a.abs() < 0.05 => "0°".to_owned(),
        a if a > 0.0 => format!("{a:.1}° {more}"),
        a => format!("{:.1}° {less}", -a),
    }
}
