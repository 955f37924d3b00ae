//! Where a corner cannot close: each cure that is offered was solved, and
//! closes.

use headwright::measure::Rounding;
use headwright::trim::cures::{Cure, Way, cures};
use headwright::trim::design::Kind;
use headwright::trim::sheet::{Sheet, SolvedRun};
use headwright::trim::{Rules, solve};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::heads::{design, solved};
use super::parts::{end_of, peak};

/// A level return, two rakes and a level return: open at both lower corners.
fn open_rakes(pitch: f64, section: &[[f64; 2]]) -> Value {
    let rise = 30.0 * pitch.to_radians().tan();
    json!({"unit": "in", "name": "Open", "kind": "runs", "runs": [{
        "name": "crown", "section": section,
        "path": [[0, 0, -4], [0, 0, 0], [30, rise, 0], [60, 0, 0], [60, 0, -4]],
        "normals": [[-1, 0, 0], [0, 0, 1], [0, 0, 1], [1, 0, 0]]}]})
}

fn offered(head: &Value) -> Vec<Cure> {
    cures(&design(head), &Rules::default()).expect("solved")
}

fn ways(found: &[Cure]) -> Vec<Way> {
    found.iter().map(|cure| cure.way).collect()
}

fn has(sheet: &Sheet, code: &str) -> bool {
    sheet.findings.iter().any(|f| f.code == code)
}

const EVERY: [Way; 4] = [
    Way::Transition,
    Way::RakedReturn,
    Way::RakedRake,
    Way::SquareReturn,
];

#[test]
fn an_open_corner_is_offered_every_way_out_and_each_closes() {
    let head = open_rakes(26.565, &[[0.0, 0.0], [1.5, 0.0], [0.0, -2.0]]);
    assert!(has(&solved(&design(&head)), "corner-open"));
    let found = offered(&head);
    assert_eq!(ways(&found), EVERY);
    for cure in &found {
        let sheet = solved(&cure.design);
        assert!(!has(&sheet, "corner-open"), "{:?}", cure.way);
        assert!(!has(&sheet, "piece-vanishes"), "{:?}", cure.way);
        // It can be stored and read again.
        assert_eq!(design(&cure.design.to_json()), cure.design);
    }
}

#[test]
fn a_transition_piece_is_as_short_as_an_eighth_of_wood_lets_it_be() {
    let head = open_rakes(30.0, &[[0.0, 0.0], [1.5, 0.0], [0.0, -2.0]]);
    let found = offered(&head);
    let sheet = solved(&found[0].design);
    let run = &sheet.runs[0];
    let lengths: Vec<f64> = run.pieces.iter().map(|p| p.reference).collect();
    assert_eq!(lengths.len(), 6);
    // Twins at both ends; between an outside corner and a foot the shortest
    // line is the measured edge itself: 1/8.
    for nth in [1, 4] {
        assert!((lengths[nth] - 0.125).abs() < 1e-9, "{lengths:?}");
        assert!(run.pieces[nth].shortest >= 0.125 - 1e-9);
    }
    // What the level pieces take, the rakes lose: 1/8 over the cosine.
    let rake = 30.0 / 30_f64.to_radians().cos();
    let less = 0.125 / 30_f64.to_radians().cos();
    assert!((lengths[2] - (rake - less)).abs() < 1e-9);
    // Both ends stand where they stood.
    let (first, last) = (run.pieces.first(), run.pieces.last());
    let x = |p: Option<&headwright::trim::sheet::Piece>| p.map(|p| p.leg.end.x);
    assert!((x(last).expect("a piece") - 60.0).abs() < 1e-9);
    assert!((x(first).expect("a piece")).abs() < 1e-9);
}

#[test]
fn an_inside_corner_needs_a_transition_longer_than_the_moulding_stands_out() {
    // Out of a wall that stands forward, then up the rake: the inside corner
    // takes the whole projection off the level piece.
    let head = json!({"unit": "in", "kind": "runs", "runs": [{
        "name": "crown", "section": [[0, 0], [1.5, 0], [0, -2]],
        "path": [[0, 0, 8], [0, 0, 0], [40, 20, 0]],
        "normals": [[1, 0, 0], [0, 0, 1]]}]});
    let found = offered(&head);
    let transition = found
        .iter()
        .find(|cure| cure.way == Way::Transition)
        .expect("one");
    let sheet = solved(&transition.design);
    let flat = &sheet.runs[0].pieces[1];
    assert!((flat.reference - 1.625).abs() < 1e-9, "{}", flat.reference);
    assert!((flat.shortest - 0.125).abs() < 1e-9, "{}", flat.shortest);
}

fn run<'a>(sheet: &'a Sheet, name: &str) -> &'a SolvedRun {
    let mut runs = sheet.runs.iter();
    runs.find(|run| run.name == name)
        .unwrap_or_else(|| panic!("no {name}"))
}

/// Each pair of runs that name each other meets arris for arris.
fn runs_meet(sheet: &Sheet) {
    for one in &sheet.runs {
        let last = one.pieces.last().expect("a piece");
        let Some(mate) = &last.right.mate else {
            continue;
        };
        let (name, _) = mate.rsplit_once('-').expect("a label");
        let two = run(sheet, name);
        let first = &two.pieces[0];
        assert_eq!(first.left.mate.as_deref(), Some(last.label.as_str()));
        for (p, q) in one.section.iter().zip(&two.section) {
            let a = end_of(last, &last.right, *p, true);
            let b = end_of(first, &first.left, *q, false);
            assert!((a - b).length() < 1e-8, "{}: {a:?} {b:?}", last.label);
        }
    }
}

#[test]
fn raked_sections_meet_arris_for_arris_whichever_run_gets_them() {
    let head = open_rakes(
        26.565,
        &[
            [0.0, 0.0],
            [1.5, 0.0],
            [1.5, -0.4],
            [0.3, -2.0],
            [0.0, -2.0],
        ],
    );
    for cure in offered(&head) {
        if matches!(cure.way, Way::RakedReturn | Way::RakedRake) {
            let sheet = solved(&cure.design);
            assert_eq!(sheet.runs.len(), 3);
            runs_meet(&sheet);
        }
    }
}

#[test]
fn a_rake_that_ends_in_an_upper_return_gets_the_upper_section() {
    // Up the rake, then a level return to the wall at its upper end:
    // v = w/cos θ + u·tan θ (trade, and HATF art. 323).
    let head = json!({"unit": "in", "kind": "runs", "runs": [{
        "name": "crown", "section": [[0, 0], [1, 0], [0, -2]],
        "path": [[0, 0, 0], [40, 20, 0], [40, 20, -3]],
        "normals": [[0, 0, 1], [1, 0, 0]]}]});
    let found = offered(&head);
    let raked = found
        .iter()
        .find(|cure| cure.way == Way::RakedReturn)
        .expect("one");
    let sheet = solved(&raked.design);
    let back = run(&sheet, "crown-raked");
    assert!((back.section[1].v - 0.5).abs() < 1e-9, "{:?}", back.section);
    runs_meet(&sheet);
}

#[test]
fn a_plain_peak_is_offered_wings_and_both_returns() {
    let found = offered(&peak("plumb"));
    assert_eq!(
        ways(&found),
        [Way::Transition, Way::RakedReturn, Way::SquareReturn]
    );
    for cure in &found {
        let sheet = solved(&cure.design);
        assert!(!has(&sheet, "raked-return"), "{:?}", cure.way);
        assert!(sheet.can_be_made(), "{:?}: {:?}", cure.way, sheet.findings);
    }
    let Kind::Gable(gable) = &found[0].design.kind else {
        panic!("a gable stays a gable")
    };
    assert_eq!(gable.wing.inches(), 0.125);
    assert!(offered(&peak("raked-return")).is_empty(), "nothing is open");
}

#[test]
fn a_part_of_a_whole_is_cured_in_its_place() {
    let mut part = peak("plumb");
    for key in ["unit", "name"] {
        part.as_object_mut().expect("an object").remove(key);
    }
    let whole =
        json!({"unit": "in", "kind": "assembly", "parts": [{"name": "porch", "head": part}]});
    let found = offered(&whole);
    assert_eq!(found.len(), 3);
    for cure in found {
        assert!(matches!(cure.design.kind, Kind::Assembly(_)));
        assert!(!has(&solved(&cure.design), "raked-return"));
    }
}

#[test]
fn the_contract_puts_each_cure_beside_its_finding() {
    let head = design(&open_rakes(30.0, &[[0.0, 0.0], [1.5, 0.0], [0.0, -2.0]]));
    let rules = Rules::default();
    let sheet = solve(&head, &rules).expect("solved");
    let found = cures(&head, &rules).expect("solved");
    let out = serde_json::to_value(sheet.contract_with(&found, Rounding::Sixteenth)).expect("JSON");
    for finding in out["findings"].as_array().expect("findings") {
        let count = finding["cures"].as_array().map_or(0, Vec::len);
        let want = if finding["code"] == "corner-open" {
            4
        } else {
            0
        };
        assert_eq!(count, want, "{finding}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn whatever_is_offered_closes(
        pitch in 5.0..60.0_f64, out in 0.5..3.0_f64, high in 0.5..4.0_f64, foot in 0.0..0.4_f64
    ) {
        let section = [[0.0, 0.0], [out, 0.0], [out, -0.2 * high], [foot, -high], [0.0, -high]];
        let found = offered(&open_rakes(pitch, &section));
        prop_assert_eq!(ways(&found), EVERY);
        for cure in &found {
            let sheet = solved(&cure.design);
            prop_assert!(!has(&sheet, "corner-open") && !has(&sheet, "piece-vanishes"));
            runs_meet(&sheet);
        }
    }
}
