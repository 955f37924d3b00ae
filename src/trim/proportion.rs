//! Proportion: published classical rules as suggestions beside a drawing.
//! Each has its source and says how well it was seen; none is ever forced,
//! and the authorities differ.

use super::source::{Seen, Source};

/// What a suggestion is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum About {
    /// Pitch of a gabled head.
    Pitch,
    /// Rise of a segmental head.
    Segment,
    /// Width of the casing or architrave.
    Architrave,
    /// Bands of an architrave.
    Bands,
    /// Frieze over the opening.
    Frieze,
    /// Cornice over the frieze.
    Cornice,
    /// Width of the opening.
    Opening,
}

/// One measure of a suggestion: a name and its inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measure {
    /// What it is.
    pub name: &'static str,
    /// Inches.
    pub inches: f64,
}

/// One published rule worked for this head.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggestion {
    /// What it is about.
    pub about: About,
    /// The rule in words.
    pub rule: &'static str,
    /// Slope from level, radians, for a pitch; of the arc at its springing
    /// for a segment.
    pub slope: Option<f64>,
    /// Measures that the rule gives.
    pub measures: Vec<Measure>,
    /// Where it comes from and how well it was seen.
    pub source: Source,
    /// What speaks against taking it as it stands; empty if nothing.
    pub note: &'static str,
}

const VITRUVIUS: &str = "Vitruvius, books III and IV (Gwilt 1826, Morgan 1914)";
const CYCLOPEDIA: &str = "Cyclopedia of Architecture, Carpentry and Building (1907)";
const WARE: &str = "W. R. Ware, The American Vignola (1903)";
const DAVILER: &str = "Nicholson, Encyclopedia of Architecture (1852), reporting Daviler";
const BRITANNICA: &str = "Encyclopaedia Britannica, 1st ed. (1771)";
const RIOU: &str = "S. Riou, The Grecian Orders (1768), p. 44";
const EDINBURGH: &str = "Edinburgh Encyclopaedia, Civil Architecture";

/// A pitch given by a height over the whole width.
const fn by_height(
    rule: &'static str,
    share: f64,
    source: Source,
    note: &'static str,
) -> (&'static str, f64, Source, &'static str) {
    (rule, share, source, note)
}

/// Height of the gable as a share of its width, for the rules that say so.
/// The Vignola and Serlio rule's share is (√2 − 1)/2.
const PITCHES: [(&str, f64, Source, &str); 8] = [
    by_height(
        "height a ninth of the width",
        1.0 / 9.0,
        Source::new(VITRUVIUS, Seen::InSource),
        "the width is that of the corona; the true slope depends on the cornice's depth",
    ),
    by_height(
        "height an eighth of the width",
        0.125,
        Source::new(CYCLOPEDIA, Seen::InSource),
        "",
    ),
    by_height(
        "height a fifth of the width",
        0.2,
        Source::new(DAVILER, Seen::InSource),
        "",
    ),
    by_height(
        "arc struck from half the width below the middle of the cornice",
        (std::f64::consts::SQRT_2 - 1.0) / 2.0,
        Source::new(
            "Vignola as given by Ware (1903); Serlio, book IV",
            Seen::InSource,
        ),
        "22 1/2 degrees exactly",
    ),
    by_height(
        "height two ninths of the width",
        2.0 / 9.0,
        Source::new("Palladio, Gibbs", Seen::FromMemory),
        "",
    ),
    by_height(
        "height a quarter of the width",
        0.25,
        Source::new(BRITANNICA, Seen::InSource),
        "said of a head over a door",
    ),
    by_height(
        "height a fifth of the width, the flattest",
        0.2,
        Source::new("Chambers", Seen::FromMemory),
        "Chambers gives a range",
    ),
    by_height(
        "height a quarter of the width, the steepest",
        0.25,
        Source::new("Chambers", Seen::FromMemory),
        "Chambers gives a range",
    ),
];

/// Pitches for a gabled head `width` inches wide whose cornice is `cornice`
/// inches deep; without it the rule that needs it is left out. Empty if the
/// width is not more than 0.
#[must_use]
pub fn pitches(width: f64, cornice: Option<f64>) -> Vec<Suggestion> {
    if !real(width) {
        return Vec::new();
    }
    let mut found: Vec<Suggestion> = PITCHES
        .iter()
        .map(|(rule, share, source, note)| Suggestion {
            about: About::Pitch,
            rule,
            slope: Some((2.0 * share).atan()),
            measures: vec![Measure {
                name: "height",
                inches: share * width,
            }],
            source: *source,
            note,
        })
        .collect();
    found.extend(cornice.and_then(|cornice| leveille(width, cornice)));
    found
}

/// L'Eveillé's rule as Ware gives it: 15° + asin(c/(0.51764·L)).
fn leveille(width: f64, cornice: f64) -> Option<Suggestion> {
    // Twice the sine of 15°: the chord of the arc from its end to its top.
    let chord = 2.0 * 15_f64.to_radians().sin() * width;
    let share = cornice / chord;
    if !(real(cornice) && share < 1.0) {
        return None;
    }
    let slope = 15_f64.to_radians() + share.asin();
    Some(Suggestion {
        about: About::Pitch,
        rule: "from an equilateral triangle under the cornice's line and the cornice's depth",
        slope: Some(slope),
        measures: vec![Measure {
            name: "height",
            inches: width / 2.0 * slope.tan(),
        }],
        source: Source::new("L'Eveille as given by Ware (1903)", Seen::RuleOnly),
        note: "steeper for a deeper cornice",
    })
}

/// The segmental head `width` inches wide: a quarter circle's sweep (Ware).
#[must_use]
pub fn segment(width: f64) -> Option<Suggestion> {
    real(width).then(|| Suggestion {
        about: About::Segment,
        rule: "a sweep of 90 degrees, springing at 45",
        slope: Some(std::f64::consts::FRAC_PI_4),
        measures: vec![
            Measure {
                name: "radius",
                inches: width / std::f64::consts::SQRT_2,
            },
            Measure {
                name: "rise",
                inches: width * (std::f64::consts::SQRT_2 - 1.0) / 2.0,
            },
        ],
        source: Source::new(WARE, Seen::InSource),
        note: "",
    })
}

/// Suggestions for the parts round an opening, inches.
#[must_use]
pub fn around_opening(width: f64, height: f64) -> Vec<Suggestion> {
    if !(real(width) && real(height)) {
        return Vec::new();
    }
    let one = |about, rule, name, inches, source, note| Suggestion {
        about,
        rule,
        slope: None,
        measures: vec![Measure { name, inches }],
        source,
        note,
    };
    let riou = Source::new(RIOU, Seen::InSource);
    let vitruvius = Source::new(VITRUVIUS, Seen::InSource);
    let edinburgh = Source::new(EDINBURGH, Seen::InSource);
    let differ = "the two translations disagree on the opening; take it as a hint";
    let architrave = |rule, parts: f64| {
        one(
            About::Architrave,
            rule,
            "architrave",
            width / parts,
            riou,
            "",
        )
    };
    let doric = height / 12.0;
    vec![
        architrave("a fifth of the opening's width, Doric", 5.0),
        architrave("a sixth of the opening's width, Ionic", 6.0),
        architrave("a seventh of the opening's width, Corinthian", 7.0),
        Suggestion {
            measures: vec![
                Measure {
                    name: "width of opening",
                    inches: 5.5 * doric,
                },
                Measure {
                    name: "jamb",
                    inches: doric,
                },
                Measure {
                    name: "its moulding",
                    inches: doric / 6.0,
                },
            ],
            ..one(
                About::Opening,
                "Doric: opening 5 1/2 twelfths of its height wide, jamb a twelfth",
                "",
                0.0,
                vitruvius,
                differ,
            )
        },
        Suggestion {
            measures: vec![
                Measure {
                    name: "width of opening",
                    inches: height / 2.5,
                },
                Measure {
                    name: "jamb",
                    inches: height / 14.0,
                },
            ],
            ..one(
                About::Opening,
                "Ionic: opening 1 to 2 1/2, jamb a fourteenth of its height",
                "",
                0.0,
                vitruvius,
                differ,
            )
        },
        one(
            About::Frieze,
            "over a door as high as the lintel's face, Doric",
            "frieze",
            doric,
            vitruvius,
            "",
        ),
        one(
            About::Opening,
            "3 to 7, a small door",
            "width of opening",
            height * 3.0 / 7.0,
            edinburgh,
            "",
        ),
        one(
            About::Opening,
            "1 to 2, a large door",
            "width of opening",
            height / 2.0,
            edinburgh,
            "",
        ),
    ]
}

/// Bands of an architrave `width` inches wide: a seventh for the moulding,
/// the rest in twelve parts as 3, 4 and 5 (Vitruvius III.5.10).
#[must_use]
pub fn bands(width: f64) -> Option<Suggestion> {
    let part = width * 6.0 / 7.0 / 12.0;
    let band = |name, parts: f64| Measure {
        name,
        inches: part * parts,
    };
    real(width).then(|| Suggestion {
        about: About::Bands,
        rule: "a seventh for the moulding, the rest in twelve parts as 3, 4 and 5, least inside",
        slope: None,
        measures: vec![
            Measure {
                name: "moulding",
                inches: width / 7.0,
            },
            band("inner band", 3.0),
            band("middle band", 4.0),
            band("outer band", 5.0),
        ],
        source: Source::new(VITRUVIUS, Seen::InSource),
        note: "written for the beam over columns",
    })
}

/// A cornice `height` inches high stands out as far as it is high (Vitruvius
/// IV.6).
#[must_use]
pub fn cornice(height: f64) -> Option<Suggestion> {
    real(height).then(|| Suggestion {
        about: About::Cornice,
        rule: "a cornice stands out as far as it is high",
        slope: None,
        measures: vec![Measure {
            name: "projection",
            inches: height,
        }],
        source: Source::new(VITRUVIUS, Seen::InSource),
        note: "",
    })
}

fn real(inches: f64) -> bool {
    inches.is_finite() && inches > 0.0
}
