//! Joint tolerance: the general method against the flat case and against
//! planes turned in space.

use headwright::trim::joint::{Errors, GRADES, exterior_grade, flat_opening, openings};
use headwright::trim::sheet::{Piece, Sheet};
use headwright::trim::solve::SawFrame;
use headwright::trim::space::Vector;
use headwright::trim::{Design, Rules, solve};
use serde_json::{Value, json};

fn solved(design: &Value) -> Sheet {
    let design = Design::from_json(design).unwrap_or_else(|wrong| panic!("{wrong}"));
    solve(&design, &Rules::default()).unwrap_or_else(|wrong| panic!("{wrong}"))
}

fn gable(holds: Value, section: Value) -> Value {
    json!({"unit": "in", "kind": "runs", "runs": [
        {"name": "face", "section": section, "holds": holds,
         "path": [[0, 0, 0], [20, 0, 0], [36, 12, 0]], "normals": [[0, 0, 1], [0, 0, 1]]}]})
}

// Trade practice: a joint opens by its width × 2·tan δ when each mate is off
// by δ. The width is that of the joint's own face, the board's over cos of
// the mitre.
#[test]
fn a_flat_mitre_opens_by_its_width_times_twice_the_tangent() {
    let sheet = solved(&gable(
        json!(["flat"]),
        json!([[0, 0], [0.75, 0], [0.75, -5.5], [0, -5.5]]),
    ));
    let errors = Errors::default();
    let found = openings(&sheet, &errors);
    assert_eq!(found.len(), 1);
    let mitre = (12.0_f64).atan2(16.0) / 2.0;
    let want = flat_opening(5.5, mitre, errors.angle);
    assert!(
        (found[0].by_swing - want).abs() < 1e-12,
        "{} {want}",
        found[0].by_swing
    );
    assert!((found[0].face - 5.5 / mitre.cos()).abs() < 1e-12);
    // Tilt off: the thickness gapes.
    let tilt = 0.75 * 2.0 * errors.angle.tan();
    assert!(
        (found[0].by_tilt - tilt).abs() < 1e-12,
        "{} {tilt}",
        found[0].by_tilt
    );
    assert!((found[0].by_length - mitre.cos() / 32.0).abs() < 1e-12);
    assert_eq!(
        (found[0].piece.as_str(), found[0].mate.as_str()),
        ("face-1", "face-2")
    );
}

#[test]
fn a_square_butt_opens_by_the_boards_width() {
    assert!((flat_opening(5.5, 0.0, 0.01) - 5.5 * 2.0 * 0.01_f64.tan()).abs() < 1e-15);
}

/// Turns the plane of a cut by a small angle at the saw and measures the gap
/// over the face directly: an independent way.
fn gap_by_turning(sheet: &Sheet, run: usize, piece: &Piece, angle: f64, tilt: bool) -> Vec<f64> {
    let run = &sheet.runs[run];
    let frame = SawFrame::new(piece.right.setting.hold, run.spring.unwrap_or(0.0));
    let q = frame.turn(&piece.leg, piece.right.plane);
    let (sin, cos) = angle.sin_cos();
    let turned = if tilt {
        // About the blade's line on the bed.
        let axis = q.cross(Vector::Z).unit().expect("it cuts the bed");
        q * cos + axis.cross(q) * sin
    } else {
        Vector::new(q.x * cos - q.y * sin, q.x * sin + q.y * cos, q.z)
    };
    run.section
        .iter()
        .map(|p| {
            let (u, v) = (p.u, p.v);
            let on_plane = piece.right.per_u * u + piece.right.per_v * v;
            let x = frame.d * on_plane + frame.n * u + frame.b * v;
            turned.dot(x) / angle.tan()
        })
        .collect()
}

#[test]
fn compound_joints_open_as_their_turned_planes_do() {
    let heads = [
        json!({"unit": "in", "kind": "gable", "span": 42, "wing": 7, "pitch": {"rise": 7, "run": 12},
               "board": {"thickness": 0.75, "height": 5.5},
               "cap": {"thickness": 0.75, "front": 2.75, "overhang": 2},
               "crown": {"section": [[0, 0], [3.25, 0], [0.25, -4.125], [0, -4.125]],
                         "back": "sprung", "spring_degrees": 38}}),
        gable(
            json!(["inverted"]),
            json!([[0, 0], [2, 0], [0.5, -3], [0, -3]]),
        ),
    ];
    let errors = Errors {
        angle: 1e-6,
        length: 0.0,
    };
    let mut seen = 0;
    for design in heads {
        let sheet = solved(&design);
        let found = openings(&sheet, &errors);
        for (index, run) in sheet.runs.iter().enumerate() {
            for piece in &run.pieces {
                let Some(open) = found.iter().find(|o| o.piece == piece.label) else {
                    continue;
                };
                for (tilt, got) in [(false, open.by_swing), (true, open.by_tilt)] {
                    let gaps = gap_by_turning(&sheet, index, piece, 1e-6, tilt);
                    let high = gaps.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                    let low = gaps.iter().copied().fold(f64::INFINITY, f64::min);
                    let one = (high - low) * 1e-6;
                    // Both mates: between one and twice one mate's gap, twice
                    // where they are held alike.
                    assert!(
                        got >= one * 0.999_99 && got > 0.0,
                        "{}: {got} {one}",
                        piece.label
                    );
                    assert!(got <= 2.0 * one.max(got / 2.0) + 1e-12);
                    seen += 1;
                }
            }
        }
    }
    assert!(seen >= 8, "{seen}");
}

// Facts, family I: AWI 8th ed. exterior mitres 0.025, 0.050, 0.075 in, from
// memory.
#[test]
fn a_gap_is_told_by_the_finest_grade_it_meets() {
    assert!(
        exterior_grade(0.02)
            .expect("a grade")
            .name
            .contains("premium")
    );
    assert!(
        exterior_grade(0.05)
            .expect("a grade")
            .name
            .contains("custom")
    );
    assert!(
        exterior_grade(0.06)
            .expect("a grade")
            .name
            .contains("economy")
    );
    assert_eq!(exterior_grade(0.076), None);
    for grade in GRADES {
        assert!(grade.gap > 0.0 && grade.share <= 1.0 && !grade.source.work.is_empty());
    }
}

#[test]
fn a_quarter_degree_on_a_quarter_inch_moulding_is_within_premium() {
    let opening = flat_opening(0.25, 0.4, 0.25_f64.to_radians());
    assert!(
        exterior_grade(opening)
            .expect("a grade")
            .name
            .contains("premium")
    );
}
