//! What a change does to pieces that are cut: laws and hand cases.

use headwright::trim::Sheet;
use headwright::trim::change::{Allow, BoardFate, Change, Fate, Why, change};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::heads::{any_gable, any_run, design, of_run, scaled, solved};

fn flat(span: &str) -> Value {
    json!({"unit": "in", "kind": "flat", "span": span,
        "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 1/4", "overhang": "2"},
        "crown": {"projection": "1 1/2", "height": "2"}})
}

fn sheet(head: &Value) -> Sheet {
    solved(&design(head))
}

fn labels(sheet: &Sheet) -> Vec<String> {
    let pieces = sheet.runs.iter().flat_map(|run| &run.pieces);
    pieces.map(|piece| piece.label.clone()).collect()
}

fn all_cut(old: &Sheet, new: &Sheet) -> Change {
    change(old, new, &labels(old), &Allow::default())
}

fn fate(change: &Change, label: &str) -> Fate {
    let found = change.pieces.iter().find(|piece| piece.label == label);
    found.expect("a cut piece").fate
}

#[test]
fn a_shorter_head_recuts_its_long_pieces_and_keeps_its_returns() {
    let (old, new) = (sheet(&flat("40")), sheet(&flat("38 1/2")));
    let change = all_cut(&old, &new);
    assert_eq!(fate(&change, "crown-1"), Fate::Kept);
    assert_eq!(fate(&change, "crown-3"), Fate::Kept);
    // Both planes are the old ones: one end stays, the other is cut again.
    let one_end = Fate::Recut {
        left: false,
        right: true,
    };
    assert_eq!(fate(&change, "crown-2"), one_end);
    assert_eq!(fate(&change, "cap-1"), one_end);
    assert_eq!(change.to_cut, ["cap-1", "crown-2"]);
    assert_eq!(change.boards[0].fate, BoardFate::Recut);
}

#[test]
fn a_longer_head_sends_its_long_pieces_to_the_rack() {
    let (old, new) = (sheet(&flat("40")), sheet(&flat("41")));
    let change = all_cut(&old, &new);
    let Fate::Rack { usable, why } = fate(&change, "crown-2") else {
        panic!("{change:?}")
    };
    // Round an outside corner the reference edge is the short point: squared,
    // its whole 40 in are left.
    assert!((usable - 40.0).abs() < 1e-9, "{usable}");
    let Why::Longer(by) = why else {
        panic!("{why:?}")
    };
    assert!((by - 1.0).abs() < 1e-9, "{by}");
    assert_eq!(change.boards[0].fate, BoardFate::Anew);
    // The same in a head too short to keep anything of: scrap.
    let (old, new) = (sheet(&flat("14")), sheet(&flat("15")));
    assert!(matches!(
        fate(&all_cut(&old, &new), "crown-2"),
        Fate::Scrap { .. }
    ));
}

#[test]
fn another_section_spares_no_piece_of_its_run() {
    let mut other = flat("40");
    other["crown"]["height"] = json!("2 1/4");
    let change = all_cut(&sheet(&flat("40")), &sheet(&other));
    assert_eq!(fate(&change, "cap-1"), Fate::Kept);
    for (label, long) in [("crown-1", false), ("crown-2", true)] {
        match fate(&change, label) {
            Fate::Rack { why, .. } => assert!(long && why == Why::Section, "{label}"),
            Fate::Scrap { why, .. } => assert!(!long && why == Why::Section, "{label}"),
            other => panic!("{label}: {other:?}"),
        }
    }
}

#[test]
fn drops_added_move_the_labels_and_keep_the_pieces() {
    let gable = json!({"unit": "in", "kind": "gable", "span": "41 1/2", "wing": "7 1/4",
        "pitch": {"rise": 7, "run": 12}, "board": {"thickness": "3/4", "height": "5 1/2"},
        "crown": {"projection": "1 1/2", "height": "2"}});
    let mut dropped = gable.clone();
    dropped["drops"] = json!({"width": "3 1/2", "thickness": "3/4", "inset": "3/4", "length": 7});
    let change = all_cut(&sheet(&gable), &sheet(&dropped));
    // Return, wing, rake, rake, wing, return: the rakes are pieces 7 and 8 now.
    let now = |label: &str| {
        let piece = change.pieces.iter().find(|piece| piece.label == label);
        piece.and_then(|piece| piece.now.clone())
    };
    assert_eq!(now("crown-1").as_deref(), Some("crown-1"));
    assert_eq!(now("crown-3").as_deref(), Some("crown-7"));
    assert_eq!(now("crown-4").as_deref(), Some("crown-8"));
    assert_eq!(now("crown-6").as_deref(), Some("crown-14"));
    assert!(!change.leaves_all());
}

#[test]
fn a_steeper_pitch_cannot_use_a_rake_of_the_same_length() {
    let gable = |degrees: f64, span: f64| {
        json!({"unit": "in", "kind": "gable", "span": span, "wing": 6, "pitch": {"degrees": degrees},
            "board": {"thickness": "3/4", "height": "5 1/2"},
            "crown": {"projection": "1 1/2", "height": "2"}})
    };
    // The same rake of 30 in at 30° and at 45°.
    let span = |degrees: f64| 12.0 + 60.0 * degrees.to_radians().cos();
    let old = sheet(&gable(30.0, span(30.0)));
    let new = sheet(&gable(45.0, span(45.0)));
    let change = all_cut(&old, &new);
    let lost = fate(&change, "crown-3");
    assert!(
        matches!(
            lost,
            Fate::Rack {
                why: Why::Angle(_) | Why::Longer(_),
                ..
            }
        ) || matches!(
            lost,
            Fate::Scrap {
                why: Why::Angle(_) | Why::Longer(_),
                ..
            }
        ),
        "{lost:?}"
    );
}

#[test]
fn a_64th_is_the_same_piece_and_a_32nd_is_not() {
    let old = sheet(&flat("40"));
    assert!(all_cut(&old, &sheet(&flat("39 63/64"))).leaves_all());
    assert!(!all_cut(&old, &sheet(&flat("39 31/32"))).leaves_all());
}

#[test]
fn only_what_is_cut_is_spoken_of() {
    let (old, new) = (sheet(&flat("40")), sheet(&flat("38")));
    let some = change(
        &old,
        &new,
        &["crown-1".into(), "no-such".into()],
        &Allow::default(),
    );
    assert_eq!(some.pieces.len(), 1);
    assert!(some.leaves_all());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_head_compared_with_itself_has_no_change(head in any_gable()) {
        let sheet = sheet(&head);
        let change = all_cut(&sheet, &sheet);
        prop_assert!(change.leaves_all(), "{:?}", change);
        prop_assert!(change.to_cut.is_empty() && change.boards.is_empty());
    }

    /// Whatever is cut is spoken of once, and no new piece is served twice.
    #[test]
    fn every_cut_piece_is_spoken_of_once(a in any_gable(), b in any_gable()) {
        let (old, new) = (sheet(&a), sheet(&b));
        let change = all_cut(&old, &new);
        let told: Vec<String> = change.pieces.iter().map(|p| p.label.clone()).collect();
        prop_assert_eq!(told, labels(&old));
        let mut served: Vec<&String> = change.pieces.iter().filter_map(|p| p.now.as_ref()).collect();
        let count = served.len();
        served.sort();
        served.dedup();
        prop_assert_eq!(served.len(), count);
        for piece in &change.pieces {
            let kept = piece.fate == Fate::Kept;
            let listed = piece.now.as_ref().is_some_and(|now| change.to_cut.contains(now));
            prop_assert!(!(kept && listed));
        }
    }

    /// A recut piece is inside the old one: its overall length is no greater
    /// (but for the pencil's mark), and neither is any edge of it.
    #[test]
    fn a_recut_piece_was_long_enough(run in any_run(), k in 0.7..1.3f64) {
        let old = solved(&of_run(run.clone()));
        let mut other = scaled(&run, k);
        other.section = run.section;
        let new = solved(&of_run(other));
        let find = |sheet: &Sheet, label: &str| {
            let mut pieces = sheet.runs.iter().flat_map(|run| &run.pieces);
            pieces.find(|p| p.label == label).map(|p| (p.overall, p.shortest))
        };
        for piece in all_cut(&old, &new).pieces {
            if let (Fate::Recut { .. }, Some(now)) = (piece.fate, &piece.now) {
                let (a, b) = (find(&old, &piece.label), find(&new, now));
                let (a, b) = (a.expect("old"), b.expect("new"));
                prop_assert!(b.0 <= a.0 + 1.0 / 32.0, "{:?} {:?}", a, b);
                prop_assert!(b.1 <= a.1 + 1.0 / 32.0, "{:?} {:?}", a, b);
            }
        }
    }
}
