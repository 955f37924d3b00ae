//! Heads whose figures a person can work out, and findings. Check values of
//! the trade: common practice, no source; the rest is worked beside the test.

use headwright::trim::sheet::{Joint, PointKind, Severity, Sheet};
use serde_json::{Value, json};

use super::heads::{Bend, bent_run, design, of_run, solved};

/// A 40 in head, 8 in wings, rising 5 in 12: rake 12 in over 5 gives 13.
fn gable() -> Value {
    json!({
        "unit": "in", "name": "by hand", "kind": "gable", "span": 40, "wing": 8,
        "pitch": {"rise": 5, "run": 12},
        "board": {"thickness": 0.75, "height": 5.5},
        "cap": {"thickness": 0.75, "front": 3, "overhang": 2},
        "crown": {"projection": 1.5, "height": 2, "back": "solid"},
        "drops": {"width": 3, "thickness": 0.75, "inset": 1, "length": 7, "point_degrees": 45}
    })
}

fn cut_sheet(head: &Value) -> Sheet {
    solved(&design(head))
}

fn codes(sheet: &Sheet) -> Vec<&'static str> {
    let mut codes: Vec<_> = sheet.findings.iter().map(|finding| finding.code).collect();
    codes.dedup();
    codes
}

fn has(head: &Value, code: &str) -> bool {
    codes(&cut_sheet(head)).contains(&code)
}

fn near(got: f64, want: f64) {
    assert!((got - want).abs() < 1e-9, "got {got}, want {want}");
}

#[test]
fn a_rake_of_5_in_12_has_half_the_pitch_at_the_foot_and_all_of_it_at_the_peak() {
    let sheet = cut_sheet(&gable());
    let [cap, crown] = sheet.runs.as_slice() else {
        panic!("two runs")
    };
    let pitch = 5_f64.atan2(12.0);
    let rake = &cap.pieces[1];
    near(rake.reference, 13.0);
    // On the same side of the saw for one piece.
    near(rake.left.setting.swing, pitch / 2.0);
    near(rake.right.setting.swing, pitch);
    let rake = &crown.pieces[6];
    near(rake.reference, 13.0);
    near(rake.left.setting.swing, -pitch / 2.0);
    near(rake.right.setting.swing, -pitch);
}

#[test]
fn outside_corners_are_short_points_and_inside_corners_long_ones() {
    for run in &cut_sheet(&gable()).runs {
        for piece in &run.pieces {
            for cut in [&piece.left, &piece.right] {
                match (run.name.as_str(), cut.joint) {
                    (_, Joint::PlanOutside) => assert_eq!(cut.point, PointKind::Short),
                    (_, Joint::PlanInside) => assert_eq!(cut.point, PointKind::Long),
                    // The cap lies above its edge, the crown hangs below it.
                    ("cap", Joint::RiseOutside) | ("crown", Joint::RiseInside) => {
                        assert_eq!(cut.point, PointKind::Short);
                    }
                    ("cap", Joint::RiseInside) | ("crown", Joint::RiseOutside) => {
                        assert_eq!(cut.point, PointKind::Long);
                    }
                    _ => assert_eq!(cut.point, PointKind::Square),
                }
            }
        }
    }
}

#[test]
fn the_transition_piece_is_what_wing_inset_drop_and_projection_leave() {
    // Wing 8, inset 1, drop 3, projection 1.5: 4 on the board, 2.5 at the face.
    let sheet = cut_sheet(&gable());
    let transition = &sheet.runs[1].pieces[5];
    near(transition.reference, 4.0);
    near(transition.shortest, 2.5);
    let holds = (
        transition.left.setting.hold.word(),
        transition.right.setting.hold.word(),
    );
    assert_eq!(holds, ("inverted", "flat"));
    let mut wide = gable();
    wide["drops"]["width"] = json!(5.5);
    assert!(has(&wide, "piece-vanishes"));
    wide["drops"]["width"] = json!(5.4);
    assert!(has(&wide, "piece-thin"));
    wide["drops"]["width"] = json!(7);
    assert!(has(&wide, "piece-vanishes"), "the drop ends at the foot");
    wide["drops"]["width"] = json!("7 1/16");
    assert!(has(&wide, "drop-outside-wing"));
    assert!(!cut_sheet(&wide).can_be_made());
}

#[test]
fn a_flat_head_wraps_its_ends_and_its_board_is_a_rectangle() {
    let head = json!({
        "unit": "in", "kind": "flat", "span": 36, "board": {"thickness": 1, "height": 6},
        "cap": {"thickness": 0.75, "front": 2, "overhang": 2},
        "crown": {"projection": 1.5, "height": 2, "back": "solid"}
    });
    let sheet = cut_sheet(&head);
    near(sheet.runs[0].pieces[0].reference, 40.0);
    let crown = &sheet.runs[1].pieces;
    assert_eq!(crown.len(), 3);
    near(crown[1].reference, 36.0);
    near(crown[1].overall, 39.0);
    near(crown[0].reference, 1.0);
    near(crown[0].overall, 2.5);
    // Upside down, the right end of the wall is on the left at the saw: a
    // right-hand outside corner swings left.
    near(crown[1].right.setting.swing.to_degrees(), -45.0);
    near(crown[1].left.setting.swing.to_degrees(), 45.0);
    let outline = &sheet.boards[0].outline;
    assert_eq!(outline, &[(0.0, 0.0), (36.0, 0.0), (36.0, 6.0), (0.0, 6.0)]);
}

#[test]
fn the_gables_board_and_pointed_drops_have_their_corners() {
    let sheet = cut_sheet(&gable());
    let corners = |i: usize| sheet.boards[i].outline.clone();
    let board = [
        (0.0, 0.0),
        (40.0, 0.0),
        (40.0, 5.5),
        (32.0, 5.5),
        (20.0, 10.5),
        (8.0, 5.5),
        (0.0, 5.5),
    ];
    for (got, want) in corners(0).into_iter().zip(board) {
        near(got.0, want.0);
        near(got.1, want.1);
    }
    let drop = [(0.0, 1.5), (1.5, 0.0), (3.0, 1.5), (3.0, 7.0), (0.0, 7.0)];
    for (got, want) in corners(1).into_iter().zip(drop) {
        near(got.0, want.0);
        near(got.1, want.1);
    }
    near(sheet.boards[2].origin.x, 36.0);
}

#[test]
fn sprung_crown_round_a_square_corner_has_the_published_settings() {
    // SM1, a power-saw maker's manual: 38° to the wall, 90° corner: 31.62 and
    // 33.85 (exact 33.8629, the manual truncates).
    let (sin, cos) = 38_f64.to_radians().sin_cos();
    let section = [
        [0.0, -4.0 * cos],
        [4.0 * sin, 0.0],
        [4.0 * sin - 0.25, 0.0],
        [0.0, 0.25 - 4.0 * cos],
    ];
    let quarter = std::f64::consts::FRAC_PI_2;
    let mut run = bent_run("crown", &section, &[30.0, 20.0], &[Bend::Plan(quarter)]);
    run.spring = Some(headwright::measure::SpringAngle::from_degrees(38.0));
    run.holds = vec![headwright::trim::sheet::Hold::SprungFlat];
    let flat = solved(&of_run(run.clone()));
    run.holds = vec![headwright::trim::sheet::Hold::SprungFlatTurned];
    let turned = solved(&of_run(run));
    let setting = |sheet: &Sheet| sheet.runs[0].pieces[0].right.setting;
    assert!((setting(&flat).swing.to_degrees().abs() - 31.62).abs() < 0.005);
    assert!((setting(&flat).tilt.to_degrees().abs() - 33.86).abs() < 0.005);
    // Turned end for end: same swing, opposite tilt.
    near(setting(&turned).swing, setting(&flat).swing);
    near(setting(&turned).tilt, -setting(&flat).tilt);
    // The tape hooks at the wall, at the lower of two arrises there.
    let hook = flat.runs[0].pieces[0].right.hook;
    near(hook.u, 0.0);
    near(hook.v, -4.0 * cos);
}

#[test]
fn the_tape_differs_from_the_edge_on_a_rake_and_not_on_a_level_run() {
    // A section whose only wall arris is 3 in below the edge: on a 90° turn
    // in the face each end moves by 3·tan 45°.
    let section = [[0.0, -3.0], [2.0, 0.0], [1.0, -3.0]];
    let quarter = std::f64::consts::FRAC_PI_2;
    let rise = bent_run("bed", &section, &[20.0, 20.0], &[Bend::Rise(quarter)]);
    let plan = bent_run("bed", &section, &[20.0, 20.0], &[Bend::Plan(quarter)]);
    let tape = |run| solved(&of_run(run)).runs[0].pieces[0].tape;
    near(tape(plan), 20.0);
    near(tape(rise), 17.0);
}

#[test]
fn measured_rakes_and_angles_are_solved_again() {
    let mut head = gable();
    head["as_built"] = json!({"left_rake": "13 1/16", "right_rake": "13", "left_foot_degrees": 11.5,
        "right_foot_degrees": 11.25, "peak_degrees": 22.75});
    let sheet = cut_sheet(&head);
    let cap = &sheet.runs[0].pieces;
    // Twins within 1/8 in are both cut to the longer.
    near(cap[1].reference, 13.0625);
    near(cap[2].reference, 13.0625);
    near(cap[0].right.setting.swing.to_degrees(), -11.5);
    near(cap[1].right.setting.swing.to_degrees(), 22.75);
    near(cap[3].left.setting.swing.to_degrees(), 11.25);
    assert!(!codes(&sheet).contains(&"twins-differ"));
    // The crown still closes at every corner.
    assert!(!codes(&sheet).contains(&"corner-open"));
    assert_eq!(sheet.runs[1].pieces.len(), 14);
    head["as_built"]["right_rake"] = json!("12 7/8");
    let sheet = cut_sheet(&head);
    assert!(codes(&sheet).contains(&"twins-differ"));
    near(sheet.runs[0].pieces[2].reference, 12.875);
    // Exactly 1/8 apart is still within.
    head["as_built"]["right_rake"] = json!("12 15/16");
    assert!(!has(&head, "twins-differ"));
}

#[test]
fn a_plain_peak_ends_plumb_and_says_why_it_has_no_returns() {
    let mut head = gable();
    head["wing"] = json!(0);
    head.as_object_mut().map(|head| head.remove("drops"));
    let sheet = cut_sheet(&head);
    assert!(codes(&sheet).contains(&"raked-return"));
    assert!(sheet.can_be_made());
    let [cap, crown] = sheet.runs.as_slice() else {
        panic!("two runs")
    };
    // 20 in level is 20·13/12 on the rake; the overhang 2·13/12 more.
    near(crown.pieces[0].reference, 20.0 * 13.0 / 12.0);
    near(cap.pieces[0].reference, 22.0 * 13.0 / 12.0);
    let pitch = 5_f64.atan2(12.0);
    near(cap.pieces[0].left.setting.swing.abs(), pitch);
}

#[test]
fn a_cap_that_does_not_cover_the_crown_is_said() {
    let mut head = gable();
    assert!(!has(&head, "cap-misses-crown"));
    head["cap"]["overhang"] = json!(1.4375);
    assert!(has(&head, "cap-misses-crown"));
    head["cap"]["overhang"] = json!(2);
    head["cap"]["front"] = json!(1.4375);
    assert!(has(&head, "cap-misses-crown"));
    head["cap"]["front"] = json!(2);
    assert!(has(&head, "cap-misses-drop"));
    assert!(cut_sheet(&head).can_be_made());
}

#[test]
fn a_level_return_on_to_a_rake_is_open_and_the_cures_are_named() {
    let head = json!({"unit": "in", "kind": "runs", "runs": [{
        "name": "crown", "section": [[0, 0], [1.5, 0], [0, -2]],
        "path": [[0, 0, -4], [0, 0, 0], [12, 5, 0]], "normals": [[-1, 0, 0], [0, 0, 1]]}]});
    let sheet = cut_sheet(&head);
    let open = sheet
        .findings
        .iter()
        .find(|finding| finding.code == "corner-open");
    let open = open.expect("an open corner");
    assert_eq!(open.severity, Severity::Error);
    assert_eq!(open.piece.as_deref(), Some("crown-1"));
    for cure in [
        "transition piece",
        "raked section",
        "return the moulding square",
    ] {
        assert!(open.text.contains(cure), "{cure}");
    }
    assert_eq!(sheet.runs[0].pieces.len(), 2, "cuts are still given");
}

#[test]
fn a_saw_that_cannot_reach_gets_the_way_round() {
    let mut head = gable();
    head["saw"] = json!({"swing_left": 40, "swing_right": 50});
    let sheet = cut_sheet(&head);
    let texts: Vec<_> = sheet
        .findings
        .iter()
        .filter(|finding| finding.code == "saw-limit")
        .map(|finding| finding.text.as_str())
        .collect();
    // Only swings of 45° to the left are past this saw.
    assert!(!texts.is_empty());
    for text in texts {
        assert!(text.contains("45.0° to the left"), "{text}");
        assert!(
            text.contains("set the complement: 45.0° to the right"),
            "{text}"
        );
    }
    head["saw"] = json!({"max_height": "1 1/2", "max_depth": "1 1/2"});
    assert!(has(&head, "saw-limit"));
    head["saw"] = json!({"swing_left": 50, "swing_right": 50, "tilt_left": 45, "tilt_right": 0,
        "max_height": 4, "max_depth": 8, "kerf": "1/8"});
    assert!(!has(&head, "saw-limit"));
}

#[test]
fn sprung_crown_on_a_saw_that_leans_one_way_is_turned_end_for_end() {
    let (sin, cos) = 38_f64.to_radians().sin_cos();
    let section = json!([[0, -4.0 * cos], [4.0 * sin, 0], [0, 0.25 - 4.0 * cos]]);
    for saw in [
        json!({"tilt_left": 45, "tilt_right": 0}),
        json!({"tilt_left": 45, "tilt_right": 0, "sprung": "flat"}),
    ] {
        let head = json!({"unit": "in", "kind": "runs", "saw": saw, "runs": [{
            "name": "crown", "section": section, "holds": ["sprung-flat"], "spring_degrees": 38,
            "path": [[0, 0, -20], [0, 0, 0], [40, 0, 0]], "normals": [[-1, 0, 0], [0, 0, 1]]}]});
        let sheet = cut_sheet(&head);
        let [one, two] = [
            &sheet.runs[0].pieces[0].right.setting,
            &sheet.runs[0].pieces[1].left.setting,
        ];
        assert!(
            one.tilt > 0.0 && two.tilt > 0.0,
            "both lean the way the blade can: {one:?} {two:?}"
        );
        assert_ne!(one.hold, two.hold, "one of them is turned end for end");
        let past = |f: &&headwright::trim::sheet::Finding| {
            f.code == "saw-limit" && f.text.contains("No way of holding")
        };
        assert_eq!(sheet.findings.iter().filter(past).count(), 0);
    }
}

#[test]
fn an_arch_of_a_half_circle_in_three_has_30_degree_turns() {
    // Span 20, rise 10: radius 10, half angle 90°; 3 chords of 2·10·sin 30°.
    let mut head = json!({"unit": "in", "kind": "arched", "span": 20, "rise": 10, "segments": 3,
        "board": {"thickness": 1, "height": 4},
        "crown": {"projection": 1, "height": 1, "back": "solid"}});
    let crown = &cut_sheet(&head).runs[0].pieces;
    assert_eq!(crown.len(), 3);
    for piece in crown {
        near(piece.reference, 10.0);
        for cut in [&piece.left, &piece.right] {
            near(cut.setting.swing.to_degrees().abs(), 30.0);
            assert_eq!(cut.point, PointKind::Long);
        }
    }
    // Bent: half a turn, kerfs of 1/8 in 1/2 in deep turn 1/4 rad: π/(1/4) = 12.6.
    head.as_object_mut().map(|head| head.remove("segments"));
    head["bent"] = json!({"kerf": "1/8", "depth": "1/2"});
    let sheet = cut_sheet(&head);
    assert!(sheet.runs.is_empty());
    let bend = &sheet.bends[0];
    near(bend.developed, 10.0 * std::f64::consts::PI);
    near(bend.inner, 9.0 * std::f64::consts::PI);
    near(bend.kerfs, 13.0);
    head["crown"]["height"] = json!(10);
    assert!(has(&head, "bend-too-tight"));
}

#[test]
fn upper_returns_that_close_the_gap_are_an_error() {
    let mut head = json!({"unit": "in", "kind": "broken-gable", "span": 80, "wing": 8, "gap": 12,
        "pitch": {"rise": 3, "run": 4}, "upper_end": "return",
        "board": {"thickness": 1, "height": 5},
        "cap": {"thickness": 1, "front": 3, "overhang": 2},
        "crown": {"projection": 1.5, "height": 2, "back": "solid"}});
    let sheet = cut_sheet(&head);
    assert!(sheet.can_be_made());
    let names: Vec<_> = sheet.runs.iter().map(|run| run.name.as_str()).collect();
    assert_eq!(
        names,
        ["left-cap", "left-crown", "right-cap", "right-crown"]
    );
    // cos 0.8, sin 0.6; cap 2·0.8 = 1.6; crown max(1.5·0.8, 2·0.6) = 1.2.
    let left = sheet
        .findings
        .iter()
        .find(|finding| finding.code == "gap-left");
    assert!(left.is_some_and(|finding| finding.text.contains("8 13/16 in")));
    assert_eq!(sheet.runs[1].pieces.len(), 4);
    assert!(!codes(&sheet).contains(&"corner-open"));
    head["gap"] = json!(3.2);
    assert!(has(&head, "gap-closed"));
}

#[test]
fn a_closed_gables_returns_close_and_stand_on_the_level_cap() {
    let cap = json!({"thickness": 1, "front": 3, "overhang": 2.5});
    let crown = json!({"projection": 1.5, "height": 2, "back": "solid"});
    let mut head = json!({"unit": "in", "kind": "closed-gable", "span": 80,
        "pitch": {"rise": 3, "run": 4}, "foot": "return", "board": {"thickness": 1, "height": 5},
        "cap": cap, "crown": crown, "level": {"cap": cap, "crown": crown}});
    let sheet = cut_sheet(&head);
    assert!(!codes(&sheet).contains(&"corner-open"));
    let names: Vec<_> = sheet.runs.iter().map(|run| run.name.as_str()).collect();
    assert_eq!(names, ["level-cap", "level-crown", "cap", "crown"]);
    // sin 0.6, cos 0.8: x_e = max(0, 1/0.6 − 2.5) = 0; s0 = 2·0.8/0.6. The
    // rake to the middle is 40/0.8 = 50.
    near(sheet.runs[3].pieces[1].reference, 50.0 - 1.6 / 0.6);
    near(sheet.runs[2].pieces[0].reference, 50.0 - (1.6 / 0.6 - 2.5));
    head["foot"] = json!("level-cut");
    let sheet = cut_sheet(&head);
    // 90° − θ away from square.
    let theta = 3_f64.atan2(4.0).to_degrees();
    near(
        sheet.runs[2].pieces[0]
            .left
            .setting
            .swing
            .to_degrees()
            .abs(),
        90.0 - theta,
    );
    near(sheet.runs[2].pieces[0].reference, 50.0);
}
