//! Sections as curves: what they measure, how they map, flatten and rip, and
//! the classical constructions (family D, mouldings).

use std::f64::consts::{FRAC_1_SQRT_2, PI};

use headwright::measure::SpringAngle;
use headwright::trim::section::measured::{self, Measured};
use headwright::trim::section::parts::{BuiltBack, Conic, Order, Part, build};
use headwright::trim::section::{Affine, Back, Curve, Cut, Outline, Section, place, rip, shift};

use super::curves::distance_to;

pub const ROMAN: Order = Order::Roman;
pub const GREEK: Order = Order::Greek(Conic::Ellipse);

fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

/// A Roman crown: fillet, cyma recta, fillet, ovolo.
pub fn crown() -> Section {
    let parts = [
        Part::Fillet { height: 0.25 },
        Part::CymaRecta {
            height: 1.5,
            projection: 1.5,
            order: ROMAN,
            full: false,
        },
        Part::Fillet { height: 0.25 },
        Part::Soffit { projection: 0.25 },
        Part::Ovolo {
            height: 0.75,
            projection: 0.5,
            order: ROMAN,
        },
        Part::Fillet { height: 0.25 },
    ];
    build(2.5, &parts, BuiltBack::Solid).expect("a crown")
}

/// The same with Greek curves.
pub fn greek_crown() -> Section {
    let parts = [
        Part::Fillet { height: 0.25 },
        Part::CymaRecta {
            height: 1.5,
            projection: 1.25,
            order: GREEK,
            full: false,
        },
        Part::Fillet { height: 0.25 },
        Part::Ovolo {
            height: 0.75,
            projection: 0.5,
            order: Order::Greek(Conic::Hyperbola(2.0)),
        },
        Part::Fillet { height: 0.25 },
    ];
    build(2.5, &parts, BuiltBack::Solid).expect("a crown")
}

fn circle(radius: f64) -> Outline {
    let half = |from: f64, to: f64| Curve::Arc {
        from: place(from, 0.0),
        to: place(to, 0.0),
        bulge: 1.0,
    };
    Outline::new(vec![half(radius, -radius), half(-radius, radius)]).expect("a circle")
}

// Area and circumference of a circle, area and centre of a half disc: school
// geometry.
#[test]
fn a_circle_has_its_area_length_and_centre() {
    let circle = circle(2.0);
    near("area", circle.area(), 4.0 * PI, 1e-12);
    near("perimeter", circle.perimeter(), 4.0 * PI, 1e-12);
    near("centre", circle.centroid().u, 0.0, 1e-12);
    let half = Outline::new(vec![
        Curve::Arc {
            from: place(3.0, 0.0),
            to: place(-3.0, 0.0),
            bulge: 1.0,
        },
        Curve::Line {
            from: place(-3.0, 0.0),
            to: place(3.0, 0.0),
        },
    ])
    .expect("a half disc");
    near(
        "half disc centre",
        half.centroid().v,
        4.0 * 3.0 / (3.0 * PI),
        1e-12,
    );
}

// An affine map multiplies areas by its determinant; the ellipse's area is
// π·a·b, its circumference from Ramanujan's second formula (from memory),
// good to 1e-9 at this flatness.
#[test]
fn a_stretched_circle_is_the_exact_ellipse() {
    let ellipse = circle(1.0).mapped(&Affine::scaled(3.0, 2.0));
    near("area", ellipse.area(), 6.0 * PI, 1e-12);
    let h = (1.0_f64 / 5.0).powi(2);
    let length = PI * 5.0 * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
    near("perimeter", ellipse.perimeter(), length, 1e-8);
    let (low, high) = ellipse.reach(1.0, 1.0);
    near("reach", high, 13.0_f64.sqrt(), 1e-12);
    near("reach", low, -(13.0_f64.sqrt()), 1e-12);
    for curve in ellipse.curves() {
        for i in 0..=50 {
            let p = curve.at(f64::from(i) / 50.0);
            near(
                "on the ellipse",
                (p.u / 3.0).powi(2) + (p.v / 2.0).powi(2),
                1.0,
                1e-12,
            );
        }
    }
}

// Archimedes: a parabola's segment is two thirds of its triangle... of the
// box's half: area under y = x² on 0…1 is 1/3.
#[test]
fn a_parabola_has_archimedes_area() {
    let outline = Outline::new(vec![
        Curve::Conic {
            from: place(0.0, 0.0),
            control: place(0.5, 0.0),
            to: place(1.0, 1.0),
            weight: 1.0,
        },
        Curve::Line {
            from: place(1.0, 1.0),
            to: place(1.0, 0.0),
        },
        Curve::Line {
            from: place(1.0, 0.0),
            to: place(0.0, 0.0),
        },
    ])
    .expect("an outline");
    near("area", outline.area(), 1.0 / 3.0, 1e-14);
}

#[test]
fn the_polygon_stays_within_its_tolerance() {
    for section in [crown(), greek_crown()] {
        for tolerance in [0.1, 0.01, 0.001, 1e-4] {
            let corners = section.outline.polygon(tolerance);
            let polygon = Outline::polygon_of(&corners).expect("a polygon");
            for curve in section.outline.curves() {
                for i in 0..=40 {
                    let p = curve.at(f64::from(i) / 40.0);
                    let off = distance_to(polygon.curves(), p);
                    assert!(off <= tolerance * 1.001 + 1e-6, "{off} over {tolerance}");
                }
            }
            assert!(corners.len() < 600, "{} corners", corners.len());
        }
    }
}

#[test]
fn a_crossing_outline_is_refused_with_the_place() {
    // The last corner keeps the two loops from cancelling.
    let corners = [
        place(0.0, 0.0),
        place(1.0, 1.0),
        place(1.0, 0.0),
        place(0.0, 1.0),
        place(-1.0, 1.0),
    ];
    let error = Outline::polygon_of(&corners).expect_err("it crosses");
    assert!(error.to_string().contains("(0.500, 0.500)"), "{error}");
}

#[test]
fn an_open_outline_is_refused_with_the_gap() {
    let line = |a: (f64, f64), b: (f64, f64)| Curve::Line {
        from: place(a.0, a.1),
        to: place(b.0, b.1),
    };
    let error = Outline::new(vec![
        line((0.0, 0.0), (1.0, 0.0)),
        line((1.0, 0.0), (1.0, 1.0)),
        line((1.0, 1.0), (0.0, 0.5)),
    ])
    .expect_err("it is open");
    assert!(error.to_string().contains("gap of 0.5"), "{error}");
}

#[test]
fn a_rip_keeps_curves_and_accounts_for_every_bit() {
    let section = crown();
    let whole = section.outline.area();
    let cut = Cut {
        per_u: 1.0,
        per_v: 0.0,
        keep: 1.75,
        kerf: 0.125,
    };
    let ripped = rip(&section.outline, &cut).expect("something is kept");
    assert_eq!(ripped.kept.len(), 1);
    near("width", ripped.kept[0].extents().u_high, 1.75, 1e-9);
    near("areas", ripped.kept_area + ripped.lost_area, whole, 1e-9);
    let kerf_too = rip(
        &section.outline,
        &Cut {
            keep: 1.875,
            kerf: 0.0,
            ..cut
        },
    )
    .expect("kept");
    let offcuts: f64 = ripped.offcuts.iter().map(Outline::area).sum();
    near("offcut", offcuts, kerf_too.lost_area, 1e-9);
    assert!(
        ripped.kept[0]
            .curves()
            .iter()
            .any(|c| matches!(c, Curve::Arc { .. })),
        "arcs stay arcs"
    );
}

#[test]
fn a_rip_through_a_fork_gives_each_part() {
    // A U on its side: two arms joined at u = 0…1.
    let corners = [
        place(0.0, 0.0),
        place(4.0, 0.0),
        place(4.0, 1.0),
        place(1.0, 1.0),
        place(1.0, 2.0),
        place(4.0, 2.0),
        place(4.0, 3.0),
        place(0.0, 3.0),
    ];
    let fork = Outline::polygon_of(&corners).expect("a fork");
    let cut = |per_u: f64, keep: f64| Cut {
        per_u,
        per_v: 0.0,
        keep,
        kerf: 0.0,
    };
    let arms = rip(&fork, &cut(-1.0, -2.0)).expect("two arms");
    assert_eq!(arms.kept.len(), 2);
    near("an arm", arms.kept_area, 2.0, 1e-12);
    let heel = rip(&fork, &cut(1.0, 2.0)).expect("the heel");
    assert_eq!(heel.kept.len(), 1);
    near("heel", heel.kept_area, 5.0, 1e-12);
    assert_eq!(heel.offcuts.len(), 2);
    near("share", heel.lost_share, 4.0 / 9.0, 1e-12);
}

#[test]
fn three_points_make_the_arc_through_them() {
    let corner = |u, v| Measured {
        at: place(u, v),
        smooth: false,
    };
    let through = |u: f64, v: f64| Measured {
        at: place(u, v),
        smooth: true,
    };
    let half = FRAC_1_SQRT_2;
    for side in [1.0, -1.0] {
        let outline = measured::outline(&[
            corner(0.0, 0.0),
            corner(side, 0.0),
            through(side * half, half),
            corner(0.0, 1.0),
        ])
        .expect("a quarter round");
        near("area", outline.area(), PI / 4.0, 1e-12);
    }
    let error = measured::outline(&[through(0.0, 0.0), through(1.0, 0.0)]).expect_err("no arris");
    assert!(error.to_string().contains("arris"));
}

#[test]
fn many_smooth_points_make_one_smooth_curve_through_them() {
    let on = |i: u32| {
        let (sin, cos) = (f64::from(i) * PI / 12.0).sin_cos();
        Measured {
            at: place(2.0 * cos, 2.0 * sin),
            smooth: i != 0 && i != 12,
        }
    };
    let points: Vec<Measured> = (0..=12).map(on).collect();
    let outline = measured::outline(&points).expect("a half disc");
    near("area", outline.area(), 2.0 * PI, 0.03);
    for point in points {
        assert!(distance_to(outline.curves(), point.at) < 1e-9);
    }
}

#[test]
fn a_sprung_back_leaves_air_behind_and_keeps_its_angle() {
    let parts = [
        Part::Fillet { height: 0.5 },
        Part::CymaRecta {
            height: 3.0,
            projection: 2.75,
            order: ROMAN,
            full: false,
        },
        Part::Fillet { height: 0.5 },
    ];
    let back = BuiltBack::Sprung {
        spring: SpringAngle::from_degrees(38.0),
        seat: 0.5,
    };
    let section = build(3.25, &parts, back).expect("a sprung crown");
    let solid = build(3.25, &parts, BuiltBack::Solid).expect("a solid crown");
    let air = 0.5 * 3.5 * 3.5 * 38.0_f64.to_radians().tan();
    near(
        "area",
        section.outline.area(),
        solid.outline.area() - air,
        1e-12,
    );
    assert_eq!(section.back, Back::Sprung(SpringAngle::from_degrees(38.0)));
    let thin = BuiltBack::Sprung {
        spring: SpringAngle::from_degrees(80.0),
        seat: 0.5,
    };
    assert!(build(3.25, &parts, thin).is_err(), "no wood at the top");
}

#[test]
fn a_part_that_cannot_be_struck_is_named() {
    let parts = [
        Part::Fillet { height: 0.5 },
        Part::Ovolo {
            height: 0.0,
            projection: 1.0,
            order: ROMAN,
        },
    ];
    let error = build(2.0, &parts, BuiltBack::Solid).expect_err("no height");
    assert!(error.to_string().starts_with("part 2"), "{error}");
    let deep = [
        Part::Soffit { projection: 3.0 },
        Part::Fillet { height: 1.0 },
    ];
    assert!(
        build(2.0, &deep, BuiltBack::Solid).is_err(),
        "behind the wall"
    );
}

#[test]
fn mouldings_turned_over_are_the_same_mouldings() {
    let solid = |projection, part| {
        build(
            projection,
            &[part, Part::Fillet { height: 1.0 }],
            BuiltBack::Solid,
        )
        .expect("built")
    };
    for order in [ROMAN, GREEK] {
        let down = |p| Part::Cavetto {
            height: 1.5,
            projection: p,
            order,
        };
        let crown = solid(2.0, down(1.0)).outline;
        let base = solid(1.0, down(-1.0)).outline;
        near("area", crown.area() - 1.0, base.area() - 2.0, 1e-12);
        near(
            "perimeter",
            crown.perimeter() - 4.0,
            base.perimeter() - 4.0,
            1e-12,
        );
    }
}

#[test]
fn arrises_are_where_the_outline_turns() {
    let section = crown();
    // Back bottom, back top, top front; fillet to cyma; cyma to fillet;
    // fillet to soffit; soffit to ovolo; ovolo to fillet; fillet to bottom.
    // Two 60° arcs on a 45° chord leave the fillet at 45° − 30° from level.
    let turns: Vec<f64> = section
        .arrises(0.01)
        .iter()
        .map(|a| a.turn.to_degrees())
        .collect();
    assert_eq!(turns.len(), 9, "{turns:?}");
    let whole: f64 = section
        .outline
        .curves()
        .iter()
        .map(|c| c.sweep().to_degrees())
        .sum();
    near(
        "once round",
        (turns.iter().sum::<f64>() + whole).abs(),
        360.0,
        1e-9,
    );
}

#[test]
fn shifts_and_maps_compose() {
    let map = Affine::turned(0.3)
        .then(&Affine::scaled(2.0, -1.0))
        .then(&Affine::moved(shift(1.0, 2.0)));
    let p = place(0.7, -0.4);
    let (sin, cos) = 0.3_f64.sin_cos();
    let by_hand = place(
        2.0 * (0.7 * cos + 0.4 * sin) + 1.0,
        -(0.7 * sin - 0.4 * cos) + 2.0,
    );
    assert!(map.apply(p).distance(by_hand) < 1e-12);
}
