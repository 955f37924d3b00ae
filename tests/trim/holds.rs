//! Which way stock is held, with a saw at hand: the best that it can make,
//! the complement against a block, or what would make the cut.

use headwright::trim::sheet::{Block, Cut, Finding, Hold, Severity, Sheet};
use headwright::trim::solve::{Side, ways};
use headwright::trim::{Design, Rules, solve};
use serde_json::{Value, json};

fn cut_sheet(head: &Value) -> Sheet {
    let design = Design::from_json(head).unwrap_or_else(|wrong| panic!("{head}: {wrong}"));
    solve(&design, &Rules::default()).unwrap_or_else(|wrong| panic!("{head}: {wrong}"))
}

fn limits(sheet: &Sheet) -> Vec<&Finding> {
    let all = sheet.findings.iter();
    all.filter(|f| f.code == "saw-limit").collect()
}

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

/// A sprung crown with a flat on the cap and one on the wall.
fn sprung_section(spring: f64) -> Value {
    let (sin, cos) = spring.to_radians().sin_cos();
    let (u, v) = (4.0 * sin, 4.0 * cos);
    json!([
        [0, -v],
        [u, 0],
        [u + 0.4, 0],
        [u + 0.4, -0.3],
        [0.4, -v - 0.2],
        [0, -v - 0.4]
    ])
}

/// Two legs round a corner in plan, `corner` degrees between the walls.
fn round_corner(spring: f64, corner: f64, holds: &[&str], saw: Value) -> Value {
    let turn = (180.0 - corner).to_radians();
    let (sin, cos) = turn.sin_cos();
    let mut head = json!({"unit": "in", "kind": "runs", "runs": [{
        "name": "crown", "section": sprung_section(spring), "holds": holds,
        "spring_degrees": spring, "path": [[0, 0, 0], [40, 0, 0], [40.0 + 40.0 * cos, 0, -40.0 * sin]],
        "normals": [[0, 0, 1], [sin, 0, cos]]}]});
    if !saw.is_null() {
        head["saw"] = saw;
    }
    head
}

fn mates(sheet: &Sheet) -> [&Cut; 2] {
    [
        &sheet.runs[0].pieces[0].right,
        &sheet.runs[0].pieces[1].left,
    ]
}

// Facts, family A: "Nested in position (upside down, against the fence):
// miter k, bevel 0", k half of what the corner lacks of 180 (own derivation;
// widely printed, from memory). Corners and springs of its tables.
#[test]
fn crown_standing_in_its_spring_angle_is_cut_with_plain_swing_of_half_the_turn() {
    let corners = [
        60.0, 67.5, 75.0, 80.0, 85.0, 88.0, 89.0, 90.0, 91.0, 92.0, 95.0, 100.0, 110.0, 112.5,
        120.0, 127.0, 130.0, 135.0, 140.0, 144.0, 145.0, 150.0, 157.5, 160.0, 165.0, 170.0, 175.0,
        178.0,
    ];
    for spring in [30.0, 38.0, 45.0, 52.0, 60.0] {
        for corner in corners {
            let head = round_corner(spring, corner, &["sprung-nested"], Value::Null);
            for cut in mates(&cut_sheet(&head)) {
                assert_eq!(cut.setting.hold, Hold::SprungNested);
                near(cut.setting.tilt, 0.0, 1e-9);
                near(
                    cut.setting.swing.to_degrees().abs(),
                    (180.0 - corner) / 2.0,
                    1e-9,
                );
            }
        }
    }
}

// Facts, family A, 38 at 90: 31.62 and 33.86 flat (SM1, a power-saw maker's
// manual), 45 and 0 nested.
#[test]
fn a_saw_says_whether_sprung_crown_is_cut_flat_or_in_its_spring_angle() {
    for (holds, way, swing, tilt) in [
        (["sprung-flat"], "nested", 45.0, 0.0),
        (["sprung-nested"], "flat", 31.62, 33.86),
    ] {
        let head = round_corner(38.0, 90.0, &holds, json!({"sprung": way}));
        let sheet = cut_sheet(&head);
        for cut in mates(&sheet) {
            near(cut.setting.swing.to_degrees().abs(), swing, 0.005);
            near(cut.setting.tilt.to_degrees().abs(), tilt, 0.005);
        }
        assert!(limits(&sheet).is_empty(), "a wish of the saw is no limit");
    }
}

#[test]
fn both_ways_are_offered_where_the_saw_can_make_both() {
    let saw = json!({"swing_left": 50, "swing_right": 50, "tilt_left": 45, "tilt_right": 45,
        "max_height": 6, "max_depth": 12});
    let head = round_corner(38.0, 90.0, &["sprung-flat"], saw);
    let design = Design::from_json(&head).expect("a design");
    let sheet = solve(&design, &Rules::default()).expect("a sheet");
    let run = &sheet.runs[0];
    let found = ways(
        run,
        &run.pieces[0],
        Side::Right,
        &design.saw.expect("a saw"),
    );
    let of = |hold| found.iter().find(|way| way.hold == hold);
    let flat = of(Hold::SprungFlat).expect("flat");
    near(flat.tilt.to_degrees().abs(), 33.86, 0.005);
    let nested = of(Hold::SprungNested).expect("nested");
    near(nested.swing.to_degrees().abs(), 45.0, 1e-9);
}

#[test]
fn a_blade_that_leans_one_way_only_gets_both_mates_of_flat_crown() {
    let saw = json!({"tilt_left": 45, "tilt_right": 0, "sprung": "flat"});
    let sheet = cut_sheet(&round_corner(38.0, 90.0, &["sprung-flat"], saw));
    let [one, two] = mates(&sheet).map(|cut| cut.setting);
    assert!(
        one.tilt > 0.0 && two.tilt > 0.0,
        "both lean left: {one:?} {two:?}"
    );
    assert_ne!(one.hold, two.hold, "one of them is turned end for end");
}

#[test]
fn crown_too_tall_for_the_fence_is_laid_flat_and_the_sheet_says_why() {
    let saw = json!({"max_height": 3, "max_depth": 12, "tilt_left": 45, "tilt_right": 45});
    let sheet = cut_sheet(&round_corner(38.0, 90.0, &["sprung-nested"], saw));
    for cut in mates(&sheet) {
        assert!(matches!(
            cut.setting.hold,
            Hold::SprungFlat | Hold::SprungFlatTurned
        ));
    }
    let said = limits(&sheet);
    assert!(!said.is_empty());
    for finding in said {
        assert_eq!(finding.severity, Severity::Note, "it can be made");
        assert!(
            finding.text.contains("past this saw's 3"),
            "{}",
            finding.text
        );
        assert!(
            finding.text.contains("It is held sprung, on its back"),
            "{}",
            finding.text
        );
    }
}

#[test]
fn without_a_saw_the_contracts_own_list_of_holds_decides() {
    let head = round_corner(38.0, 90.0, &["sprung-flat"], Value::Null);
    for cut in mates(&cut_sheet(&head)) {
        assert_eq!(cut.setting.hold, Hold::SprungFlat);
        assert_eq!(cut.setting.block, None);
    }
}

/// A rake that sits on a level cornice: its foot is cut 90° − θ from square.
fn cornice(saw: Value) -> Value {
    json!({"unit": "in", "kind": "runs", "saw": saw, "runs": [{
        "name": "board", "section": [[0, 0], [0.75, 0], [0.75, -3], [0, -3]], "holds": ["flat"],
        "path": [[0, 0, 0], [24, 14, 0], [48, 0, 0]], "normals": [[0, 0, 1], [0, 0, 1]],
        "start": "level", "end": "level"}]})
}

// Pitch 7 in 12 is 30.256°; the level cut lies 90 − 30.256 = 59.744° from
// square along the fence, so 30.256° from square against a block. Derived.
#[test]
fn past_the_saws_swing_the_complement_is_set_against_a_block() {
    let saw = json!({"swing_left": 50, "swing_right": 50, "tilt_left": 0, "tilt_right": 0,
        "max_height": 4, "max_depth": 12});
    let sheet = cut_sheet(&cornice(saw));
    let pieces = &sheet.runs[0].pieces;
    let pitch = (7.0_f64).atan2(12.0).to_degrees();
    for (cut, block) in [
        (&pieces[0].left, Block::Right),
        (&pieces[1].right, Block::Left),
    ] {
        near(cut.setting.swing.to_degrees().abs(), pitch, 1e-9);
        near(cut.setting.tilt, 0.0, 1e-9);
        assert_eq!(cut.setting.block, Some(block));
    }
    // The left foot along the fence swings one way, its complement the other.
    let free = cut_sheet(&cornice(json!({})));
    let along = free.runs[0].pieces[0].left.setting;
    near(along.swing.to_degrees().abs(), 90.0 - pitch, 1e-9);
    assert!(along.swing * pieces[0].left.setting.swing < 0.0);
    let said = limits(&sheet);
    assert_eq!(said.len(), 2);
    for finding in said {
        assert_eq!(finding.severity, Severity::Warning);
        for words in [
            "59.7° to the",
            "is past this saw's 50°",
            "against a block, clamped",
            "set the complement: 30.3° to the",
        ] {
            assert!(finding.text.contains(words), "{words}: {}", finding.text);
        }
    }
}

#[test]
fn stock_that_the_blade_cannot_travel_along_is_not_stood_against_a_block() {
    // The cut reaches 3 in × cot(30.256°) = 5.14 in along the stock.
    let saw = |depth: f64| {
        json!({"swing_left": 50, "swing_right": 50, "tilt_left": 0, "tilt_right": 0,
        "max_depth": depth})
    };
    let enough = cut_sheet(&cornice(saw(5.15)));
    assert!(enough.runs[0].pieces[0].left.setting.block.is_some());
    let short = cut_sheet(&cornice(saw(5.13)));
    assert_eq!(short.runs[0].pieces[0].left.setting.block, None);
    for finding in limits(&short) {
        for words in [
            "nor does a block",
            "a saw that swings 59.7°",
            "table saw",
            "hand saw",
        ] {
            assert!(finding.text.contains(words), "{words}: {}", finding.text);
        }
    }
    assert_eq!(limits(&short).len(), 2);
}

#[test]
fn a_cap_too_wide_for_the_fence_lies_on_its_seat_and_the_blade_leans() {
    let head = |saw: Value| {
        json!({"unit": "in", "kind": "runs", "saw": saw, "runs": [{
            "name": "cap", "section": [[-0.75, 0], [5, 0], [5, 0.75], [-0.75, 0.75]],
            "path": [[0, 0, 0], [20, 0, 0], [40, 10, 0]], "normals": [[0, 0, 1], [0, 0, 1]]}]})
    };
    let tall = cut_sheet(&head(
        json!({"max_height": 6, "tilt_left": 45, "tilt_right": 45}),
    ));
    assert_eq!(mates(&tall)[0].setting.hold, Hold::OnEdge);
    let low = cut_sheet(&head(
        json!({"max_height": 4, "tilt_left": 45, "tilt_right": 45}),
    ));
    for cut in mates(&low) {
        assert!(
            matches!(cut.setting.hold, Hold::Upright | Hold::Inverted),
            "{:?}",
            cut.setting
        );
        near(
            cut.setting.tilt.to_degrees().abs(),
            (10.0_f64).atan2(20.0).to_degrees() / 2.0,
            1e-9,
        );
    }
}

#[test]
fn stock_is_never_balanced_on_an_arris() {
    // A triangle has a flat on its wall side and one on top, none below: it
    // can be held upside down or on its back, however small the saw.
    let saw = json!({"swing_left": 20, "swing_right": 20, "tilt_left": 20, "tilt_right": 20});
    let head = json!({"unit": "in", "kind": "runs", "saw": saw, "runs": [{
        "name": "crown", "section": [[0, 0], [1.5, 0], [0, -2]],
        "path": [[0, 0, -20], [0, 0, 0], [40, 0, 0]], "normals": [[-1, 0, 0], [0, 0, 1]]}]});
    let sheet = cut_sheet(&head);
    for cut in mates(&sheet) {
        assert!(
            matches!(cut.setting.hold, Hold::Inverted | Hold::Flat),
            "{:?}",
            cut.setting
        );
    }
}

#[test]
fn the_public_form_names_the_block_and_the_new_holds() {
    let saw = json!({"swing_left": 50, "swing_right": 50, "tilt_left": 0, "tilt_right": 0});
    let sheet = cut_sheet(&cornice(saw));
    let out = serde_json::to_value(sheet.contract(headwright::measure::Rounding::Sixteenth))
        .expect("JSON");
    let pieces = &out["runs"][0]["pieces"];
    assert_eq!(pieces[0]["left"]["block"], "right");
    assert_eq!(pieces[1]["right"]["block"], "left");
    assert!(
        pieces[0]["right"].get("block").is_none(),
        "only where there is one"
    );
    assert_eq!(Hold::SprungNested.word(), "sprung-nested");
    assert_eq!(Hold::FlatTurned.word(), "flat-turned");
}
