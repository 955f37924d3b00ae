//! Family C: raked sections and the cuts of a raking crown. Sources are in
//! each row of `tests/data/checks.json`; saw settings are checked through the
//! solver's own frame.

use std::f64::consts::FRAC_PI_2;

use headwright::trim::raked::{Form, RakeCorner, Raked, rake_cuts};
use headwright::trim::section::{Curve, Outline, place};
use headwright::trim::sheet::{Hold, SectionPoint, Setting};
use headwright::trim::solve::SawFrame;
use headwright::trim::space::{Point, Vector};
use proptest::prelude::*;

use super::published::{Check, family};
use super::sections::{crown, greek_crown};

fn square(check: &Check) -> RakeCorner {
    RakeCorner {
        pitch: check.input("pitch_deg").to_radians(),
        plan_corner: FRAC_PI_2,
    }
}

fn height(corner: &RakeCorner, from: Form, to: Form, p: SectionPoint) -> f64 {
    corner.map(from, to).apply(p).v
}

fn one_arris(check: &Check) {
    let corner = square(check);
    let p = place(check.input("p"), check.input("h"));
    let map = corner.map(Form::Return, Form::Rake);
    check.expect("raked_p", map.apply(p).u);
    check.expect("raked_q", map.apply(p).v);
    check.expect(
        "apex_plumb_height",
        corner.peak_map(Form::Return).apply(p).v,
    );
    let upper = height(&corner, Form::Return, Form::UpperReturn, p);
    check.expect("upper_return_h", upper);
    // Along the mitre's plane the projection grows by 1/sin of half the corner.
    check.expect(
        "mitre_plane_projection",
        p.u / (corner.plan_corner / 2.0).sin(),
    );
}

/// A flat crown of face width 1 at the spring angle `spring`, its lower edge
/// at the wall: the place of its upper edge.
fn face(spring: f64) -> SectionPoint {
    let (sin, cos) = spring.sin_cos();
    place(sin, cos)
}

/// Spring and face width of a flat crown's upper edge.
fn spring_and_width(edge: SectionPoint) -> (f64, f64) {
    (edge.u.atan2(edge.v).to_degrees(), edge.u.hypot(edge.v))
}

/// Miter and bevel as the sheet of figures counts them: without the hand,
/// but negative where the miter leans the other way than the apex cut's at
/// the eave.
fn miter(setting: Setting) -> f64 {
    setting.swing.to_degrees()
}

fn bevel(setting: Setting) -> f64 {
    setting.tilt.abs().to_degrees()
}

fn raking_crown(check: &Check, all: bool) {
    let corner = square(check);
    let level = check.input("level_spring_deg").to_radians();
    let raked = corner.map(Form::Return, Form::Rake).apply(face(level));
    let (spring, width) = spring_and_width(raked);
    let cuts = rake_cuts(&corner, Hold::SprungFlat, spring.to_radians());
    // At the eave the swing of a rake that rises to the right is positive
    // where the face's own lean wins over the pitch.
    check.expect("eave_miter_deg", miter(cuts.eave));
    check.expect("eave_bevel_deg", bevel(cuts.eave));
    if !all {
        return;
    }
    check.expect("raked_spring_deg", spring);
    check.expect("raked_face_width", width);
    check.expect("apex_miter_deg", miter(cuts.peak).abs());
    check.expect("apex_bevel_deg", bevel(cuts.peak));
    check.expect("upper_miter_deg", miter(cuts.upper).abs());
    check.expect("upper_bevel_deg", bevel(cuts.upper));
    let flat = RakeCorner {
        pitch: 0.0,
        ..corner
    };
    let own = rake_cuts(&flat, Hold::SprungFlat, level);
    check.expect("return_piece_miter_deg", miter(own.eave).abs());
    check.expect("return_piece_bevel_deg", bevel(own.eave));
}

fn stock_on_the_rake(check: &Check) {
    let corner = square(check);
    let edge = face(check.input("spring_deg").to_radians());
    let (spring, width) = spring_and_width(corner.map(Form::Rake, Form::Return).apply(edge));
    check.expect("return_spring_deg", spring);
    check.expect("return_face_width", width);
}

/// The moulding lies in the box as it lies on the roof: the side of the box
/// is plumb along the rake, its top square to the roof's plumb plane.
fn mitre_box(check: &Check) {
    let corner = square(check);
    check.expect("side_cut_deg_from_square", corner.pitch.to_degrees());
    let cuts = rake_cuts(&corner, Hold::Flat, 0.0);
    // Held on its back the eave plane's trace on the side is the plumb cut,
    // and on the top, square to the back, runs at this angle to the axis.
    let frame = SawFrame::new(Hold::Flat, 0.0);
    let (sin, cos) = corner.pitch.sin_cos();
    let d = Vector::new(cos, sin, 0.0);
    let leg = headwright::trim::sheet::Leg {
        start: Point::new(0.0, 0.0, 0.0),
        end: Point::new(cos, sin, 0.0),
        d,
        n: Vector::Z,
        b: Vector::Z.cross(d),
    };
    let plane = frame.turn(&leg, headwright::trim::raked::eave_plane(&corner));
    // On the top (square to b) the trace runs along (p·n, −p·d).
    check.expect("top_cut_deg_from_axis", plane.x.atan2(plane.z).to_degrees());
    assert!((cuts.eave.swing.abs() - corner.pitch).abs() < 1e-12);
}

#[test]
fn raked_sections_and_cuts_meet_the_figures() {
    let counts = family("C-", |check| {
        match check.id() {
            id if id.starts_with("C-point") => one_arris(check),
            id if id.starts_with("C-corner") => {
                let corner = RakeCorner {
                    pitch: check.input("pitch_deg").to_radians(),
                    plan_corner: check.input("corner_deg").to_radians(),
                };
                let p = place(check.input("p"), check.input("h"));
                check.expect("raked_q", height(&corner, Form::Return, Form::Rake, p));
            }
            id if id.starts_with("C-inverse") => {
                let p = place(check.input("p"), check.input("q"));
                let h = height(&square(check), Form::Rake, Form::Return, p);
                check.expect("return_h", h);
            }
            id if id.starts_with("C-stockrake") => stock_on_the_rake(check),
            id if id.starts_with("C-rakecrown") => raking_crown(check, true),
            id if id.starts_with("C-mitrebox") => mitre_box(check),
            "C-sign" => raking_crown(check, false),
            "C-flatback-eave" => {
                let cuts = rake_cuts(&square(check), Hold::Flat, 0.0);
                check.expect("eave_miter_deg", miter(cuts.eave).abs());
                check.expect("eave_bevel_deg", bevel(cuts.eave));
                check.expect("apex_miter_deg", miter(cuts.peak).abs());
                check.expect("apex_bevel_deg", bevel(cuts.peak));
            }
            "C-naive-wrong" => {
                let corner = square(check);
                let p = place(check.input("p"), check.input("h"));
                let naive = p.v * corner.pitch.cos();
                let gap = height(&corner, Form::Return, Form::Rake, p) - naive;
                check.expect("arris_gap", gap);
            }
            "C-ware-forms" => {
                let corner = square(check);
                let p = place(check.input("p"), check.input("h"));
                check.expect("raking_q", height(&corner, Form::Return, Form::Rake, p));
                check.expect("apex_height", corner.peak_map(Form::Return).apply(p).v);
                check.expect("mitre_projection", p.u / (corner.plan_corner / 2.0).sin());
            }
            _ => return Err("not known to this test"),
        }
        Ok(())
    });
    // None may vanish. What is derived has no number in print: plan corners
    // other than square, and sprung crowns, which the old books do not treat.
    assert_eq!(counts, (34, 39, 0));
}

/// Where an arris of a run meets the plane through the origin with normal
/// `p`: the run's edge through the origin along `d`, fixed to a face with
/// normal `n`.
fn meets(at: SectionPoint, d: Vector, n: Vector, p: Vector) -> Vector {
    let b = n.cross(d);
    let off = n * at.u + b * at.v;
    off - d * (p.dot(off) / p.dot(d))
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 500,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    // Own derivation, by vectors in space: return and rake drawn from their
    // own faces meet point for point on the plumb plane that halves the plan
    // corner, at both ends of the rake.
    #[test]
    fn both_returns_meet_the_rake_point_for_point(
        pitch in 1.0..60.0_f64, plan in 40.0..320.0_f64, u in 0.0..4.0_f64, v in -5.0..5.0_f64,
    ) {
        prop_assume!((plan - 180.0).abs() > 1.0);
        let corner = RakeCorner { pitch: pitch.to_radians(), plan_corner: plan.to_radians() };
        let turn = (180.0 - plan).to_radians();
        let (sin, cos) = corner.pitch.sin_cos();
        let rake = Vector::new(cos, sin, 0.0);
        let w = corner.map(Form::Return, Form::Rake).apply(place(u, v));
        // Lower return comes along (cos turn, 0, sin turn).
        let along = Vector::new(turn.cos(), 0.0, turn.sin());
        let n = Vector::new(-turn.sin(), 0.0, turn.cos());
        let p = headwright::trim::raked::eave_plane(&corner);
        let gap = (meets(place(u, v), along, n, p) - meets(w, rake, Vector::Z, p)).length();
        prop_assert!(gap < 1e-9, "lower {gap}");
        // Upper return goes off along (cos turn, 0, −sin turn).
        let along = Vector::new(turn.cos(), 0.0, -turn.sin());
        let n = Vector::new(turn.sin(), 0.0, turn.cos());
        let p = headwright::trim::raked::upper_plane(&corner);
        let h = corner.map(Form::Rake, Form::UpperReturn).apply(w);
        let gap = (meets(h, along, n, p) - meets(w, rake, Vector::Z, p)).length();
        prop_assert!(gap < 1e-9, "upper {gap}");
    }

    #[test]
    fn there_and_back_is_the_same_section(pitch in 0.0..79.0_f64, plan in 20.0..340.0_f64) {
        let corner = RakeCorner { pitch: pitch.to_radians(), plan_corner: plan.to_radians() };
        for (a, b) in [(Form::Return, Form::Rake), (Form::Rake, Form::UpperReturn), (Form::UpperReturn, Form::Return)] {
            let round = corner.map(a, b).then(&corner.map(b, a));
            let p = round.apply(place(3.0, -4.0));
            prop_assert!(p.distance(place(3.0, -4.0)) < 1e-6 * (1.0 + corner.k().abs()));
        }
    }
}

#[test]
fn curves_stay_curves_and_areas_follow_the_map() {
    let corner = RakeCorner {
        pitch: 26.565_f64.to_radians(),
        plan_corner: FRAC_PI_2,
    };
    for section in [crown(), greek_crown()] {
        let raked = Raked::new(&section.outline, Form::Return, corner);
        let grow = corner.pitch.cos();
        let (given, rake) = (section.outline.area(), raked.rake.area());
        assert!((rake - given * grow).abs() < 1e-10, "{rake} {given}");
        assert!((raked.upper_return.area() - given).abs() < 1e-10);
        let straight = |outline: &Outline| {
            let lines = outline.curves().iter();
            lines.filter(|c| matches!(c, Curve::Line { .. })).count()
        };
        assert_eq!(straight(&section.outline), straight(&raked.rake));
        assert!(raked.rake.curves().len() >= section.outline.curves().len());
    }
}

#[test]
fn upright_arrises_of_the_raked_section_are_the_given_ones() {
    // At pitch 0 nothing changes, whatever the corner.
    let corner = RakeCorner {
        pitch: 0.0,
        plan_corner: 1.0,
    };
    let raked = Raked::new(&crown().outline, Form::Rake, corner);
    for form in Form::ALL {
        assert!((raked.form(form).area() - crown().outline.area()).abs() < 1e-12);
        assert_eq!(raked.form(form).extents(), crown().outline.extents());
    }
}
