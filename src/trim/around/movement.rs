//! How much boards and metal move: wood across the grain with its moisture,
//! PVC, fibre cement and metal with the temperature, and the gap to leave.
//! Movement of solid wood along the grain is left out, as the sources do.

use crate::trim::source::{Seen, Source};

/// Coefficients of a wood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Species {
    /// Its name.
    pub name: &'static str,
    /// Change of width for each per cent of moisture, quarter-sawn, 6–14 %.
    pub radial: f64,
    /// The same, flat-sawn.
    pub tangential: f64,
    /// Radial and tangential shrinkage, green to oven-dry, per cent (Wood
    /// Handbook Table 4-3); `None` if not known.
    pub shrinkage: Option<(f64, f64)>,
    /// Moisture in per cent above which the wood no longer swells; the
    /// coefficients follow from the shrinkage with this value.
    pub saturation: f64,
    /// Where the coefficients come from.
    pub source: Source,
}

const fn species(
    name: &'static str,
    (radial, tangential): (f64, f64),
    shrinkage: Option<(f64, f64)>,
    saturation: f64,
    source: Source,
) -> Species {
    Species {
        name,
        radial,
        tangential,
        shrinkage,
        saturation,
        source,
    }
}

/// Coefficients remembered, shrinkage seen in Table 4-3, from which they
/// follow to five places.
const SHRINKAGE: Source = Source::new(
    "Wood Handbook FPL-GTR-190 Table 13-5 from memory; follows from Table 4-3",
    Seen::FromMemory,
);
const MEMORY: Source = Source::new("Wood Handbook Tables 13-5 and 4-3", Seen::FromMemory);
const TABLE: Source = Source::new(
    "Wood Handbook FPL-GTR-190 (2010) Table 13-5",
    Seen::InSource,
);

/// The woods that are known.
pub const SPECIES: [Species; 11] = [
    species(
        "western redcedar",
        (0.001_11, 0.002_34),
        Some((2.4, 5.0)),
        22.0,
        SHRINKAGE,
    ),
    species(
        "eastern white pine",
        (0.000_71, 0.002_12),
        Some((2.1, 6.1)),
        30.0,
        MEMORY,
    ),
    species(
        "Douglas-fir, coast",
        (0.001_65, 0.002_67),
        Some((4.8, 7.6)),
        30.0,
        SHRINKAGE,
    ),
    species(
        "yellow-poplar",
        (0.001_58, 0.002_89),
        Some((4.6, 8.2)),
        30.0,
        SHRINKAGE,
    ),
    species(
        "redwood, old growth",
        (0.001_20, 0.002_05),
        Some((2.6, 4.4)),
        22.0,
        MEMORY,
    ),
    species(
        "redwood, second growth",
        (0.001_01, 0.002_29),
        Some((2.2, 4.9)),
        22.0,
        MEMORY,
    ),
    species(
        "yellow cedar",
        (0.000_95, 0.002_08),
        Some((2.8, 6.0)),
        30.0,
        SHRINKAGE,
    ),
    species(
        "incense cedar",
        (0.001_12, 0.001_80),
        Some((3.3, 5.2)),
        30.0,
        SHRINKAGE,
    ),
    species(
        "red alder",
        (0.001_51, 0.002_56),
        Some((4.4, 7.3)),
        30.0,
        TABLE,
    ),
    species(
        "white fir",
        (0.001_12, 0.002_45),
        Some((3.3, 7.0)),
        30.0,
        SHRINKAGE,
    ),
    species("mahogany", (0.001_72, 0.002_38), None, 30.0, MEMORY),
];

/// How the growth rings lie across the board's width.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grain {
    /// Flat-sawn: the wide face follows the rings; moves most.
    Flat,
    /// Quarter-sawn: the rings stand across the thickness.
    Quarter,
}

/// Why a change of width cannot be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum MovementError {
    /// Moisture is not between 0 and 100 %.
    #[error("moisture is 0 to 100 %")]
    Moisture,
    /// Outside 6–14 % the shrinkage is needed and not known.
    #[error("for this wood only changes between 6 and 14 % moisture are known")]
    NotKnown,
}

/// Lowest and highest moisture, per cent, for which the coefficients hold
/// (EXT, quoting Wood Handbook Table 13-5).
pub const COEFFICIENTS_HOLD: (f64, f64) = (6.0, 14.0);

impl Species {
    /// The wood of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static Self> {
        SPECIES.iter().find(|species| species.name == name)
    }

    /// Change of width in the unit of `width` when the moisture goes from
    /// `from` to `to` per cent; negative when it shrinks.
    ///
    /// Between 6 and 14 %: width × coefficient × (to − from) (EXT). Outside:
    /// width × (to − from)/(100·F/S − F + from), with the shrinkage S and the
    /// saturation F, from memory; above F nothing moves.
    ///
    /// # Errors
    /// If moisture is not 0 to 100 %, or the shrinkage is needed and not
    /// known.
    pub fn width_change(
        &self,
        width: f64,
        grain: Grain,
        from: f64,
        to: f64,
    ) -> Result<f64, MovementError> {
        let real = |moisture: f64| (0.0..=100.0).contains(&moisture);
        if !(real(from) && real(to)) {
            return Err(MovementError::Moisture);
        }
        let (low, high) = COEFFICIENTS_HOLD;
        let holds = |moisture: f64| (low..=high).contains(&moisture);
        if holds(from) && holds(to) {
            let coefficient = match grain {
                Grain::Flat => self.tangential,
                Grain::Quarter => self.radial,
            };
            return Ok(width * coefficient * (to - from));
        }
        let (radial, tangential) = self.shrinkage.ok_or(MovementError::NotKnown)?;
        let shrinkage = match grain {
            Grain::Flat => tangential,
            Grain::Quarter => radial,
        };
        let full = self.saturation;
        let (from, to) = (from.min(full), to.min(full));
        Ok(width * (to - from) / (100.0 * full / shrinkage - full + from))
    }
}

/// Moisture in per cent that wood takes on in air of `fahrenheit` degrees and
/// `humidity` per cent: Wood Handbook FPL-GTR-282 (2021) eq. 4-5, seen
/// quoted. Its table covers 30 to 130 °F and 5 to 95 %; beyond is a guess.
/// A tenth of a per cent is finer than reality.
#[must_use]
pub fn equilibrium_moisture(fahrenheit: f64, humidity: f64) -> f64 {
    let t = fahrenheit;
    let w = 330.0 + 0.452 * t + 0.004_15 * t * t;
    let k = 0.791 + 4.63e-4 * t - 8.44e-7 * t * t;
    let k1 = 6.34 + 7.75e-4 * t - 9.35e-5 * t * t;
    let k2 = 1.09 + 2.84e-2 * t - 9.04e-5 * t * t;
    sorption(w, k, k1, k2, humidity)
}

/// The same for degrees Celsius, by the equation's own Celsius form.
#[must_use]
pub fn equilibrium_moisture_celsius(celsius: f64, humidity: f64) -> f64 {
    let t = celsius;
    let w = 349.0 + 1.29 * t + 0.0135 * t * t;
    let k = 0.805 + 7.36e-4 * t - 2.73e-6 * t * t;
    let k1 = 6.27 - 9.38e-3 * t - 3.03e-4 * t * t;
    let k2 = 1.91 + 0.0407 * t - 2.93e-4 * t * t;
    sorption(w, k, k1, k2, humidity)
}

fn sorption(w: f64, k: f64, k1: f64, k2: f64, humidity: f64) -> f64 {
    let kh = k * humidity.clamp(0.0, 100.0) / 100.0;
    let (one, two) = (k1 * kh, k1 * k2 * kh * kh);
    1800.0 / w * (kh / (1.0 - kh) + (one + 2.0 * two) / (1.0 + one + two))
}

/// A material that moves along its length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// Its name.
    pub name: &'static str,
    /// Least and greatest change of length printed, per degree Fahrenheit.
    pub per_fahrenheit: (f64, f64),
    /// Least and greatest movement with moisture, share of the length, dry to
    /// wet.
    pub moisture: Option<(f64, f64)>,
    /// Where the figures come from.
    pub source: Source,
}

/// The materials that are known beside solid wood.
pub const MATERIALS: [Material; 4] = [
    Material {
        name: "cellular PVC",
        per_fahrenheit: (3.2e-5, 3.5e-5),
        moisture: None,
        source: Source::new(
            "trade pages, not neutral; no neutral ASTM D696 table",
            Seen::InSource,
        ),
    },
    Material {
        name: "fibre cement",
        per_fahrenheit: (3.6e-6, 7.6e-6),
        moisture: Some((0.0005, 0.000_98)),
        source: Source::new(
            "Doggett, fibre-cement panel movement (2012)",
            Seen::InSource,
        ),
    },
    Material {
        name: "aluminium",
        per_fahrenheit: (12.8e-6, 13.1e-6),
        moisture: None,
        source: Source::new("CRC values collected; trade tables", Seen::InSource),
    },
    Material {
        name: "copper",
        per_fahrenheit: (9.2e-6, 9.8e-6),
        moisture: None,
        source: Source::new(
            "CRC values collected; C110/C122 sheet 9.4e-6",
            Seen::InSource,
        ),
    },
];

/// Change of length in the unit of `length` for a change of temperature of
/// `fahrenheit` degrees, at `per_fahrenheit`; negative when it shrinks.
#[must_use]
pub fn thermal_change(length: f64, per_fahrenheit: f64, fahrenheit: f64) -> f64 {
    length * per_fahrenheit * fahrenheit
}

/// What a joint must take up between the day of fixing and the extremes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// The piece grows by this: the gap to leave at fixing.
    pub leave: f64,
    /// The piece shrinks by this: what the joint then opens by beyond the
    /// gap, to be covered or sealed.
    pub opens: f64,
}

impl Material {
    /// The gap for a piece of `length` fixed at `now` degrees Fahrenheit
    /// between the coldest and the hottest that its surface will be, by the
    /// greatest coefficient printed; in the unit of `length`. Moisture
    /// movement counts whole, as the piece's moisture at fixing is not known.
    #[must_use]
    pub fn gap(&self, length: f64, now: f64, coldest: f64, hottest: f64) -> Gap {
        let most = self.per_fahrenheit.1;
        let wet = self.moisture.map_or(0.0, |(_, most)| most * length);
        Gap {
            leave: thermal_change(length, most, (hottest - now).max(0.0)) + wet,
            opens: thermal_change(length, most, (now - coldest).max(0.0)) + wet,
        }
    }
}

/// The gap for a board of `width` fixed at `now` per cent moisture between
/// the driest and the wettest that it will be.
///
/// # Errors
/// As [`Species::width_change`].
pub fn board_gap(
    species: &Species,
    width: f64,
    grain: Grain,
    now: f64,
    (driest, wettest): (f64, f64),
) -> Result<Gap, MovementError> {
    let grows = species.width_change(width, grain, now, wettest.max(now))?;
    let shrinks = species.width_change(width, grain, now, driest.min(now))?;
    Ok(Gap {
        leave: grows,
        opens: -shrinks,
    })
}
