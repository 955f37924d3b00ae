//! What a head is made of and the air that it lives in, as a form.

use crate::trim::around::head::{Site, materials};
use crate::trim::around::movement::Grain;
use crate::web::{Check, Choice, Errors, Fields};

/// Material, cut of the wood, and the site's extremes.
#[derive(Debug, Clone, PartialEq)]
pub struct MadeOf {
    /// Goes up with every change; 0: not saved for this head yet.
    pub version: i64,
    /// A name of [`materials`].
    pub material: String,
    /// How the wood was sawn.
    pub grain: Grain,
    /// Moisture and temperatures.
    pub site: Site,
}

/// The materials to choose from.
#[must_use]
pub fn material_choices() -> Vec<Choice> {
    materials()
        .into_iter()
        .map(|name| Choice::new(name, name))
        .collect()
}

/// How wood may be sawn.
#[must_use]
pub fn grain_choices() -> Vec<Choice> {
    vec![
        Choice::new("flat", "flat-sawn: the face follows the rings"),
        Choice::new("quarter", "quarter-sawn: the rings stand across"),
    ]
}

/// Temperatures are typed in the firm's degrees.
fn shown(fahrenheit: f64, metric: bool) -> f64 {
    if metric {
        ((fahrenheit - 32.0) / 1.8 * 10.0).round() / 10.0
    } else {
        fahrenheit
    }
}

fn stored(typed: f64, metric: bool) -> f64 {
    if metric { typed * 1.8 + 32.0 } else { typed }
}

/// As the form's text.
#[must_use]
pub fn fields(made_of: &MadeOf, metric: bool) -> Fields {
    let (dry, now, wet) = made_of.site.moisture;
    let (cold, today, hot) = made_of.site.fahrenheit;
    Fields::default()
        .with("material", &made_of.material)
        .with(
            "grain",
            if made_of.grain == Grain::Quarter {
                "quarter"
            } else {
                "flat"
            },
        )
        .with("dry", dry)
        .with("fixed_at", now)
        .with("wet", wet)
        .with("cold", shown(cold, metric))
        .with("fixed_temperature", shown(today, metric))
        .with("hot", shown(hot, metric))
}

/// What was typed.
///
/// # Errors
/// What is wrong, field by field.
pub fn typed(fields: &Fields, metric: bool, version: i64) -> Result<MadeOf, Errors> {
    let mut check = Check::of(fields);
    let known = materials();
    let material = check.one_of("material", |word| known.iter().find(|name| **name == word));
    let grain = check.one_of("grain", |word| match word {
        "flat" => Some(Grain::Flat),
        "quarter" => Some(Grain::Quarter),
        _ => None,
    });
    let range = if metric { -70.0..=120.0 } else { -94.0..=248.0 };
    let mut moisture = |field| check.number(field, 0.0..=40.0);
    let (dry, now, wet) = (moisture("dry"), moisture("fixed_at"), moisture("wet"));
    let mut heat = |field| check.number(field, range.clone());
    let (cold, today, hot) = (heat("cold"), heat("fixed_temperature"), heat("hot"));
    in_order(&mut check, "fixed_at", "The wood", [dry, now, wet]);
    in_order(
        &mut check,
        "fixed_temperature",
        "The day",
        [cold, today, hot],
    );
    let whole = (|| {
        Some(MadeOf {
            version,
            material: (*material?).to_owned(),
            grain: grain?,
            site: Site {
                moisture: (dry?, now?, wet?),
                fahrenheit: (
                    stored(cold?, metric),
                    stored(today?, metric),
                    stored(hot?, metric),
                ),
            },
        })
    })();
    check.finish_some(whole)
}

fn in_order(check: &mut Check<'_>, field: &str, what: &str, three: [Option<f64>; 3]) {
    if let [Some(low), Some(now), Some(high)] = three
        && !(low <= now && now <= high)
    {
        check.fail(
            field,
            format!("{what} lies between the least and the most: from {low} to {high}."),
        );
    }
}
