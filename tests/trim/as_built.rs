//! Heads solved again from what was measured: every kind, laws and hand cases.

use headwright::trim::built::{Is, asks};
use headwright::trim::sheet::{Piece, Sheet};
use headwright::trim::{Design, Rules, solve};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::heads::{any_run, design, of_run, solved};

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9, "{a} is not {b}");
}

fn whole(mut own: Value) -> Value {
    let body = json!({"unit": "in", "name": "", "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 3/4", "overhang": "2"},
        "crown": {"projection": "1 1/2", "height": "2"}});
    for (key, value) in body.as_object().expect("an object") {
        own[key] = value.clone();
    }
    own
}

fn gable(wing: &str) -> Value {
    whole(json!({"kind": "gable", "span": 40, "wing": wing, "pitch": {"rise": 7, "run": 12}}))
}

fn broken(wing: &str, upper: &str) -> Value {
    whole(
        json!({"kind": "broken-gable", "span": 48, "wing": wing, "gap": 9,
        "pitch": {"rise": 7, "run": 12}, "upper_end": upper}),
    )
}

fn closed(foot: &str) -> Value {
    whole(
        json!({"kind": "closed-gable", "span": 48, "pitch": {"degrees": 22.5}, "foot": foot,
        "level": {"cap": {"thickness": "3/4", "front": "2 1/4", "overhang": "2"},
                  "crown": {"projection": "1 1/2", "height": "2"}}}),
    )
}

fn arched() -> Value {
    whole(json!({"kind": "arched", "span": 40, "rise": 6, "segments": 5}))
}

fn with_drops() -> Value {
    let mut head = gable("7 1/4");
    head["drops"] = json!({"width": "3 1/2", "thickness": "3/4", "inset": "3/4", "length": 7});
    head
}

fn bay() -> Value {
    let s = 0.5_f64.sqrt();
    json!({"unit": "in", "kind": "runs", "runs": [{"name": "crown",
        "section": [[0, 0], [1.5, 0], [0, -2]],
        "path": [[0, 0, 0], [10.0 * s, 0, 10.0 * s], [10.0 * s + 30.0, 0, 10.0 * s],
                 [20.0 * s + 30.0, 0, 0]],
        "normals": [[-s, 0, s], [0, 0, 1], [s, 0, s]]}]})
}

/// A head of every kind, and of every way that a kind may end.
fn every() -> Vec<Value> {
    vec![
        whole(json!({"kind": "flat", "span": 40})),
        gable("7 1/4"),
        gable("0"),
        with_drops(),
        closed("level-cut"),
        closed("return"),
        broken("6", "plumb"),
        broken("6", "return"),
        broken("0", "plumb"),
        arched(),
        bay(),
    ]
}

/// `as_built` with what `change` makes of each drawn measure.
fn measured(head: &Value, mut change: impl FnMut(&Is, f64) -> f64) -> Value {
    let mut design = design(head);
    let mut built = headwright::trim::built::AsBuilt::default();
    for ask in asks(&design, &Rules::default()).expect("asks") {
        let is = ask.spot.is();
        let value = change(&is, ask.drawn);
        if is == Is::Length {
            let length =
                headwright::measure::Length::from_f64(value, headwright::measure::Unit::Inch);
            built.lengths.insert(ask.spot, length.expect("a length"));
        } else {
            built.degrees.insert(ask.spot, value);
        }
    }
    design.as_built = Some(built);
    design.to_json()
}

fn pieces(sheet: &Sheet) -> impl Iterator<Item = &Piece> {
    sheet.runs.iter().flat_map(|run| &run.pieces)
}

fn codes(sheet: &Sheet) -> Vec<&str> {
    sheet.findings.iter().map(|finding| finding.code).collect()
}

fn sheet(head: &Value) -> Sheet {
    solved(&design(head))
}

#[test]
fn a_head_that_measures_as_drawn_is_cut_as_drawn() {
    for head in every() {
        let (drawn, built) = (sheet(&head), sheet(&measured(&head, |_, drawn| drawn)));
        assert_eq!(codes(&drawn), codes(&built), "{head}");
        for (a, b) in pieces(&drawn).zip(pieces(&built)) {
            assert_eq!(a.label, b.label);
            // A length is stored to the nanometre, 4e-8 in.
            for (x, y) in [
                (a.tape, b.tape),
                (a.overall, b.overall),
                (a.left.setting.swing, b.left.setting.swing),
                (a.right.setting.tilt, b.right.setting.tilt),
            ] {
                assert!((x - y).abs() < 2e-7, "{}: {x} {y}\n{head}", a.label);
            }
            assert_eq!(a.left.point, b.left.point, "{}", a.label);
            assert_eq!(a.left.joint, b.left.joint, "{}", a.label);
        }
        assert_eq!(pieces(&drawn).count(), pieces(&built).count());
    }
}

#[test]
fn every_kind_closes_again_after_a_slip_of_the_saw() {
    for head in every() {
        let mut nth = 0.0;
        let built = measured(&head, |is, drawn| {
            nth += 1.0;
            drawn
                + if *is == Is::Length {
                    0.01 * nth
                } else {
                    0.1 * nth
                }
        });
        let (before, after) = (sheet(&head), sheet(&built));
        let open = |sheet: &Sheet| codes(sheet).iter().filter(|c| **c == "corner-open").count();
        assert_eq!(open(&before), open(&after), "{head}");
        assert_eq!(pieces(&before).count(), pieces(&after).count());
        assert!(after.can_be_made(), "{:?}\n{head}", after.findings);
    }
}

#[test]
fn what_was_measured_is_written_and_read_again() {
    for head in every() {
        let mut nth = 0.0;
        let built = measured(&head, |_, drawn| {
            nth += 0.125;
            drawn + nth
        });
        let once = design(&built);
        assert_eq!(Design::from_json(&once.to_json()).expect("read"), once);
        assert!(once.as_built.is_some_and(|built| !built.is_empty()));
    }
}

#[test]
fn a_flat_heads_top_edge_moves_its_right_return() {
    let mut head = whole(json!({"kind": "flat", "span": 40}));
    head["as_built"] = json!({"top": "39 13/16"});
    let sheet = sheet(&head);
    let [cap, crown] = sheet.runs.as_slice() else {
        panic!("two runs")
    };
    near(cap.pieces[0].reference, 39.8125 + 4.0);
    near(crown.pieces[1].reference, 39.8125);
    near(crown.pieces[0].reference, 0.75);
    near(crown.pieces[2].reference, 0.75);
}

#[test]
fn a_broken_gables_sides_are_twins_of_each_other() {
    // The rake: (48 − 9)/2 − 6 = 13 1/2 level.
    let drawn = 13.5 * (1.0_f64 + 49.0 / 144.0).sqrt();
    let mut head = broken("6", "plumb");
    head["as_built"] = json!({"left_rake": drawn + 0.0625});
    let after = sheet(&head);
    for side in ["left-cap-2", "right-cap-1"] {
        let piece = pieces(&after).find(|p| p.label == side).expect("a rake");
        assert!((piece.reference - drawn - 0.0625).abs() < 1e-7, "{side}");
    }
    head["as_built"] = json!({"left_rake": drawn + 0.25});
    let after = sheet(&head);
    assert!(codes(&after).contains(&"twins-differ"));
    let right = pieces(&after).find(|p| p.label == "right-cap-1");
    near(right.expect("a rake").reference, drawn);
}

#[test]
fn the_slopes_of_a_closed_gable_turn_its_level_cuts() {
    let mut head = closed("level-cut");
    head["as_built"] = json!({"left_slope_degrees": 22.75, "right_slope_degrees": 22.25});
    let sheet = sheet(&head);
    let cap = sheet
        .runs
        .iter()
        .find(|run| run.name == "cap")
        .expect("a cap");
    // A level cut on a rake stands 90° less its slope away from square.
    near(
        cap.pieces[0].left.setting.swing.to_degrees().abs(),
        90.0 - 22.75,
    );
    near(
        cap.pieces[1].right.setting.swing.to_degrees().abs(),
        90.0 - 22.25,
    );
    near(cap.pieces[0].right.setting.swing.to_degrees().abs(), 22.5);
}

#[test]
fn an_arch_is_measured_piece_by_piece() {
    let mut head = arched();
    head["as_built"] = json!({"segments": [null, "8 1/2"], "joints_degrees": [7]});
    let sheet = sheet(&head);
    let cap = &sheet.runs[0].pieces;
    near(cap[1].reference, 8.5);
    near(cap[0].right.setting.swing.to_degrees().abs(), 7.0);
    near(cap[1].left.setting.swing.to_degrees().abs(), 7.0);
    // The others keep what was drawn: half the angle over five.
    let mitre = 2.0 * (12.0_f64 / 40.0).atan().to_degrees() / 5.0;
    near(cap[3].right.setting.swing.to_degrees().abs(), mitre);
    // The end stays on its radius: half a joint's turn from its piece.
    near(cap[0].left.setting.swing.to_degrees().abs(), mitre);
}

#[test]
fn a_bays_true_corner_sets_both_mates() {
    let mut head = bay();
    head["as_built"] = json!({"runs": {"crown": {"legs": ["10 1/16"], "corners_degrees": [23.5]}}});
    let sheet = sheet(&head);
    let crown = &sheet.runs[0].pieces;
    // Twins: both wings to the longer.
    near(crown[0].reference, 10.0625);
    near(crown[2].reference, 10.0625);
    near(crown[0].right.setting.swing.to_degrees().abs(), 23.5);
    near(crown[1].left.setting.swing.to_degrees().abs(), 23.5);
    near(crown[1].right.setting.swing.to_degrees().abs(), 22.5);
    assert!(!codes(&sheet).contains(&"corner-open"));
}

#[test]
fn a_bent_arch_is_measured_by_span_and_rise() {
    let mut head = whole(json!({"kind": "arched", "span": 40, "rise": 6,
        "bent": {"kerf": "1/8", "depth": "1/2"}}));
    head["as_built"] = json!({"span": "39 3/4", "rise": "6 1/8"});
    let radius = (39.75_f64.powi(2) / 4.0 + 6.125 * 6.125) / (2.0 * 6.125);
    near(sheet(&head).bends[0].radius, radius);
}

#[test]
fn a_misread_tape_and_angles_that_do_not_agree_are_said() {
    let mut head = gable("7 1/4");
    head["as_built"] = json!({"left_rake": "25 1/2"});
    assert!(codes(&sheet(&head)).contains(&"as-built-far"));
    head["as_built"] = json!({"peak_degrees": 32});
    assert!(codes(&sheet(&head)).contains(&"as-built-open"));
    head["as_built"] = json!({"left_wing": "7 3/16"});
    // Wings are twins too.
    let after = sheet(&head);
    let cap = &after.runs[0].pieces;
    near(cap[0].reference, 9.25);
    near(cap[3].reference, 9.25);
}

#[test]
fn what_a_head_does_not_have_cannot_be_measured() {
    let cases = [
        (
            gable("0"),
            json!({"left_foot_degrees": 15}),
            "as_built.left_foot_degrees: ",
        ),
        (
            gable("7 1/4"),
            json!({"left_slope_degrees": 15}),
            "as_built.left_slope_degrees: ",
        ),
        (
            arched(),
            json!({"segments": [1, 1, 1, 1, 1, 1]}),
            "as_built.segments[5]: ",
        ),
        (
            arched(),
            json!({"joints_degrees": [90]}),
            "as_built.joints_degrees[0]: ",
        ),
        (
            bay(),
            json!({"runs": {"cap": {"legs": [3]}}}),
            "as_built.runs.cap.legs[0]: ",
        ),
        (
            bay(),
            json!({"runs": {"crown": {"legs": [3, 0]}}}),
            "as_built.runs.crown.legs[1]: ",
        ),
        (bay(), json!({"top": 3}), "as_built.top: "),
    ];
    for (mut head, built, start) in cases {
        head["as_built"] = built;
        let wrong = Design::from_json(&head)
            .and_then(|design| solve(&design, &Rules::default()).map(|_| ()))
            .expect_err("refused");
        let said = wrong.to_string();
        assert!(said.starts_with(start), "{said}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Any general run, measured off by a little in every leg and corner,
    /// still closes where it closed.
    #[test]
    fn a_run_measured_otherwise_closes_as_before(run in any_run(), by in 0.0..0.05f64, turn in -0.4..0.4f64) {
        let head = of_run(run).to_json();
        let built = measured(&head, |is, drawn| match is {
            Is::Length => drawn + by,
            Is::Mitre | Is::Slope => (drawn + turn).clamp(0.02, 79.9),
        });
        let (before, after) = (sheet(&head), sheet(&built));
        let open = |sheet: &Sheet| codes(sheet).iter().filter(|c| **c == "corner-open").count();
        prop_assert_eq!(open(&before), open(&after));
        for (a, b) in pieces(&before).zip(pieces(&after)) {
            prop_assert!(b.reference >= a.reference - 1e-6);
        }
    }
}
