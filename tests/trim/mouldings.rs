//! Family D, mouldings: the constructions of the classical books. Sources
//! are in each row of `tests/data/checks.json`.

use std::f64::consts::FRAC_1_SQRT_2;

use headwright::trim::section::parts::{BuiltBack, Conic, Order, Part, build};
use headwright::trim::section::{Curve, place};

use super::published::{Check, family};
use super::sections::{GREEK, ROMAN};

/// The curves of one part under a top that stands out far enough, level top
/// and back left out.
fn struck(part: Part) -> Vec<Curve> {
    let section = build(10.0, &[part], BuiltBack::Solid).expect("it can be struck");
    let curves = section.outline.curves();
    curves[..curves.len() - 3].to_vec()
}

fn radius(curve: &Curve) -> f64 {
    curve.circle().expect("an arc").1
}

/// Turn of the outline where one curve meets the next, radians.
fn kink(one: &Curve, two: &Curve) -> f64 {
    let (a, b) = (
        one.reaching().expect("a length"),
        two.leaving().expect("a length"),
    );
    a.cross(b).atan2(a.dot(b))
}

fn ovolo_or_cavetto(check: &Check) {
    let (projection, height) = (check.input("projection"), check.input("height"));
    let parts = [
        Part::Ovolo {
            height,
            projection,
            order: ROMAN,
        },
        Part::Cavetto {
            height,
            projection,
            order: ROMAN,
        },
    ];
    for (part, convex) in parts.into_iter().zip([true, false]) {
        let curves = struck(part);
        check.expect("radius", radius(&curves[0]));
        // Convex: the middle bulges out of the chord, away from the wall.
        let middle = curves[0].at(0.5);
        let chord = curves[0].from().towards(curves[0].to(), 0.5);
        assert_eq!(middle.u > chord.u, convex, "{}", check.id());
        // The centre stands level with the one end or plumb with the other.
        let (centre, _) = curves[0].circle().expect("an arc");
        let (outer, inner) = (curves[0].from(), curves[0].to());
        let (level, plumb) = if convex {
            (outer, inner)
        } else {
            (inner, outer)
        };
        let off = if projection <= height {
            centre.v - level.v
        } else {
            centre.u - plumb.u
        };
        assert!(off.abs() < 1e-12, "{}: {off}", check.id());
    }
}

fn cyma(check: &Check, full: bool) {
    let (projection, height) = (check.input("projection"), check.input("height"));
    let parts = [
        Part::CymaRecta {
            height,
            projection,
            order: ROMAN,
            full,
        },
        Part::CymaReversa {
            height,
            projection,
            order: ROMAN,
            full,
        },
    ];
    for (part, recta) in parts.into_iter().zip([true, false]) {
        let curves = struck(part);
        assert_eq!(curves.len(), 2);
        for curve in &curves {
            check.expect("radius", radius(curve));
            check.expect("arc_deg", curve.sweep().abs().to_degrees());
        }
        assert!(
            kink(&curves[0], &curves[1]).abs() < 1e-12,
            "tangent at mid-chord"
        );
        // Recta: the projecting half is concave, and is walked first.
        assert_eq!(curves[0].sweep() > 0.0, recta, "{}", check.id());
        assert_eq!(curves[1].sweep() < 0.0, recta, "{}", check.id());
        if !full {
            let chord = curves[0].from().towards(curves[0].to(), 0.5);
            check.expect("sagitta", curves[0].at(0.5).distance(chord));
            let length: f64 = curves.iter().map(|c| radius(c) * c.sweep().abs()).sum();
            check.expect("total_arc_length", length);
        }
    }
}

fn scotia(check: &Check) {
    let curves = struck(Part::Scotia {
        height: check.input("height"),
        depth: 0.0,
        projection: 0.0,
        order: ROMAN,
    });
    check.expect("r_upper", radius(&curves[0]));
    check.expect("r_lower", radius(&curves[1]));
    check.expect("offset", curves[1].to().u - curves[0].from().u);
    assert!(kink(&curves[0], &curves[1]).abs() < 1e-12);
}

fn shoulder(check: &Check) {
    let (projection, height) = (check.input("P"), check.input("H"));
    for (key, conic) in [("ellipse", Conic::Ellipse), ("parabola", Conic::Parabola)] {
        let curves = struck(Part::Ovolo {
            height,
            projection,
            order: Order::Greek(conic),
        });
        let corner = place(curves[0].from().u, curves[0].to().v);
        let middle = curves[0].at(0.5);
        check.expect(key, (corner.u - middle.u) / projection);
        check.expect(key, (middle.v - corner.v) / height);
    }
    let curves = struck(Part::Ovolo {
        height,
        projection,
        order: Order::Greek(Conic::Hyperbola(1.5)),
    });
    let corner = place(curves[0].from().u, curves[0].to().v);
    assert!(
        corner.u - curves[0].at(0.5).u < 0.25 * projection,
        "hyperbola less"
    );
}

#[test]
fn mouldings_are_struck_as_the_books_say() {
    let counts = family("D-", |check| {
        match check.id() {
            id if id.starts_with("D-roman-ovolo") => ovolo_or_cavetto(check),
            "D-roman-cyma-full" => cyma(check, true),
            id if id.starts_with("D-roman-cyma") => cyma(check, false),
            "D-scotia" => scotia(check),
            "D-astragal" => {
                let curves = struck(Part::Astragal {
                    height: check.input("height"),
                    depth: 0.0,
                    order: ROMAN,
                });
                check.expect("radius", radius(&curves[0]));
                assert!(curves[0].at(0.5).u > curves[0].from().u, "it stands out");
            }
            "D-greek-shoulder" => shoulder(check),
            _ => return Err("a proportion, tested with the proportions"),
        }
        Ok(())
    });
    // None may vanish: the other 23 are the proportions'.
    assert_eq!(counts, (12, 0, 23));
}

// BTP p. 375 and HATF: a Greek cavetto is a quarter ellipse with semi-axes P
// and H, a Greek cyma two quarter ellipses in opposite quarters of the box.
#[test]
fn greek_curves_lie_on_their_ellipses() {
    let (projection, height) = (1.25, 2.0);
    let on = |p: headwright::trim::sheet::SectionPoint, centre: (f64, f64), a: f64, b: f64| {
        let off = ((p.u - centre.0) / a).powi(2) + ((p.v - centre.1) / b).powi(2) - 1.0;
        assert!(off.abs() < 1e-12, "{off}");
    };
    let cavetto = struck(Part::Cavetto {
        height,
        projection,
        order: GREEK,
    });
    let cyma = struck(Part::CymaReversa {
        height,
        projection,
        order: GREEK,
        full: false,
    });
    for i in 0..=20 {
        let t = f64::from(i) / 20.0;
        on(cavetto[0].at(t), (10.0, -height), projection, height);
        let (half_p, half_h) = (projection / 2.0, height / 2.0);
        on(cyma[0].at(t), (10.0 - half_p, 0.0), half_p, half_h);
        on(cyma[1].at(t), (10.0 - half_p, -height), half_p, half_h);
    }
}

// BTP p. 375: a Greek scotia is an inclined ellipse, a torus part of one.
#[test]
fn a_greek_scotia_is_half_an_inclined_ellipse_with_level_ends() {
    let curves = struck(Part::Scotia {
        height: 2.0,
        depth: 0.75,
        projection: -0.5,
        order: GREEK,
    });
    let (from, to) = (curves[0].from(), curves[1].to());
    assert!((to.u - from.u - 0.5).abs() < 1e-12 && (from.v - to.v - 2.0).abs() < 1e-12);
    assert!(curves[0].leaving().expect("a length").v.abs() < 1e-12);
    assert!(curves[1].reaching().expect("a length").v.abs() < 1e-12);
    // In the frame of its two conjugate half diameters it is a circle.
    let middle = from.towards(to, 0.5);
    for curve in &curves {
        for i in 0..=20 {
            let p = curve.at(f64::from(i) / 20.0) - middle;
            let along = p.v / -1.0;
            let out = (p.u - along * 0.25) / -0.75;
            assert!((along * along + out * out - 1.0).abs() < 1e-12);
        }
    }
    let torus = struck(Part::Astragal {
        height: 2.0,
        depth: 0.6,
        order: GREEK,
    });
    let p = torus[0].at(1.0);
    assert!((p.u - 10.6).abs() < 1e-12 && (p.v + 1.0).abs() < 1e-12);
    assert!((Conic::Ellipse.weight() - FRAC_1_SQRT_2).abs() < 1e-15);
}
