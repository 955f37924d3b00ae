//! Heads whose crown is drawn with true curves: read and written back whole,
//! lengths from the true reach of the curve, pictures from the curve.

use headwright::trim::section::parts::{BuiltBack, Order, Part, build};
use headwright::trim::section::{json as stored, place};
use headwright::trim::{Design, Rules, Sheet, solve};
use serde_json::{Value, json};

/// A crown of fillet, cyma recta and ovolo, 2 3/4 high, 2 1/4 out.
pub fn crown() -> Value {
    let parts = [
        Part::Fillet { height: 0.375 },
        Part::CymaRecta {
            height: 1.25,
            projection: 1.25,
            order: Order::Roman,
            full: true,
        },
        Part::Fillet { height: 0.25 },
        Part::Ovolo {
            height: 0.875,
            projection: 1.0,
            order: Order::Roman,
        },
    ];
    let section = build(2.25, &parts, BuiltBack::Solid).expect("a crown");
    stored::outline_value(&section.outline)
}

fn head(crown: Value) -> Value {
    json!({
        "unit": "mm", "name": "South door", "kind": "gable", "span": "41 1/2 in", "wing": "7 1/4 in",
        "pitch": {"rise": 7, "run": 12},
        "board": {"thickness": "3/4 in", "height": "5 1/2 in"},
        "crown": crown
    })
}

/// A head whose crown is drawn with true curves.
pub fn head_of_curves() -> Value {
    head(json!({"curves": crown(), "shelf": {"id": 3, "name": "Mill crown", "version": 2}}))
}

fn solved(input: &Value) -> Sheet {
    let design = Design::from_json(input).expect("a design");
    solve(&design, &Rules::default()).expect("a sheet")
}

fn wrong(input: &Value) -> String {
    Design::from_json(input).expect_err("refused").to_string()
}

#[test]
fn curves_and_their_shelf_entry_come_back_as_they_were() {
    let shelf = json!({"id": 3, "name": "Mill crown", "version": 2});
    let input = head(json!({"curves": crown(), "shelf": shelf, "back": "solid"}));
    let design = Design::from_json(&input).expect("a design");
    let written = design.to_json();
    assert_eq!(written["crown"]["curves"], crown());
    assert_eq!(written["crown"]["shelf"], shelf);
    assert_eq!(Design::from_json(&written).expect("again"), design);
    let run = json!({"unit": "in", "kind": "runs", "runs": [{
        "name": "neck", "curves": crown(), "shelf": shelf,
        "path": [[0, 0, 0], [30, 0, 0]], "normals": [[0, 0, 1]]}]});
    let design = Design::from_json(&run).expect("a design");
    assert_eq!(Design::from_json(&design.to_json()).expect("again"), design);
}

#[test]
fn what_does_not_go_with_curves_is_said() {
    let both = json!({"curves": crown(), "section": [[0, 0], [1, 0], [0, -2]]});
    assert!(wrong(&head(both)).starts_with("crown.curves: give either"));
    let alone = json!({"projection": 1, "height": 2, "shelf": {"id": 1, "version": 1}});
    assert!(wrong(&head(alone)).starts_with("crown.shelf: belongs to curves"));
    let mut open = crown();
    open["curves"][0]["line"] = json!([99, 99]);
    assert!(wrong(&head(json!({"curves": open}))).starts_with("crown.curves.curves: "));
    let shelf = json!({"curves": crown(), "shelf": {"id": 0, "version": 1}});
    assert!(wrong(&head(shelf)).contains("a whole number from 1"));
}

#[test]
fn straight_curves_solve_as_the_same_corners_do() {
    let corners = json!([[0, 0], [1.5, 0], [1.5, -0.5], [0.25, -2], [0, -2]]);
    let lines = json!({"unit": "in", "start": [0, 0], "curves": [
        {"line": [1.5, 0]}, {"line": [1.5, -0.5]}, {"line": [0.25, -2]}, {"line": [0, -2]}, {"line": [0, 0]}]});
    let mut by_corners = head(json!({"section": corners}));
    by_corners["unit"] = json!("in");
    let (one, two) = (solved(&by_corners), solved(&head(json!({"curves": lines}))));
    assert_eq!(one.findings, two.findings);
    for (a, b) in one.runs.iter().zip(&two.runs) {
        for (p, q) in a.pieces.iter().zip(&b.pieces) {
            assert!((p.overall - q.overall).abs() < 1e-9, "{}", p.label);
            assert!((p.shortest - q.shortest).abs() < 1e-9, "{}", p.label);
            assert!((p.tape - q.tape).abs() < 1e-9, "{}", p.label);
            assert_eq!((p.left.point, p.right.point), (q.left.point, q.right.point));
        }
    }
}

#[test]
fn lengths_count_the_true_curve_and_not_the_corners_it_is_drawn_with() {
    let sheet = solved(&head(json!({"curves": crown()})));
    let run = sheet.runs.first().expect("a crown");
    let outline = run.curves.as_ref().expect("curves");
    // Places all along the true curves, far denser than any drawing.
    let places: Vec<_> = outline
        .curves()
        .iter()
        .flat_map(|c| (0..=4000).map(|i| c.at(f64::from(i) / 4000.0)))
        .collect();
    for piece in &run.pieces {
        let off = |per: (f64, f64)| {
            let all = places.iter().map(move |p| p.u * per.0 + p.v * per.1);
            all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
                (l.min(x), h.max(x))
            })
        };
        let (left, right) = (
            (piece.left.per_u, piece.left.per_v),
            (piece.right.per_u, piece.right.per_v),
        );
        let overall = piece.reference + off(right).1 - off(left).0;
        let least = off((right.0 - left.0, right.1 - left.1)).0 + piece.reference;
        assert!((piece.overall - overall).abs() < 1e-6, "{}", piece.label);
        assert!(piece.overall >= overall - 1e-12, "{}", piece.label);
        assert!((piece.shortest - least).abs() < 1e-6, "{}", piece.label);
    }
}

#[test]
fn a_round_reaches_past_the_corners_of_its_outline() {
    // A half round of radius 1 on the wall; common practice, no source. Seen
    // along a 45° cut its farthest place lies between the corners: the reach
    // of u + v is √2 more than the middle's.
    let round = json!({"unit": "in", "start": [0, 0], "curves": [
        {"arc": [0, -2], "bulge": -1}, {"line": [0, 0]}]});
    let input = json!({"unit": "in", "kind": "runs", "runs": [{
        "name": "round", "curves": round, "path": [[0, 0, 0], [30, 0, 0]],
        "normals": [[0, 0, 1]], "end": {"plane": [1, 1, 1]}}]});
    let piece = solved(&input).runs[0].pieces[0].clone();
    // The plane x + y + z = 30 cuts at 30 − u − v: longest at the least u + v.
    let least = -2.0_f64;
    assert!((piece.overall - (30.0 - least)).abs() < 1e-12);
    let most = 2.0_f64.sqrt() - 1.0;
    assert!((piece.shortest - (30.0 - most)).abs() < 1e-12);
}

#[test]
fn pictures_draw_the_curve_and_show_no_arris_on_it() {
    let sheet = solved(&head(json!({"curves": crown()})));
    let run = sheet.runs.first().expect("a crown");
    assert!(run.section.len() > 20, "{} corners", run.section.len());
    let true_curve = run.curves.as_ref().expect("curves");
    for p in &run.section {
        let near = true_curve
            .curves()
            .iter()
            .flat_map(|c| (0..=2000).map(|i| c.at(f64::from(i) / 2000.0)))
            .map(|q| q.distance(*p))
            .fold(f64::INFINITY, f64::min);
        assert!(near < 1e-3, "({}, {}) is {near} off", p.u, p.v);
    }
    // The hook is an arris of the section, never a place on a curve.
    let arrises = true_curve.arrises(0.26);
    for piece in &run.pieces {
        let hook = place(piece.left.hook.u, piece.left.hook.v);
        assert!(arrises.iter().any(|a| a.at.distance(hook) < 1e-9));
    }
}
