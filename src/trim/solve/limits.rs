//! What is said where a saw cannot make a cut the usual way.

use crate::trim::design::Saw;
use crate::trim::sheet::{Finding, Setting, Severity};
use crate::trim::words::{block_words, hold_short, hold_words};

use super::Rules;
use super::hold::{Chosen, Over, Stock, Wanted, against_block};
use super::order::Side;

/// The finding about one cut, if the saw cannot make it as its run would.
pub(super) fn finding(
    label: &str,
    (stock, cut): (Stock<'_>, Wanted<'_>),
    chosen: &Chosen,
    (saw, rules): (&Saw, &Rules),
) -> Option<Finding> {
    let over = stock.over(&chosen.usual, &cut, saw);
    if over.is_empty() {
        return None;
    }
    let end = match cut.side {
        Side::Left => "left",
        Side::Right => "right",
    };
    let trouble = trouble(&chosen.usual, &over, saw, rules);
    let (severity, way) = if !chosen.fits {
        (Severity::Warning, beyond(&chosen.usual, &over, rules))
    } else if chosen.setting.block.is_some() {
        (
            Severity::Warning,
            format!(
                "{} The blade may bite into the block: no nails in it.",
                complement(&chosen.setting)
            ),
        )
    } else {
        let instead = format!(
            "It is held {} instead: swing {}, tilt {}.",
            hold_words(chosen.setting.hold),
            swing(&chosen.setting),
            tilt(&chosen.setting)
        );
        let block = against_block(stock, chosen.usual.hold, &cut, saw);
        let or = block.map_or_else(String::new, |block| format!(" Or: {}", complement(&block)));
        (Severity::Note, instead + &or)
    };
    Some(Finding {
        severity,
        code: "saw-limit",
        piece: Some(label.to_owned()),
        text: format!(
            "At the {end} end, held {}, {trouble}. {way}",
            hold_short(chosen.usual.hold)
        ),
    })
}

/// Each limit that the usual way is past.
fn trouble(usual: &Setting, over: &[Over], saw: &Saw, rules: &Rules) -> String {
    let say = |inches| rules.rounding.words(inches);
    let each = over.iter().map(|over| match over {
        Over::Swing { most, to } => format!(
            "the swing of {:.1}° to the {to} is past this saw's {most}°",
            usual.swing.to_degrees().abs()
        ),
        Over::Tilt { most, to } => format!(
            "the tilt of {:.1}° to the {to} is past this saw's {most}°",
            usual.tilt.to_degrees().abs()
        ),
        Over::Height { inches } => format!(
            "the stock stands {} tall, past this saw's {}",
            say(*inches),
            said(saw.max_height)
        ),
        Over::Depth { inches } | Over::Reach { inches } => format!(
            "the stock lies {} deep, past this saw's {}",
            say(*inches),
            said(saw.max_depth)
        ),
    });
    each.collect::<Vec<_>>().join(" and ")
}

fn said(length: Option<crate::measure::Length>) -> String {
    length.map_or_else(String::new, |length| length.to_string())
}

/// The stock square to the fence: the complement, to the other side.
fn complement(setting: &Setting) -> String {
    let tilt = if setting.tilt.to_degrees().abs() < 0.05 {
        String::new()
    } else {
        format!(", the blade tilted {}", tilt(setting))
    };
    let block = setting.block.map_or("", block_words);
    format!(
        "Stand the stock square to the fence against a block, clamped, {block}, {}, and set the \
         complement: {}{tilt}.",
        hold_short(setting.hold),
        swing(setting)
    )
}

/// What would make a cut that this saw cannot make in any way.
fn beyond(usual: &Setting, over: &[Over], rules: &Rules) -> String {
    let needs: Vec<String> = over
        .iter()
        .map(|over| match over {
            Over::Swing { .. } => format!("swings {}", swing(usual)),
            Over::Tilt { .. } => format!("tilts {}", tilt(usual)),
            Over::Height { inches } => {
                format!("takes stock {} tall", rules.rounding.words(*inches))
            }
            Over::Depth { inches } | Over::Reach { inches } => {
                format!("takes stock {} deep", rules.rounding.words(*inches))
            }
        })
        .collect();
    format!(
        "No way of holding it brings this cut within the saw's reach, nor does a block. It needs \
         a saw that {}; or a sled on a table saw, its guard and the maker's rules kept; or mark \
         the line on all faces and cut it with a hand saw, then plane to the line.",
        needs.join(" and ")
    )
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
