//! The published figures that safety goes by, as pure functions.
//!
//! Federal figures of the United States; a state's own plan may ask for more.
//! Nothing here replaces local code, the maker's data sheet or licensed
//! practice.

/// What stands near a power line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Near {
    /// A scaffold, and whatever is handled on it: 29 CFR 1926.451(f)(6).
    Scaffold,
    /// A crane, hoist or lift: 29 CFR 1926.1408 Table A.
    Equipment,
}

/// Least distance from a power line, feet. `kv` is the line's voltage in
/// kilovolts, not negative. `None` for equipment beyond Table A, above
/// 1,000 kV: there the utility or a registered engineer says.
#[must_use]
pub fn line_clearance_ft(near: Near, kv: f64, insulated: bool) -> Option<f64> {
    match near {
        Near::Scaffold if insulated && kv < 0.3 => Some(3.0),
        Near::Scaffold => Some(10.0 + (kv - 50.0).max(0.0) * 0.4 / 12.0),
        Near::Equipment => [
            (50.0, 10.0),
            (200.0, 15.0),
            (350.0, 20.0),
            (500.0, 25.0),
            (750.0, 35.0),
            (1000.0, 45.0),
        ]
        .into_iter()
        .find(|(up_to, _)| kv <= *up_to)
        .map(|(_, feet)| feet),
    }
}

/// How far a ladder's foot stands out, in the unit of its working length along
/// the rails: a quarter (29 CFR 1926.1053(b)(5)(i)).
#[must_use]
pub fn ladder_foot_out(working_length: f64) -> f64 {
    working_length / 4.0
}

/// How far a ladder's rails stand above the landing, feet
/// (29 CFR 1926.1053(b)(1)).
pub const LADDER_ABOVE_LANDING_FT: f64 = 3.0;
/// From here up an edge needs fall protection, feet (29 CFR 1926.501(b)(1),
/// (b)(13)).
pub const FALL_FT: f64 = 6.0;
/// Above this a scaffold needs fall protection, feet (29 CFR 1926.451(g)(1)).
pub const SCAFFOLD_FALL_FT: f64 = 10.0;

/// Whether work with the feet at this height needs fall protection.
#[must_use]
pub fn needs_fall_protection(feet: f64, on_scaffold: bool) -> bool {
    if on_scaffold {
        feet > SCAFFOLD_FALL_FT
    } else {
        feet >= FALL_FT
    }
}

/// Silica over eight hours, µg/m³: the limit and the level from which one acts
/// (29 CFR 1926.1153).
pub const SILICA_LIMIT: f64 = 50.0;
/// See [`SILICA_LIMIT`].
pub const SILICA_ACTION: f64 = 25.0;

/// Wood dust, mg/m³ (29 CFR 1910.1000; NIOSH and ACGIH recommend).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WoodDust {
    /// The law, all of it.
    pub total: f64,
    /// The law, what reaches the lungs.
    pub respirable: f64,
    /// Recommended by NIOSH.
    pub niosh: f64,
    /// Recommended by ACGIH for western red cedar.
    pub cedar: f64,
}

/// The limits of wood dust.
pub const WOOD_DUST: WoodDust = WoodDust {
    total: 15.0,
    respirable: 5.0,
    niosh: 1.0,
    cedar: 0.5,
};

/// Hours a day that noise of this loudness (dBA, slow) is allowed, by the rows
/// of 29 CFR 1926.52 Table D-2; between two rows the louder one counts. `None`
/// below 90 dBA, where the table asks nothing; 0 above 115.
#[must_use]
pub fn noise_hours(dba: f64) -> Option<f64> {
    let rows = [
        (90.0, 8.0),
        (92.0, 6.0),
        (95.0, 4.0),
        (97.0, 3.0),
        (100.0, 2.0),
        (102.0, 1.5),
        (105.0, 1.0),
        (110.0, 0.5),
        (115.0, 0.25),
    ];
    if dba < 90.0 {
        return None;
    }
    Some(
        rows.into_iter()
            .find(|(level, _)| dba <= *level)
            .map_or(0.0, |(_, hours)| hours),
    )
}

/// The day's noise: Σ time / time allowed; more than 1 is too much
/// (29 CFR 1926.52(d)(2)). Each is (dBA, hours).
#[must_use]
pub fn noise_dose(heard: &[(f64, f64)]) -> f64 {
    heard
        .iter()
        .map(|(dba, hours)| match noise_hours(*dba) {
            None => 0.0,
            Some(allowed) if allowed > 0.0 => hours / allowed,
            Some(_) if *hours > 0.0 => f64::INFINITY,
            Some(_) => 0.0,
        })
        .sum()
}

/// Old paint that may be disturbed outdoors and in one room before the rule of
/// lead-safe work holds, square feet (40 CFR 745.83).
pub const MINOR_OUTDOORS_SQFT: f64 = 20.0;
/// See [`MINOR_OUTDOORS_SQFT`].
pub const MINOR_INDOORS_SQFT: f64 = 6.0;
/// Ground covered out from the wall, feet (40 CFR 745.85(a)(2)(ii)).
pub const GROUND_COVER_FT: f64 = 10.0;

/// Whether work outdoors is small enough to stand outside the rule: no more
/// than 20 sq ft of old paint and no window replaced (40 CFR 745.83).
#[must_use]
pub fn is_minor_outdoors(sqft: f64, window_replaced: bool) -> bool {
    sqft <= MINOR_OUTDOORS_SQFT && !window_replaced
}

/// The two heat indexes of the federal rule as proposed in 2024, °F; not law.
pub const HEAT_FIRST_F: f64 = 80.0;
/// See [`HEAT_FIRST_F`].
pub const HEAT_HIGH_F: f64 = 90.0;
