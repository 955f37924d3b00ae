//! Which way to hold the stock for a cut: by the run's own list where no saw
//! is given, else the best way that the saw at hand can make.

use crate::trim::design::{Saw, SprungWay};
use crate::trim::sheet::{Block, Hold, Leg, Piece, SectionPoint, Setting, SolvedRun};
use crate::trim::space::Vector;

use super::order::Side;
use super::saw::{SAME_ANGLE, SawFrame, best, better, setting};

/// Stock rests on a flat of at least this, inches.
const FLAT: f64 = 0.125;
/// A flat that takes so much of the stock's depth needs no second one at the
/// fence: the stock lies, and an arris bears on the fence.
const LIES: f64 = 0.5;
/// Heights and depths nearer than this, inches, count as equal.
const SAME_SIZE: f64 = 1e-9;

/// Ways to hold solid stock, those that are usual first.
const SOLID: [Hold; 5] = [
    Hold::Inverted,
    Hold::Upright,
    Hold::Flat,
    Hold::FlatTurned,
    Hold::OnEdge,
];
/// Ways to hold sprung stock.
const SPRUNG: [Hold; 5] = [
    Hold::SprungFlat,
    Hold::SprungFlatTurned,
    Hold::SprungNested,
    Hold::Flat,
    Hold::FlatTurned,
];

/// A moulding on its way to the saw.
#[derive(Clone, Copy)]
pub(super) struct Stock<'a> {
    /// Its run's own holds, the best first.
    pub holds: &'a [Hold],
    pub spring: Option<f64>,
    pub section: &'a [SectionPoint],
}

/// One end to be cut.
#[derive(Clone, Copy)]
pub(super) struct Wanted<'a> {
    pub leg: &'a Leg,
    pub plane: Vector,
    pub side: Side,
    /// How far along **d** the cut reaches over the section, inches.
    pub spread: f64,
}

/// How a cut is made, and what the run's own list would have had.
#[derive(Clone, Copy)]
pub(super) struct Chosen {
    pub setting: Setting,
    pub usual: Setting,
    /// Whether the saw can make it so.
    pub fits: bool,
}

/// The best way to make a cut. Without a saw: the contract's rule over the
/// run's own holds. With one: the same rule over those that the saw can make;
/// failing that, over all holds in which such stock rests; failing that, the
/// complement against a block.
pub(super) fn choose(stock: Stock<'_>, cut: Wanted<'_>, saw: Option<&Saw>) -> Chosen {
    let usual = best(stock.holds, stock.spring.unwrap_or(0.0), cut.leg, cut.plane);
    let Some(saw) = saw else {
        return Chosen {
            setting: usual,
            usual,
            fits: true,
        };
    };
    let own = own_holds(stock, saw);
    let more: Vec<Hold> = resting(stock).filter(|hold| !own.contains(hold)).collect();
    let plain = |holds: &[Hold]| {
        let at = holds.iter().map(|hold| stock.held(*hold, &cut));
        best_of(at.filter(|s| stock.over(s, &cut, saw).is_empty()))
    };
    let found = plain(&own).or_else(|| plain(&more)).or_else(|| {
        let all = own.iter().chain(&more);
        best_of(all.filter_map(|hold| against_block(stock, *hold, &cut, saw)))
    });
    Chosen {
        setting: found.unwrap_or(usual),
        usual,
        fits: found.is_some(),
    }
}

/// Every way in which this saw can make the cut at `side` of a piece, those
/// along the fence before those against a block.
#[must_use]
pub fn ways(run: &SolvedRun, piece: &Piece, side: Side, saw: &Saw) -> Vec<Setting> {
    let cut = match side {
        Side::Left => &piece.left,
        Side::Right => &piece.right,
    };
    let stock = Stock {
        holds: &[cut.setting.hold],
        spring: run.spring,
        section: &run.section,
    };
    let (least, most) = run.reach(cut.per_u, cut.per_v);
    let wanted = Wanted {
        leg: &piece.leg,
        plane: cut.plane,
        side,
        spread: (most - least).max(0.0),
    };
    let mut holds = vec![cut.setting.hold];
    holds.extend(resting(stock).filter(|hold| *hold != cut.setting.hold));
    let plain = holds.iter().map(|hold| stock.held(*hold, &wanted));
    let mut found: Vec<Setting> = plain
        .filter(|s| stock.over(s, &wanted, saw).is_empty())
        .collect();
    if found.is_empty() {
        let blocks = holds.iter();
        found.extend(blocks.filter_map(|hold| against_block(stock, *hold, &wanted, saw)));
    }
    found
}

/// The run's own holds, or those of the way that the saw has for sprung crown.
fn own_holds(stock: Stock<'_>, saw: &Saw) -> Vec<Hold> {
    let wanted: &[Hold] = match (stock.spring, saw.sprung) {
        (Some(_), Some(SprungWay::Flat)) => &[Hold::SprungFlat, Hold::SprungFlatTurned],
        // A corner in plan is cut standing upside down in the spring angle, a
        // corner on the face with the wall side on the bed.
        (Some(_), Some(SprungWay::Nested)) => &[Hold::SprungNested, Hold::Flat],
        _ => return stock.holds.to_vec(),
    };
    let held = |hold: &&Hold| stock.lies_still(**hold);
    let resting: Vec<Hold> = wanted.iter().filter(held).copied().collect();
    if resting.is_empty() {
        stock.holds.to_vec()
    } else {
        resting
    }
}

/// All holds in which the stock lies still: on a wide flat, or on one and with
/// another at the fence.
fn resting(stock: Stock<'_>) -> impl Iterator<Item = Hold> {
    let all = if stock.spring.is_some() {
        SPRUNG
    } else {
        SOLID
    };
    all.into_iter().filter(move |hold| stock.lies_still(*hold))
}

/// The contract's rule over settings that can be made.
fn best_of(settings: impl Iterator<Item = Setting>) -> Option<Setting> {
    let mut found: Option<Setting> = None;
    for this in settings {
        if this.tilt.abs() <= SAME_ANGLE {
            return Some(this);
        }
        if found.is_none_or(|best| better(&this, &best)) {
            found = Some(this);
        }
    }
    found
}

/// The complement in `hold`, if the swing is what keeps the saw from it and
/// the block makes it fit.
pub(super) fn against_block(
    stock: Stock<'_>,
    hold: Hold,
    cut: &Wanted<'_>,
    saw: &Saw,
) -> Option<Setting> {
    let along = stock.held(hold, cut);
    let needed = stock
        .over(&along, cut, saw)
        .iter()
        .any(|over| matches!(over, Over::Swing { .. }));
    let frame = SawFrame::new(hold, stock.spring.unwrap_or(0.0));
    // The long part of the stock runs towards the operator: the fence is in
    // the way of any other.
    let kept = match cut.side {
        Side::Left => frame.d.x,
        Side::Right => -frame.d.x,
    };
    let block = if kept > 0.0 {
        Block::Right
    } else {
        Block::Left
    };
    let turned = super::saw::settle(
        frame.against(block),
        hold,
        Some(block),
        (cut.leg, cut.plane),
    );
    (needed && stock.over(&turned, cut, saw).is_empty()).then_some(turned)
}

/// A limit that a cut is past.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Over {
    /// Degrees asked, degrees the saw has, to which side.
    Swing {
        most: f64,
        to: &'static str,
    },
    Tilt {
        most: f64,
        to: &'static str,
    },
    /// Inches that the stock stands tall.
    Height {
        inches: f64,
    },
    /// Inches that the stock lies deep.
    Depth {
        inches: f64,
    },
    /// Inches that the cut reaches out from the fence along a block.
    Reach {
        inches: f64,
    },
}

impl Stock<'_> {
    /// The setting in a hold along the fence.
    fn held(&self, hold: Hold, cut: &Wanted<'_>) -> Setting {
        setting(hold, self.spring.unwrap_or(0.0), cut.leg, cut.plane)
    }

    /// Whether it lies still in this hold: by its section, or because the
    /// run's own list has a hold on the same bed. What is laid so may be
    /// turned end for end as well.
    fn lies_still(&self, hold: Hold) -> bool {
        let spring = self.spring.unwrap_or(0.0);
        let bed = |hold| {
            let frame = SawFrame::new(hold, spring);
            (frame.n.z, frame.b.z)
        };
        let (n, b) = bed(hold);
        let same = |own: &Hold| {
            let (own_n, own_b) = bed(*own);
            (own_n - n).abs() < SAME_ANGLE && (own_b - b).abs() < SAME_ANGLE
        };
        self.rests(hold) || self.holds.iter().any(same)
    }

    /// Whether its section has a flat to lie on in this hold.
    fn rests(&self, hold: Hold) -> bool {
        let frame = SawFrame::new(hold, self.spring.unwrap_or(0.0));
        let places = || {
            let at = |p: &SectionPoint| frame.n * p.u + frame.b * p.v;
            self.section.iter().map(at)
        };
        let low = places().map(|p| p.z).fold(f64::INFINITY, f64::min);
        let back = places().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        let near = 1e-3;
        let on_bed = places().filter(|p| p.z < low + near).map(|p| p.y);
        let at_fence = places().filter(|p| p.y > back - near).map(|p| p.z);
        let (bed, depth) = (reach(on_bed), reach(places().map(|p| p.y)));
        bed >= FLAT && (reach(at_fence) >= FLAT || bed >= LIES * depth)
    }

    /// Every limit of the saw that a setting is past.
    pub(super) fn over(&self, setting: &Setting, cut: &Wanted<'_>, saw: &Saw) -> Vec<Over> {
        let mut found = Vec::new();
        let (right, left) = (saw.swing_right, saw.swing_left);
        if let Some((most, to)) = past(setting.swing, (right, "right"), (left, "left")) {
            found.push(Over::Swing { most, to });
        }
        let (right, left) = (saw.tilt_right, saw.tilt_left);
        if let Some((most, to)) = past(setting.tilt, (left, "left"), (right, "right")) {
            found.push(Over::Tilt { most, to });
        }
        let frame = SawFrame::new(setting.hold, self.spring.unwrap_or(0.0));
        let (depth, inches) = frame.depth_and_height(self.section);
        let is_past = |inches: f64, most: Option<crate::measure::Length>| {
            most.is_some_and(|most| inches > most.inches() + SAME_SIZE)
        };
        if is_past(inches, saw.max_height) {
            found.push(Over::Height { inches });
        }
        let (inches, over): (f64, fn(f64) -> Over) = match setting.block {
            None => (depth, |inches| Over::Depth { inches }),
            // Square to the fence it is the cut's own length along the stock
            // that the blade must travel.
            Some(_) => (cut.spread, |inches| Over::Reach { inches }),
        };
        if is_past(inches, saw.max_depth) {
            found.push(over(inches));
        }
        found
    }
}

type Limit = (Option<f64>, &'static str);

fn past(angle: f64, more: Limit, less: Limit) -> Option<(f64, &'static str)> {
    let (most, to) = if angle >= 0.0 { more } else { less };
    let most = most?;
    (angle.abs().to_degrees() > most + 1e-7).then_some((most, to))
}

/// Most less least; 0 for none.
fn reach(values: impl Iterator<Item = f64>) -> f64 {
    let start = (f64::INFINITY, f64::NEG_INFINITY);
    let (least, most) = values.fold(start, |(l, m), x| (l.min(x), m.max(x)));
    (most - least).max(0.0)
}
