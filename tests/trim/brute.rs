//! The solver against brute force: arrises followed as lines in space, and
//! the stick turned by hand. Nothing here uses a cut plane's normal or a
//! hold's table: only the words of the holds, rotations, and lines that meet.

use headwright::measure::{Length, Unit};
use headwright::trim::design::{Saw, SprungWay};
use headwright::trim::sheet::{Block, Cut, Hold, Leg, Piece, SectionPoint, SolvedRun};
use headwright::trim::space::{Point, Vector};
use proptest::prelude::*;

use super::heads::{any_gable, any_run, design, of_run, solved, turned};

/// Where the arris at (u, v) of a leg stands beside the leg's start.
fn arris(leg: &Leg, p: SectionPoint) -> Point {
    leg.start + leg.n * p.u + leg.b * p.v
}

/// The cut's place along the leg for the arris at (u, v), from its start.
fn along(piece: &Piece, cut: &Cut, p: SectionPoint, from_start: bool) -> f64 {
    let vertex = if from_start { 0.0 } else { piece.reference };
    vertex + cut.per_u * p.u + cut.per_v * p.v
}

/// Where two lines come nearest, and how far apart they are there.
fn meet((a, d): (Point, Vector), (b, e): (Point, Vector)) -> (Point, f64) {
    let w = a - b;
    let (de, dw, ew) = (d.dot(e), d.dot(w), e.dot(w));
    let s = (de * ew - dw) / (1.0 - de * de);
    let t = (ew - de * dw) / (1.0 - de * de);
    let (p, q) = (a + d * s, b + e * t);
    (p, (p - q).length())
}

/// Each arris of one piece meets the same arris of its mate, and both cuts
/// stand at that point.
fn mates_meet(run: &SolvedRun) -> Result<(), TestCaseError> {
    for (one, two) in run.pieces.iter().zip(run.pieces.iter().skip(1)) {
        if (one.leg.d - two.leg.d).length() < 1e-9 {
            continue;
        }
        for &p in &run.section {
            let (a, b) = (arris(&one.leg, p), arris(&two.leg, p));
            let (point, gap) = meet((a, one.leg.d), (b, two.leg.d));
            let first = a + one.leg.d * along(one, &one.right, p, false);
            let second = b + two.leg.d * along(two, &two.left, p, true);
            prop_assert!(gap < 1e-7, "{} and {} miss by {gap}", one.label, two.label);
            prop_assert!((first - point).length() < 1e-7, "{}", one.label);
            prop_assert!((second - point).length() < 1e-7, "{}", two.label);
        }
    }
    Ok(())
}

/// The stick as it hangs on the wall and as its words lay it on the saw:
/// turns about the saw's own axes, X right along the fence, Y to the fence,
/// Z up. The operator faces the fence as he would face the wall, so on the
/// wall the stick's right is X, its top Z, and its front looks at him.
fn laid(hold: Hold, spring: f64, v: Vector) -> Vector {
    let quarter = std::f64::consts::FRAC_PI_2;
    let half = std::f64::consts::PI;
    // Tipped back until what was its top edge lies to the fence.
    let on_its_back = |v| turned(v, Vector::X, -quarter);
    match hold {
        // "lying on the seat, back edge to the fence": as on the wall.
        Hold::Upright => v,
        // "the seat against the fence, front edge down": the top comes to
        // the operator.
        Hold::OnEdge => turned(v, Vector::X, quarter),
        // "back on the bed, upper edge to the fence".
        Hold::Flat => on_its_back(v),
        // "upside down, its wall side to the fence, its top on the bed; right
        // end then on the left".
        Hold::Inverted => turned(v, Vector::Y, half),
        // "standing in its spring angle, upside down: wall edge to the fence,
        // cap edge on the bed": no other turn than that of a solid one.
        Hold::SprungNested => turned(v, Vector::Y, half),
        // "on its back, turned end for end".
        Hold::FlatTurned => turned(on_its_back(v), Vector::Z, half),
        // "lying on its back, the edge that meets the cap to the fence": on
        // its back, then rolled by the spring angle.
        Hold::SprungFlat => turned(on_its_back(v), Vector::X, -spring),
        // "the same turned end for end".
        Hold::SprungFlatTurned => {
            turned(turned(on_its_back(v), Vector::X, -spring), Vector::Z, half)
        }
    }
}

/// A direction of the head's space on the operator's own axes.
fn facing(leg: &Leg, v: Vector) -> Vector {
    Vector::new(v.dot(leg.d), -v.dot(leg.n), v.dot(leg.b))
}

/// The blade's face after the saw is set: it starts across the stock, its top
/// leans left by the tilt, then the handle goes to the operator's right by
/// the swing.
fn blade(swing: f64, tilt: f64) -> Vector {
    let leaned = turned(Vector::X, Vector::Y, -tilt);
    turned(leaned, Vector::Z, swing)
}

/// Square to the fence: with the block at the stock's right, what faced the
/// fence faces right; with it at the left, left.
fn against(block: Option<Block>, v: Vector) -> Vector {
    let quarter = std::f64::consts::FRAC_PI_2;
    match block {
        None => v,
        Some(Block::Right) => turned(v, Vector::Z, -quarter),
        Some(Block::Left) => turned(v, Vector::Z, quarter),
    }
}

/// Every arris that the blade cuts is cut where the sheet says.
fn blade_cuts(run: &SolvedRun) -> Result<(), TestCaseError> {
    for piece in &run.pieces {
        for (cut, from_start) in [(&piece.left, true), (&piece.right, false)] {
            let setting = cut.setting;
            let spring = run.spring.unwrap_or(0.0);
            let face = blade(setting.swing, setting.tilt);
            let place = |p: SectionPoint| {
                let at = arris(&piece.leg, p) + piece.leg.d * along(piece, cut, p, from_start);
                let laid = laid(
                    setting.hold,
                    spring,
                    facing(&piece.leg, at - piece.leg.start),
                );
                against(setting.block, laid)
            };
            let first = place(cut.hook);
            for &p in &run.section {
                let off = face.dot(place(p) - first);
                prop_assert!(
                    off.abs() < 1e-7,
                    "{} {:?}: off by {off}",
                    piece.label,
                    setting
                );
            }
        }
    }
    Ok(())
}

fn longest_and_shortest(run: &SolvedRun) -> Result<(), TestCaseError> {
    for piece in &run.pieces {
        let at = |cut, p, start| along(piece, cut, p, start);
        let ends: Vec<(f64, f64)> = run
            .section
            .iter()
            .map(|&p| (at(&piece.left, p, true), at(&piece.right, p, false)))
            .collect();
        let least = ends.iter().map(|e| e.0).fold(f64::INFINITY, f64::min);
        let most = ends.iter().map(|e| e.1).fold(f64::NEG_INFINITY, f64::max);
        let shortest = ends.iter().map(|e| e.1 - e.0).fold(f64::INFINITY, f64::min);
        prop_assert!((piece.overall - (most - least)).abs() < 1e-9);
        prop_assert!((piece.shortest - shortest).abs() < 1e-9);
    }
    Ok(())
}

fn check(run: &SolvedRun) -> Result<(), TestCaseError> {
    mates_meet(run)?;
    blade_cuts(run)?;
    longest_and_shortest(run)
}

#[test]
fn every_hold_turns_the_stick_and_never_mirrors_it() {
    use headwright::trim::solve::SawFrame;
    let holds = [
        Hold::OnEdge,
        Hold::Upright,
        Hold::Flat,
        Hold::Inverted,
        Hold::SprungFlat,
        Hold::SprungFlatTurned,
        Hold::FlatTurned,
        Hold::SprungNested,
    ];
    for hold in holds {
        for spring in [0.3_f64, 0.66, 1.1] {
            let frame = SawFrame::new(hold, spring);
            // Determinant +1: a rigid turn.
            assert!(
                (frame.d.cross(frame.b) - frame.n).length() < 1e-12,
                "{hold:?}"
            );
            assert!((frame.d.length() - 1.0).abs() < 1e-12, "{hold:?}");
            // The table says what the words say.
            let by_hand = |v| laid(hold, spring, v);
            assert!(
                (frame.d - by_hand(Vector::X)).length() < 1e-12,
                "{hold:?} d"
            );
            assert!(
                (frame.b - by_hand(Vector::Z)).length() < 1e-12,
                "{hold:?} b"
            );
            assert!(
                (frame.n - by_hand(-Vector::Y)).length() < 1e-12,
                "{hold:?} n"
            );
        }
    }
}

#[test]
fn the_handle_to_the_right_cuts_the_far_side_further_left() {
    // Common sense at the saw: with the handle to the operator's right the
    // blade's far end, at the fence, points to the left.
    let face = blade(30_f64.to_radians(), 0.0);
    let far_left = Vector::new(-1.0, 3_f64.sqrt(), 0.0);
    assert!(face.dot(far_left).abs() < 1e-12);
    // With the top leaned left the blade rises to the left.
    let face = blade(0.0, 30_f64.to_radians());
    let up_left = Vector::new(-1.0, 0.0, 3_f64.sqrt());
    assert!(face.dot(up_left).abs() < 1e-12);
}

proptest! {
    #[test]
    fn mates_meet_point_for_point_and_the_blade_cuts_what_the_sheet_says(run in any_run()) {
        for run in &solved(&of_run(run)).runs {
            check(run)?;
        }
    }

    #[test]
    fn gables_with_and_without_drops_too(head in any_gable()) {
        for run in &solved(&design(&head)).runs {
            check(run)?;
        }
    }
}

/// A random saw: what is not drawn does not limit.
fn any_saw() -> impl Strategy<Value = Saw> {
    let swing = || prop::option::of(20.0..60.0_f64);
    let tilt = || prop::option::of(prop_oneof![Just(0.0), 10.0..50.0_f64]);
    let size = || prop::option::of(1.0..12.0_f64);
    let sprung = prop::option::of(prop_oneof![Just(SprungWay::Flat), Just(SprungWay::Nested)]);
    (swing(), swing(), tilt(), tilt(), size(), size(), sprung).prop_map(
        |(swing_left, swing_right, tilt_left, tilt_right, height, depth, sprung)| {
            let length = |inches| Length::from_f64(inches, Unit::Inch).expect("a length");
            Saw {
                swing_left,
                swing_right,
                tilt_left,
                tilt_right,
                max_height: height.map(length),
                max_depth: depth.map(length),
                kerf: None,
                sprung,
            }
        },
    )
}

/// Whether a setting is past what a saw has, reckoned here once more.
fn past(saw: &Saw, swing: f64, tilt: f64) -> bool {
    let over = |angle: f64, most: Option<f64>| most.is_some_and(|m| angle.to_degrees() > m + 1e-6);
    over(swing, saw.swing_right)
        || over(-swing, saw.swing_left)
        || over(tilt, saw.tilt_left)
        || over(-tilt, saw.tilt_right)
}

proptest! {
    #[test]
    fn whatever_the_saw_the_blade_cuts_what_the_sheet_says(run in any_run(), saw in any_saw()) {
        let mut head = of_run(run);
        head.saw = Some(saw);
        let sheet = solved(&head);
        for run in &sheet.runs {
            check(run)?;
            for piece in &run.pieces {
                for cut in [&piece.left, &piece.right] {
                    let past = past(&saw, cut.setting.swing, cut.setting.tilt);
                    let told = sheet.findings.iter().any(|f| {
                        f.code == "saw-limit" && f.piece.as_ref() == Some(&piece.label)
                    });
                    prop_assert!(told || !past, "{}: {:?}", piece.label, cut.setting);
                }
            }
        }
    }
}

#[test]
fn the_worked_cases_too() {
    for (input, expect) in super::cases::cases() {
        if expect["open"]
            .as_object()
            .is_some_and(|open| !open.is_empty())
        {
            continue;
        }
        for run in &solved(&design(&input)).runs {
            check(run).unwrap_or_else(|error| panic!("{input}: {error}"));
        }
    }
}
