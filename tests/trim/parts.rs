//! Bed and neck moulds, keys, legs, bays, parts and lower ends, each against
//! lengths reckoned by hand. The formulas beside each check are plane
//! trigonometry; the raked return is HATF art. 323 (as in `checks.json`).

use headwright::measure::Rounding;
use headwright::trim::sheet::{Board, Cut, Joint, Piece, SectionPoint, Severity, Sheet};
use headwright::trim::space::Point;
use headwright::trim::{Design, Rules, solve};
use serde_json::{Value, json};

use super::heads::{design, solved};

/// A level head with everything of a small entablature.
pub fn entablature() -> Value {
    json!({
        "unit": "in", "name": "Entablature", "kind": "flat", "span": 48,
        "board": {"thickness": "3/4", "height": "9 1/2"},
        "cap": {"thickness": "3/4", "front": "3 1/2", "overhang": 2},
        "crown": {"projection": "1 1/2", "height": 2},
        "bed": {"below": 2, "projection": "3/4", "height": "3/4"},
        "neck": {"below": 8, "projection": "1/2", "height": "3/4"},
        "key": {"width_top": 6, "width_bottom": 6, "height": 9, "thickness": "3/4"}
    })
}

/// A plain peak whose lower ends are as told.
pub fn peak(lower: &str) -> Value {
    json!({
        "unit": "in", "name": "Peak", "kind": "gable", "span": 40, "wing": 0,
        "pitch": {"rise": 6, "run": 12}, "lower_end": lower,
        "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 1/4", "overhang": 2},
        "crown": {"projection": 1, "height": 2}
    })
}

fn with(mut head: Value, key: &str, value: Value) -> Value {
    head[key] = value;
    head
}

fn sheet(head: &Value) -> Sheet {
    solved(&design(head))
}

fn piece<'a>(sheet: &'a Sheet, label: &str) -> &'a Piece {
    let mut pieces = sheet.runs.iter().flat_map(|run| &run.pieces);
    pieces
        .find(|piece| piece.label == label)
        .unwrap_or_else(|| panic!("no {label}: {:?}", sheet.findings))
}

fn board<'a>(sheet: &'a Sheet, label: &str) -> &'a Board {
    let mut boards = sheet.boards.iter();
    boards
        .find(|board| board.label == label)
        .unwrap_or_else(|| panic!("no {label}"))
}

fn near(what: &str, got: f64, want: f64) {
    assert!((got - want).abs() < 1e-9, "{what}: {got}, want {want}");
}

fn codes(head: &Value) -> Vec<&'static str> {
    sheet(head).findings.iter().map(|f| f.code).collect()
}

/// Where the arris at (u, v) ends.
pub fn end_of(piece: &Piece, cut: &Cut, p: SectionPoint, right: bool) -> Point {
    let leg = &piece.leg;
    let from = if right { leg.end } else { leg.start };
    from + leg.n * p.u + leg.b * p.v + leg.d * (cut.per_u * p.u + cut.per_v * p.v)
}

#[test]
fn level_mouldings_break_round_the_key_in_plan_corners() {
    let sheet = sheet(&entablature());
    assert!(sheet.can_be_made(), "{:?}", sheet.findings);
    for (run, projection) in [("crown", 1.5), ("bed", 0.75), ("neck", 0.5)] {
        let of = |nth: usize| piece(&sheet, &format!("{run}-{nth}"));
        // From the board's end to the key: (48 − 6)/2. Outside corner at the
        // left: the front is longer by the projection; inside corner at the
        // key: shorter by as much.
        near(run, of(2).reference, 21.0);
        near(run, of(2).overall, 21.0 + projection);
        near(run, of(2).shortest, 21.0);
        // Out by the key's thickness, both corners turned the other way.
        near(run, of(3).reference, 0.75);
        near(run, of(3).overall, 0.75 + projection);
        // Across the key, an outside corner at each end.
        near(run, of(4).reference, 6.0);
        near(run, of(4).overall, 6.0 + 2.0 * projection);
        assert_eq!(of(2).right.joint, Joint::PlanInside);
        assert_eq!(of(3).right.joint, Joint::PlanOutside);
        assert_eq!(of(7).right.joint, Joint::End);
    }
    let key = board(&sheet, "key");
    assert_eq!(
        (key.origin.x, key.origin.y, key.origin.z),
        (21.0, -9.0, 0.75)
    );
}

#[test]
fn mouldings_butt_to_the_leaning_sides_of_a_key() {
    let key = json!({"width_top": 6, "width_bottom": 4, "height": 10, "thickness": 2,
        "above": 1, "mouldings": "butt"});
    let sheet = sheet(&with(entablature(), "key", key));
    // The side leans 1 in 10; the crown's edge meets it 1 below the key's
    // top, where the half width is 3 − 1/10.
    let (left, right) = (
        piece(&sheet, "left-crown-2"),
        piece(&sheet, "right-crown-1"),
    );
    near("left", left.reference, 24.0 - 2.9);
    near("right", right.reference, 24.0 - 2.9);
    // Lower down the key is narrower: 1/10 further for each inch.
    near("lean", left.right.per_v, -0.1);
    near("lean", right.left.per_v, 0.1);
    let swing = left.right.setting.swing.abs().tan();
    near("swing", swing, 0.1);
    assert_eq!(left.right.joint, Joint::End);
}

#[test]
fn an_arch_butts_to_its_keystone() {
    let head = json!({
        "unit": "in", "name": "Arch", "kind": "arched", "span": 48, "rise": 12, "segments": 6,
        "board": {"thickness": "3/4", "height": 5},
        "crown": {"projection": 1, "height": 2},
        "key": {"width_top": 5, "width_bottom": 4, "height": 6, "thickness": 2, "above": 1}
    });
    let sheet = sheet(&head);
    assert!(codes(&head).contains(&"key-meets-slope"));
    let names: Vec<&str> = sheet.runs.iter().map(|run| run.name.as_str()).collect();
    assert_eq!(names, ["left-crown", "right-crown"]);
    // Six chords: a corner at the top, so the chords slope at the key; its
    // half width is 2 at the bottom, 2 1/2 at the top.
    let left = piece(&sheet, "left-crown-3");
    let (a, b) = (left.leg.start, left.leg.end);
    let half = 2.0 + 0.5 * (b.y - (12.0 + 1.0 - 6.0)) / 6.0;
    near("on the key's side", b.x, 24.0 - half);
    assert!(a.x < b.x);
}

#[test]
fn a_bed_mould_follows_the_crown_parallel_below_it() {
    let head = json!({
        "unit": "in", "name": "Gable", "kind": "gable", "span": 48, "wing": 8,
        "pitch": {"degrees": 30}, "board": {"thickness": "3/4", "height": 8},
        "crown": {"projection": "1 1/2", "height": 2},
        "bed": {"below": "2 1/2", "projection": "3/4", "height": 1}
    });
    let sheet = sheet(&head);
    let (sin, cos) = 30_f64.to_radians().sin_cos();
    // Parallel lines 2.5 apart meet at a foot moved by 2.5·tan(θ/2).
    let moved = 2.5 * (1.0 - cos) / sin;
    near("wing", piece(&sheet, "bed-2").reference, 8.0 + moved);
    near(
        "rake",
        piece(&sheet, "bed-3").reference,
        (24.0 - 8.0 - moved) / cos,
    );
    near(
        "crown's rake",
        piece(&sheet, "crown-3").reference,
        16.0 / cos,
    );
}

#[test]
fn what_would_stand_in_the_same_place_or_past_the_board_is_found() {
    let bed = |below: f64| json!({"below": below, "projection": 0.75, "height": 0.75});
    let head = entablature;
    assert!(!codes(&head()).contains(&"mouldings-overlap"));
    // The crown is a triangle 1 1/2 out at the top and 2 high: a bed mould
    // 1 down stands in it.
    assert!(codes(&with(head(), "bed", bed(1.0))).contains(&"mouldings-overlap"));
    assert!(codes(&with(head(), "bed", bed(7.9))).contains(&"mouldings-overlap"));
    assert!(codes(&with(head(), "neck", bed(9.0))).contains(&"moulding-below-board"));
    let key = |height: f64, thickness: f64, out: f64| {
        json!({"width_top": 6, "width_bottom": 6, "height": height, "thickness": thickness,
            "projection": out})
    };
    assert!(codes(&with(head(), "key", key(10.0, 0.75, 0.75))).contains(&"key-below-board"));
    assert!(codes(&with(head(), "key", key(9.0, 1.0, 0.5))).contains(&"key-let-in"));
    assert!(codes(&with(head(), "key", key(9.0, 2.0, 0.5))).contains(&"key-too-thick"));
    assert!(codes(&with(head(), "key", key(1.0, 0.75, 0.75))).contains(&"key-part-height"));
    let narrow = with(
        head(),
        "cap",
        json!({"thickness": 0.75, "front": 2, "overhang": 2}),
    );
    assert!(codes(&narrow).contains(&"cap-misses-key"));
    let wide = json!({"width_top": 50, "width_bottom": 50, "height": 9, "thickness": 0.75});
    assert!(codes(&with(head(), "key", wide)).contains(&"key-too-wide"));
}

#[test]
fn a_neck_mould_goes_round_drops_that_reach_it() {
    let head = |length: f64| {
        json!({
            "unit": "in", "name": "Gable", "kind": "gable", "span": 48, "wing": 9,
            "pitch": {"degrees": 30}, "board": {"thickness": "3/4", "height": 9},
            "drops": {"width": 3, "thickness": 1, "inset": 1, "length": length, "point_degrees": 0},
            "neck": {"below": 7, "projection": "1/2", "height": 1}
        })
    };
    // Return, front to the drop, out, across, in, front, and the same again.
    assert_eq!(sheet(&head(8.5)).runs[0].pieces.len(), 11);
    assert_eq!(sheet(&head(6.0)).runs[0].pieces.len(), 3);
    assert!(codes(&head(7.5)).contains(&"neck-meets-drop"));
}

#[test]
fn legs_are_as_long_as_the_opening_and_the_reveal_say() {
    let legs = json!({
        "width": "4 1/2", "thickness": "3/4", "opening": {"width": 36, "height": 56}, "reveal": "1/4",
        "plinth": {"width": 5, "height": 8, "thickness": 1},
        "cap_block": {"width": 5, "height": 5, "thickness": "3/4"},
        "sill": {"thickness": "1 1/4", "front": 2, "into": 4, "horn": 1},
        "apron": {"height": "3 1/2", "thickness": "3/4", "inset": "1/2"}
    });
    let sheet = sheet(&with(entablature(), "legs", legs));
    let size = |label: &str| {
        let outline = &board(&sheet, label).outline;
        let most = |f: fn(&(f64, f64)) -> f64| outline.iter().map(f).fold(0.0, f64::max);
        (most(|p| p.0), most(|p| p.1))
    };
    // 56 + 1/4 less plinth and cap block.
    assert_eq!(size("casing-1"), (4.5, 43.25));
    assert_eq!(size("plinth-2"), (5.0, 8.0));
    // 36 + 2·(1/4 + 4 1/2) + 2·1, and front + into deep.
    assert_eq!(size("sill"), (47.5, 6.0));
    assert_eq!(size("apron"), (44.5, 3.5));
    // The legs stand a reveal outside the opening: 24 − 18 − 1/4 − 4 1/2.
    near("left", board(&sheet, "casing-1").origin.x, 1.25);
    near("foot", board(&sheet, "plinth-1").origin.y, -9.5 - 56.25);
    near("top", board(&sheet, "cap-block-1").origin.y, -9.5 - 5.0);
}

#[test]
fn a_falling_sill_takes_the_foot_of_what_stands_on_it() {
    let legs = json!({
        "width": 4, "thickness": 1, "opening": {"width": 30, "height": 50},
        "sill": {"thickness": 1, "front": 2, "slope_degrees": 14}
    });
    let sheet = sheet(&with(entablature(), "legs", legs));
    let casing = board(&sheet, "casing-1");
    let longer = 14_f64.to_radians().tan();
    near("face", casing.outline[2].1, 50.0 + longer);
    near("bevel", casing.bevels[0].angle.to_degrees(), 14.0);
}

#[test]
fn legs_that_do_not_suit_their_head_are_found() {
    let legs = |width: f64, thickness: f64, height: f64| {
        json!({
            "width": width, "thickness": thickness, "opening": {"width": 36, "height": height},
            "plinth": {"width": 4, "height": 8, "thickness": 1}
        })
    };
    let told = |legs: Value| codes(&with(entablature(), "legs", legs));
    assert!(told(legs(7.0, 0.75, 60.0)).contains(&"legs-past-head"));
    assert!(told(legs(4.0, 1.0, 60.0)).contains(&"legs-past-face"));
    assert!(told(legs(5.0, 0.75, 60.0)).contains(&"block-too-small"));
    assert!(told(legs(4.0, 0.75, 7.0)).contains(&"board-vanishes"));
    assert!(!told(legs(4.0, 0.75, 60.0)).contains(&"board-vanishes"));
}

fn bay(way: &str, ends: &str) -> Value {
    json!({
        "unit": "in", "name": "Bay", "kind": "bay", "faces": [18, 40, 18],
        "corners": [{"degrees": 135, "way": way}, {"degrees": 135, "way": way}], "ends": ends,
        "board": {"thickness": 1, "height": 6},
        "cap": {"thickness": "3/4", "front": "2 1/4", "overhang": 2},
        "crown": {"projection": "1 1/2", "height": 2}
    })
}

#[test]
fn a_bays_mouldings_and_boards_share_the_corners_half_turn() {
    let tan = 22.5_f64.to_radians().tan();
    for (way, sign) in [("outside", 1.0), ("inside", -1.0)] {
        let sheet = sheet(&bay(way, "return"));
        assert!(sheet.can_be_made(), "{way}: {:?}", sheet.findings);
        let middle = piece(&sheet, "crown-3");
        near(way, middle.reference, 40.0);
        // Each outside corner makes the front longer by P·tan 22.5°.
        near(way, middle.overall, 40.0 + (1.0 + sign) * 1.5 * tan);
        near(way, middle.shortest, 40.0 + (sign - 1.0) * 1.5 * tan);
        near(way, middle.left.setting.swing.abs().to_degrees(), 22.5);
        near(way, middle.left.setting.tilt, 0.0);
        let front = board(&sheet, "board-2");
        assert_eq!(front.bevels.len(), 2);
        for bevel in &front.bevels {
            near(way, bevel.angle.to_degrees(), sign * 22.5);
        }
        assert_eq!(board(&sheet, "board-1").bevels.len(), 1);
        near(way, board(&sheet, "board-2").origin.z, 0.0);
    }
}

#[test]
fn a_bay_that_runs_into_the_house_is_cut_to_the_wall() {
    let sheet = sheet(&bay("outside", "wall"));
    assert!(sheet.can_be_made(), "{:?}", sheet.findings);
    // The end faces leave the wall at 45°: a crown 1 1/2 out is shorter there
    // by as much, and the board's back is longer by its thickness.
    let first = piece(&sheet, "crown-1");
    near(
        "per_u",
        first.left.per_u,
        -first.right.per_v.mul_add(0.0, -1.0) * first.left.per_u.signum(),
    );
    near("swing", first.left.setting.swing.abs().to_degrees(), 45.0);
    let end = board(&sheet, "board-1");
    let bevel = end.bevels.iter().find(|b| b.edge == 3).expect("a bevel");
    near("bevel", bevel.angle.abs().to_degrees(), 45.0);
    let flat = json!({"unit": "in", "kind": "bay", "faces": [18], "ends": "wall",
        "board": {"thickness": 1, "height": 6}});
    let refused = solve(&design(&flat), &Rules::default());
    assert_eq!(refused.expect_err("it never meets the wall").at, "ends");
}

#[test]
fn a_level_return_with_a_raked_section_meets_its_rake_point_for_point() {
    let sheet = sheet(&peak("raked-return"));
    assert!(sheet.can_be_made(), "{:?}", sheet.findings);
    let run = |name: &str| {
        sheet
            .runs
            .iter()
            .find(|run| run.name == name)
            .expect("a run")
    };
    let (back, rake) = (run("left-return"), run("crown"));
    // h = (q − p·sin t)/cos t, HATF art. 323; here tan t = 1/2.
    let cos = 0.5_f64.atan().cos();
    near("height", back.section[1].v, -0.5);
    near("height", back.section[2].v, -2.0 / cos);
    let (one, two) = (&back.pieces[0], &rake.pieces[0]);
    for (p, q) in back.section.iter().zip(&rake.section) {
        let apart = end_of(one, &one.right, *p, true) - end_of(two, &two.left, *q, false);
        assert!(apart.length() < 1e-9, "{apart:?}");
    }
    assert_eq!(one.right.mate.as_deref(), Some("crown-1"));
    assert_eq!(two.left.mate.as_deref(), Some("left-return-1"));
    assert_eq!(rake.pieces[1].right.mate.as_deref(), Some("right-return-1"));
    assert_eq!(two.left.joint, Joint::PlanOutside);
}

#[test]
fn a_return_square_to_the_rake_stays_clear_of_the_board() {
    let sheet = sheet(&peak("return"));
    assert!(sheet.can_be_made(), "{:?}", sheet.findings);
    let crown = sheet
        .runs
        .iter()
        .find(|run| run.name == "crown")
        .expect("a crown");
    let first = &crown.pieces[0];
    let mut most = f64::NEG_INFINITY;
    for p in &crown.section {
        for (cut, right) in [(&first.left, false), (&first.right, true)] {
            let end = end_of(first, cut, *p, right);
            if end.z < -1e-9 {
                most = most.max(end.x);
            }
        }
    }
    // The board's end is at x = 0; the return just touches its line.
    assert!(most <= 1e-9, "{most}");
    assert_eq!(first.right.joint, Joint::PlanOutside);
}

#[test]
fn parts_keep_their_sheets_and_share_one_count() {
    let flat = json!({"kind": "flat", "span": 24, "board": {"thickness": "3/4", "height": 5},
        "crown": {"projection": 1, "height": 2}});
    let gable = json!({"kind": "gable", "span": 40, "wing": 8, "pitch": {"degrees": 30},
        "board": {"thickness": "3/4", "height": 5}, "crown": {"projection": 1, "height": 2}});
    let whole = json!({"unit": "in", "kind": "assembly", "parts": [
        {"name": "left", "at": [-30, -4], "head": flat},
        {"name": "middle", "head": gable},
        {"name": "right", "at": [46, -4], "head": flat}]});
    let sheet = sheet(&whole);
    let alone = |part: &Value| {
        let mut head = part.clone();
        head["unit"] = "in".into();
        self::sheet(&head)
    };
    for (name, part, x) in [
        ("left", &flat, -30.0),
        ("middle", &gable, 0.0),
        ("right", &flat, 46.0),
    ] {
        for piece_alone in &alone(part).runs[0].pieces {
            let there = piece(&sheet, &format!("{name}-{}", piece_alone.label));
            near(name, there.overall, piece_alone.overall);
            near(name, there.leg.start.x, piece_alone.leg.start.x + x);
        }
        assert!(
            sheet
                .boards
                .iter()
                .any(|b| b.label == format!("{name}-board"))
        );
    }
    // Square, 45° each way, 15° and 30° each way: the flats add no setting.
    assert_eq!(sheet.saw_moves.gang, alone(&gable).saw_moves.gang);
    let twice = json!({"unit": "in", "kind": "assembly", "parts": [
        {"name": "a", "head": flat}, {"name": "a", "head": flat}]});
    assert_eq!(
        Design::from_json(&twice).expect_err("one name twice").at,
        "parts[1].name"
    );
    let inner = json!({"unit": "in", "kind": "assembly", "parts": [
        {"name": "a", "head": {"kind": "flat", "span": 0, "board": {"thickness": 1, "height": 5}}}]});
    assert_eq!(
        Design::from_json(&inner).expect_err("no span").at,
        "parts[0].head.span"
    );
}

#[test]
fn every_new_field_goes_through_json_unchanged() {
    let legs = json!({"sort": "pilaster", "width": 5, "thickness": 1,
        "opening": {"width": 36, "height": 80}, "plinth": {"width": 6, "height": 9, "thickness": 1.25},
        "sill": {"thickness": 1.25, "front": 2, "horn": 1}, "apron": {"height": 3, "thickness": 0.75}});
    let heads = [
        with(entablature(), "legs", legs.clone()),
        bay("inside", "wall"),
        peak("raked-return"),
        json!({"unit": "mm", "kind": "assembly", "legs": legs, "parts": [
            {"name": "a", "at": [10, -2.5], "head": {"kind": "flat", "span": 600,
                "board": {"thickness": 19, "height": 140},
                "key": {"width_top": 100, "width_bottom": 80, "height": 140, "thickness": 19, "below": 5}}}]}),
    ];
    for head in heads {
        let read = design(&head);
        assert_eq!(design(&read.to_json()), read, "{head}");
        let solved = solve(&read, &Rules::default()).expect("solved");
        let text = serde_json::to_string(&solved.contract(Rounding::Sixteenth)).expect("JSON");
        assert!(!text.contains("null,null"));
        let errors = solved
            .findings
            .iter()
            .filter(|f| f.severity == Severity::Error);
        assert_eq!(errors.count(), 0, "{head}: {:?}", solved.findings);
    }
}
