//! Weight of an assembled head, and what it means to lift it.

use crate::trim::source::{Seen, Source};

/// Pounds a cubic foot of a material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Density {
    /// Its name.
    pub name: &'static str,
    /// Pounds a cubic foot, at about 12 % moisture for wood.
    pub pounds_a_cubic_foot: f64,
    /// Where it comes from.
    pub source: Source,
}

const fn density(name: &'static str, pounds_a_cubic_foot: f64) -> Density {
    Density {
        name,
        pounds_a_cubic_foot,
        source: Source::new("usual figure; weigh a piece to be sure", Seen::FromMemory),
    }
}

/// Usual densities, all from memory. Wet wood weighs half as much again.
pub const DENSITIES: [Density; 9] = [
    density("western redcedar", 23.0),
    density("eastern white pine", 25.0),
    density("Douglas-fir, coast", 33.0),
    density("yellow-poplar", 29.0),
    density("redwood, old growth", 28.0),
    density("cellular PVC", 34.0),
    density("fibre cement", 85.0),
    density("aluminium", 169.0),
    density("copper", 558.0),
];

/// Pounds of `cubic_inches` at a density in pounds a cubic foot.
#[must_use]
pub fn pounds(cubic_inches: f64, pounds_a_cubic_foot: f64) -> f64 {
    cubic_inches / 1728.0 * pounds_a_cubic_foot
}

/// How something is lifted: NIOSH 94-110 (revised 9/2021), US units. The
/// equation is for two hands, a firm footing and a load that does not sway:
/// not for ladders.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lift {
    /// From the ankles to the hands, level, inches; 10 or less counts as 10,
    /// over 25 nothing should be lifted.
    pub reach: f64,
    /// Hands above the floor at the start, inches, 0 to 70.
    pub height: f64,
    /// How far it is raised, inches; under 10 counts as 10, over 70 nothing
    /// should be lifted.
    pub travel: f64,
    /// How far the body twists, degrees, 0 to 135.
    pub twist: f64,
    /// Frequency multiplier, 0 to 1; 1 for a lift now and then.
    pub often: f64,
    /// Grip multiplier, 0.9 to 1.
    pub grip: f64,
}

impl Lift {
    /// A head held close against the chest from sawhorses to above a door:
    /// 15 in out, from 30 in, raised 50 in, no twist, a poor grip.
    pub const ONTO_THE_WALL: Self = Self {
        reach: 15.0,
        height: 30.0,
        travel: 50.0,
        twist: 0.0,
        often: 1.0,
        grip: 0.9,
    };

    /// Pounds that nearly all healthy workers may lift so:
    /// 51·(10/H)·(1 − 0.0075·|V − 30|)·(0.82 + 1.8/D)·(1 − 0.0032·A)·FM·CM;
    /// the twist's term from memory. 0 beyond its bounds.
    #[must_use]
    pub fn limit(&self) -> f64 {
        let (h, d) = (self.reach.max(10.0), self.travel.max(10.0));
        let inside = h <= 25.0
            && (0.0..=70.0).contains(&self.height)
            && d <= 70.0
            && (0.0..=135.0).contains(&self.twist);
        if !inside {
            return 0.0;
        }
        51.0 * (10.0 / h)
            * (1.0 - 0.0075 * (self.height - 30.0).abs())
            * (0.82 + 1.8 / d)
            * (1.0 - 0.0032 * self.twist)
            * self.often.clamp(0.0, 1.0)
            * self.grip.clamp(0.0, 1.0)
    }

    /// The load over the limit: more than 1 asks for another hand or a hoist.
    /// `None` where nothing should be lifted.
    #[must_use]
    pub fn index(&self, pounds: f64) -> Option<f64> {
        let limit = self.limit();
        (limit > 0.0).then(|| pounds / limit)
    }
}

/// What to say about a weight, in plain words.
#[must_use]
pub fn caution(pounds: f64, lift: &Lift) -> String {
    let limit = lift.limit();
    if limit <= 0.0 {
        return "Out of reach for a safe lift: use a hoist or staging.".to_owned();
    }
    // Two share a load, not evenly: each is counted with two thirds of it.
    let who = if pounds <= limit {
        "one person may lift it"
    } else if pounds * 2.0 / 3.0 <= limit {
        "two people lift it"
    } else {
        "use a hoist, or hang it in parts"
    };
    format!(
        "About {pounds:.0} lb; the lifting equation (NIOSH 94-110) gives {limit:.0} lb for this \
         lift: {who}. It is for firm footing and two free hands, not for ladders."
    )
}
