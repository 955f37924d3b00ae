//! How long a step of a head takes: a rule stated on the page, corrected by
//! what such heads really took. Pure.

/// What the rule counts on a head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Work {
    /// Pieces and boards.
    pub pieces: u32,
    /// Saw settings in walk order, each a move of the saw.
    pub cuts: u32,
}

/// Which kind of work a step is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Labour {
    /// At the saw.
    Cutting,
    /// Anything else done by hand.
    Other,
}

/// Minutes to set up and clear away, for one piece, and for one cut. A
/// starting point, common practice, no source: each firm's own hours correct
/// it.
const SET_UP: f64 = 20.0;
const A_PIECE: f64 = 3.0;
const A_CUT: f64 = 2.5;

/// The rule in words, for the page.
pub const RULE: &str = "Twenty minutes to set up, three for each piece and, at the saw, two and a half for each cut; then multiplied by what such heads really took once hours are written down.";

/// Minutes by the rule alone.
#[must_use]
pub fn by_rule(work: Work, labour: Labour) -> f64 {
    let cuts = match labour {
        Labour::Cutting => A_CUT * f64::from(work.cuts),
        Labour::Other => 0.0,
    };
    SET_UP + A_PIECE * f64::from(work.pieces) + cuts
}

/// How much longer such work really took: Σ taken / Σ by the rule over heads
/// that are done, with two heads of the rule's own put in, so that one odd
/// head does not decide. Kept between a half and three.
#[must_use]
pub fn correction(done: &[(f64, f64)]) -> f64 {
    let (mut ruled, mut taken) = (0.0, 0.0);
    for (by_rule, really) in done {
        if *by_rule > 0.0 && *really > 0.0 {
            ruled += by_rule;
            taken += really;
        }
    }
    if ruled <= 0.0 {
        return 1.0;
    }
    #[expect(clippy::cast_precision_loss, reason = "a firm's heads are few")]
    let mean = ruled / done.len().max(1) as f64;
    ((taken + 2.0 * mean) / (ruled + 2.0 * mean)).clamp(0.5, 3.0)
}

/// Minutes, corrected, to the next five.
#[must_use]
pub fn minutes(work: Work, labour: Labour, correction: f64) -> i64 {
    let raw = by_rule(work, labour) * correction;
    #[expect(clippy::cast_possible_truncation, reason = "bounded above")]
    let fives = (raw / 5.0).ceil().clamp(1.0, 2000.0) as i64;
    fives * 5
}

/// `95` as `1:35`.
#[must_use]
pub fn clock(minutes: i64) -> String {
    format!("{}:{:02}", minutes / 60, minutes.rem_euclid(60))
}

/// Hours as typed, `1:30`, `1.5` or `1 1/2`, in minutes.
///
/// # Errors
/// What is allowed instead.
pub fn parse_hours(text: &str) -> Result<i64, String> {
    let help = || "Write hours such as 1:30, 1.5 or 1 1/2; at most 24.".to_owned();
    let total = if let Some((hours, minutes)) = text.split_once(':') {
        let hours: i64 = hours.trim().parse().map_err(|_| help())?;
        let minutes: i64 = minutes.trim().parse().map_err(|_| help())?;
        if !(0..60).contains(&minutes) || !(0..=24).contains(&hours) {
            return Err(help());
        }
        hours * 60 + minutes
    } else {
        let hours = crate::measure::parse_number(text).map_err(|_| help())?;
        if !(0.0..=24.0).contains(&hours) {
            return Err(help());
        }
        #[expect(clippy::cast_possible_truncation, reason = "at most 24 hours")]
        let minutes = (hours * 60.0).round() as i64;
        minutes
    };
    if (0..=1440).contains(&total) {
        Ok(total)
    } else {
        Err(help())
    }
}
