//! What a person must know about single pieces and cuts.

use crate::trim::sheet::{Finding, Piece, Severity, SolvedRun};

use super::Rules;

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
