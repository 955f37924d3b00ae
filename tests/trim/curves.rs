//! Laws of every curve, on random ones.

use headwright::measure::Unit;
use headwright::trim::section::{Affine, Back, Curve, Outline, Section, json, place};
use headwright::trim::sheet::SectionPoint;
use proptest::prelude::*;

fn a_place() -> impl Strategy<Value = SectionPoint> {
    (-5.0..5.0_f64, -5.0..5.0_f64).prop_map(|(u, v)| place(u, v))
}

fn a_curve() -> impl Strategy<Value = Curve> {
    let line = (a_place(), a_place()).prop_map(|(from, to)| Curve::Line { from, to });
    let arc = (a_place(), a_place(), -4.0..4.0_f64).prop_map(|(from, to, bulge)| Curve::Arc {
        from,
        to,
        bulge,
    });
    let conic =
        (a_place(), a_place(), a_place(), -4.0..4.0_f64).prop_map(|(from, control, to, power)| {
            Curve::Conic {
                from,
                control,
                to,
                weight: power.exp(),
            }
        });
    let cubic =
        (a_place(), a_place(), a_place(), a_place()).prop_map(|(from, first, second, to)| {
            Curve::Cubic {
                from,
                first,
                second,
                to,
            }
        });
    prop_oneof![line, arc, conic, cubic]
}

fn a_map() -> impl Strategy<Value = Affine> {
    (-2.0..2.0_f64, -2.0..2.0_f64, -2.0..2.0_f64, -2.0..2.0_f64).prop_map(|(uu, uv, vu, vv)| {
        Affine {
            uu,
            uv,
            vu,
            vv,
            du: 0.5,
            dv: -0.25,
        }
    })
}

/// The nearest of many places on some curves. A curve may come near a place
/// more than once, so every place that is nearer than its neighbours is
/// looked at closely.
pub fn distance_to(curves: &[Curve], p: SectionPoint) -> f64 {
    let nearest = |curve: &Curve| {
        let steps = 800;
        let at = |i: i32| f64::from(i.clamp(0, steps)) / f64::from(steps);
        let d = |t: f64| curve.at(t).distance(p);
        (0..=steps)
            .filter(|i| d(at(*i)) <= d(at(i - 1)) && d(at(*i)) <= d(at(i + 1)))
            .map(|i| closely(&d, at(i - 1), at(i + 1)))
            .fold(f64::INFINITY, f64::min)
    };
    curves.iter().map(nearest).fold(f64::INFINITY, f64::min)
}

/// The least value between two places, where there is only one.
fn closely(d: &impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    for _ in 0..7 {
        let step = (high - low) / 20.0;
        let near = (0..=20)
            .map(|i| low + step * f64::from(i))
            .min_by(|a, b| d(*a).total_cmp(&d(*b)))
            .unwrap_or(low);
        (low, high) = ((near - step).max(low), (near + step).min(high));
    }
    d(f64::midpoint(low, high))
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 300,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    // Against thousands of places on the curve.
    #[test]
    fn reach_is_exact(curve in a_curve(), angle in 0.0..7.0_f64) {
        let (sin, cos) = angle.sin_cos();
        let (low, high) = curve.reach(cos, sin);
        let mut found = (f64::INFINITY, f64::NEG_INFINITY);
        for i in 0..=4000 {
            let x = curve.at(f64::from(i) / 4000.0).along(cos, sin);
            found = (found.0.min(x), found.1.max(x));
        }
        prop_assert!(low <= found.0 + 1e-9 && high >= found.1 - 1e-9);
        prop_assert!(found.0 - low < 2e-3 && high - found.1 < 2e-3, "{low} {high} {found:?}");
    }

    #[test]
    fn slope_is_the_derivative(curve in a_curve(), t in 0.01..0.99_f64) {
        let h = 1e-6;
        let by_steps = (curve.at(t + h) - curve.at(t - h)) * (0.5 / h);
        let slope = curve.slope(t);
        prop_assert!((by_steps - slope).length() <= 1e-4 * (1.0 + slope.length()) * 10.0);
    }

    #[test]
    fn parts_lie_on_the_curve_and_join(curve in a_curve(), a in 0.0..1.0_f64, b in 0.0..1.0_f64) {
        // A part lies within its curve: past the end there is no curve to lie on.
        let (a, b) = (a.min(b), (a.max(b) + 1e-3).min(1.0));
        let part = curve.part(a, b);
        prop_assert_eq!(part.from(), curve.at(a));
        prop_assert!(part.to().distance(curve.at(b)) < 1e-9);
        for i in 0..=8 {
            let p = part.at(f64::from(i) / 8.0);
            prop_assert!(distance_to(&[curve], p) < 1e-5, "{p:?}");
        }
    }

    #[test]
    fn a_map_moves_every_place_of_the_curve(curve in a_curve(), map in a_map()) {
        prop_assume!(map.determinant().abs() > 1e-3);
        let mut mapped = Vec::new();
        curve.map_into(&map, &mut mapped);
        for i in 0..=8 {
            let p = map.apply(curve.at(f64::from(i) / 8.0));
            prop_assert!(distance_to(&mapped, p) < 1e-5, "{curve:?} {p:?}");
        }
    }

    #[test]
    fn sections_come_back_from_their_stored_form(points in proptest::collection::vec(a_curve(), 1..4)) {
        // Curves joined by lines; those that cross themselves are no section.
        let mut curves = Vec::new();
        for curve in points {
            if let Some(last) = curves.last().map(Curve::to) {
                curves.push(Curve::Line { from: last, to: curve.from() });
            }
            curves.push(curve);
        }
        let first = curves[0].from();
        let last = curves[curves.len() - 1].to();
        curves.push(Curve::Line { from: last, to: first });
        if let Ok(outline) = Outline::new(curves) {
            let section = Section { outline, back: Back::Solid };
            let text = json::section_value(&section).to_string();
            let value = serde_json::from_str(&text).unwrap();
            let read = json::section(&value, "section", Unit::Inch).unwrap();
            prop_assert_eq!(section, read);
        }
    }
}

#[test]
fn a_part_of_a_curve_that_nearly_turns_back_on_itself_lies_on_it() {
    // Found by a random test whose search took the wrong branch.
    let curve = Curve::Cubic {
        from: place(-0.667_837_556_745_168_8, 0.125_424_142_817_104),
        first: place(-2.899_577_007_742_573_5, -4.533_738_995_754_336),
        second: place(-0.124_484_979_143_313_11, 1.157_216_038_980_028_3),
        to: place(-0.845_582_808_707_588_4, 0.115_251_289_954_843_06),
    };
    let part = curve.part(0.0, 0.279_668_356_907_617_43);
    for i in 0..=8 {
        let p = part.at(f64::from(i) / 8.0);
        assert!(distance_to(&[curve], p) < 1e-5, "{p:?}");
    }
}
