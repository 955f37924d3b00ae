//! Worked cases computed by an independent program (method: the solver's
//! contract; see `tests/data/solve_cases.json`). Lengths to 1e-6 in, angles
//! to 1e-6°.

use std::sync::LazyLock;

use headwright::trim::sheet::{Cut, Joint, Piece, PointKind, Severity};
use headwright::trim::{Design, Rules, Sheet, solve};
use serde_json::Value;

/// Input and expectation of every case, read once.
pub fn cases() -> Vec<(Value, Value)> {
    CASES.clone()
}

/// The input of one case, counted round.
pub fn input(case: usize) -> Value {
    CASES[case % CASES.len()].0.clone()
}

static CASES: LazyLock<Vec<(Value, Value)>> = LazyLock::new(|| {
    let text = include_str!("../data/solve_cases.json");
    let list: Vec<Value> = serde_json::from_str(text).expect("the cases are JSON");
    list.into_iter()
        .map(|case| (case["input"].clone(), case["expect"].clone()))
        .collect()
});

fn solved(input: &Value) -> Sheet {
    let design = Design::from_json(input).unwrap_or_else(|wrong| panic!("{input}: {wrong}"));
    solve(&design, &Rules::default()).unwrap_or_else(|wrong| panic!("{input}: {wrong}"))
}

pub fn point(kind: PointKind) -> &'static str {
    match kind {
        PointKind::Square => "square",
        PointKind::Short => "short",
        PointKind::Long => "long",
        PointKind::Mixed => "mixed",
    }
}

fn near(what: &str, got: f64, want: &Value) {
    let want = want.as_f64().expect("a number");
    assert!((got - want).abs() <= 1e-6, "{what}: got {got}, want {want}");
}

fn same_cut(what: &str, cut: &Cut, want: &Value) {
    assert_eq!(point(cut.point), want["point"], "{what} point");
    assert_eq!(cut.setting.hold.word(), want["hold"], "{what} hold");
    near(what, cut.setting.swing.to_degrees(), &want["swing_deg"]);
    near(what, cut.setting.tilt.to_degrees(), &want["tilt_deg"]);
    near(what, cut.per_u, &want["per_u"]);
    near(what, cut.per_v, &want["per_v"]);
}

fn same_piece(name: &str, piece: &Piece, want: &Value) {
    let what = format!("{name}, {}", piece.label);
    assert_eq!(
        piece.label,
        want["label"].as_str().expect("a label"),
        "{what}"
    );
    near(&what, piece.reference, &want["reference_in"]);
    near(&what, piece.overall, &want["overall_in"]);
    near(&what, piece.shortest, &want["shortest_in"]);
    same_cut(&format!("{what} left"), &piece.left, &want["left"]);
    same_cut(&format!("{what} right"), &piece.right, &want["right"]);
}

#[test]
fn every_worked_case_is_met() {
    for (input, expect) in cases() {
        let name = input["name"].as_str().unwrap_or_default();
        let sheet = solved(&input);
        let runs = expect["runs"].as_array().expect("runs");
        assert_eq!(sheet.runs.len(), runs.len(), "{name}: runs");
        for (run, want) in sheet.runs.iter().zip(runs) {
            assert_eq!(run.name, want["name"].as_str().expect("a name"), "{name}");
            let pieces = want["pieces"].as_array().expect("pieces");
            assert_eq!(run.pieces.len(), pieces.len(), "{name}: {}", run.name);
            for (piece, want) in run.pieces.iter().zip(pieces) {
                same_piece(name, piece, want);
            }
        }
    }
}

#[test]
fn open_corners_and_vanishing_pieces_are_errors_and_nothing_else_is() {
    for (input, expect) in cases() {
        let name = input["name"].as_str().unwrap_or_default();
        let sheet = solved(&input);
        let errors: Vec<(&str, String)> = sheet
            .findings
            .iter()
            .filter(|finding| finding.severity == Severity::Error)
            .map(|finding| (finding.code, finding.piece.clone().unwrap_or_default()))
            .collect();
        let mut want = Vec::new();
        for (run, vertices) in expect["open"].as_object().expect("open") {
            for vertex in vertices.as_array().expect("vertices") {
                want.push(("corner-open", format!("{run}-{vertex}")));
            }
        }
        for run in expect["runs"].as_array().expect("runs") {
            for piece in run["pieces"].as_array().expect("pieces") {
                if piece["shortest_in"].as_f64().expect("a number") <= 0.0 {
                    let label = piece["label"].as_str().expect("a label").to_owned();
                    want.push(("piece-vanishes", label));
                }
            }
        }
        assert_eq!(errors, want, "{name}");
    }
}

#[test]
fn inner_ends_have_mates_and_outer_ends_none() {
    for (input, _) in cases() {
        for run in solved(&input).runs {
            for (i, piece) in run.pieces.iter().enumerate() {
                let label = |i: usize| format!("{}-{}", run.name, i + 1);
                assert_eq!(piece.left.mate, (i > 0).then(|| label(i - 1)));
                let next = i + 1 < run.pieces.len();
                assert_eq!(piece.right.mate, next.then(|| label(i + 1)));
                assert_eq!(piece.left.joint == Joint::End, i == 0);
                assert_eq!(piece.right.joint == Joint::End, !next);
            }
        }
    }
}
