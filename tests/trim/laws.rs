//! Laws that hold for every head: mirror, scale, closed paths, orders of work.

use std::f64::consts::PI;

use headwright::trim::design::{End, Run, Section};
use headwright::trim::sheet::{Cut, Hold, Sheet};
use headwright::trim::solve::gang_order;
use headwright::trim::space::Vector;
use proptest::prelude::*;
use serde_json::json;

use super::heads::{any_gable, any_run, array, design, mirrored, of_run, scaled, solved};

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + a.abs())
}

/// The same cut seen in a mirror: swing and tilt to the other side.
fn mirror_cuts(one: &Cut, two: &Cut) -> bool {
    let (a, b) = (one.setting, two.setting);
    one.point == two.point
        && one.joint == two.joint
        && a.hold == b.hold
        && near(a.swing, -b.swing)
        && near(a.tilt, -b.tilt)
        && near(one.per_u, -two.per_u)
        && near(one.per_v, -two.per_v)
}

/// A regular building of `n` walls with a moulding all round it, closed.
fn ring(n: usize, side: f64, turned_out: bool) -> Run {
    let direction = |i: usize| {
        let turn = 2.0 * PI * i as f64 / n as f64;
        let turn = if turned_out { turn } else { -turn };
        (
            Vector::new(turn.cos(), 0.0, -turn.sin()),
            Vector::new(turn.sin(), 0.0, turn.cos()),
        )
    };
    let mut at = Vector::new(0.0, 0.0, 0.0);
    let (mut path, mut normals) = (vec![array(at)], Vec::new());
    for i in 0..n {
        let (d, normal) = direction(i);
        at = at + d * side;
        path.push(array(at));
        normals.push(array(normal));
    }
    let seam = direction(n - 1).0 + direction(0).0;
    Run {
        name: "ring".into(),
        section: Section::Corners(vec![[0.0, 0.0], [1.5, 0.0], [0.0, -2.0]]),
        holds: vec![Hold::Inverted],
        spring: None,
        path,
        normals,
        start: End::Plane(array(seam)),
        end: End::Plane(array(seam)),
        meets: [None, None],
    }
}

#[test]
fn the_mitres_round_a_closed_path_add_up_to_half_a_turn() {
    for n in 3..12 {
        for out in [true, false] {
            let sheet = solved(&of_run(ring(n, 40.0, out)));
            let cuts = || sheet.runs.iter().flat_map(|run| &run.pieces);
            let left: f64 = cuts().map(|piece| piece.left.setting.swing).sum();
            let right: f64 = cuts().map(|piece| piece.right.setting.swing).sum();
            // Outside corners held upside down swing left at the right end.
            let sign = if out { -1.0 } else { 1.0 };
            assert!(near(right, sign * PI), "{n} {out}: {right}");
            assert!(near(left, -sign * PI), "{n} {out}: {left}");
            let seam = sheet.runs.first().map(|run| {
                let ends = (run.pieces.first(), run.pieces.last());
                let (Some(first), Some(last)) = ends else {
                    panic!("no pieces")
                };
                near(first.left.setting.swing, -last.right.setting.swing)
            });
            assert_eq!(seam, Some(true), "{n}: the seam closes");
        }
    }
}

fn same_lengths(a: &Sheet, b: &Sheet, k: f64) -> bool {
    let pieces = |sheet: &Sheet| -> Vec<[f64; 4]> {
        let pieces = sheet.runs.iter().flat_map(|run| &run.pieces);
        pieces
            .map(|p| [p.reference, p.tape, p.overall, p.shortest])
            .collect()
    };
    let (a, b) = (pieces(a), pieces(b));
    a.len() == b.len()
        && a.iter()
            .flatten()
            .zip(b.iter().flatten())
            .all(|(x, y)| near(x * k, *y))
}

proptest! {
    #[test]
    fn a_mirrored_run_has_the_mirrored_sheet(run in any_run()) {
        let one = solved(&of_run(run.clone()));
        let two = solved(&of_run(mirrored(&run)));
        for (one, two) in one.runs.iter().zip(&two.runs) {
            for (a, b) in one.pieces.iter().zip(two.pieces.iter().rev()) {
                prop_assert!(near(a.reference, b.reference) && near(a.overall, b.overall));
                prop_assert!(near(a.tape, b.tape) && near(a.shortest, b.shortest));
                prop_assert!(mirror_cuts(&a.left, &b.right), "{:?} {:?}", a.left, b.right);
                prop_assert!(mirror_cuts(&a.right, &b.left), "{:?} {:?}", a.right, b.left);
            }
        }
    }

    #[test]
    fn a_gables_right_half_mirrors_its_left(head in any_gable()) {
        for run in &solved(&design(&head)).runs {
            for (a, b) in run.pieces.iter().zip(run.pieces.iter().rev()) {
                prop_assert!(mirror_cuts(&a.left, &b.right), "{:?} {:?}", a.left, b.right);
                prop_assert!(near(a.overall, b.overall));
            }
        }
    }

    #[test]
    fn a_larger_head_has_larger_lengths_and_the_same_angles(run in any_run(), k in 0.5..4.0_f64) {
        let one = solved(&of_run(run.clone()));
        let two = solved(&of_run(scaled(&run, k)));
        prop_assert!(same_lengths(&one, &two, k));
        let angles = |sheet: &Sheet| -> Vec<f64> {
            let pieces = sheet.runs.iter().flat_map(|run| &run.pieces);
            let cuts = pieces.flat_map(|p| [&p.left, &p.right]);
            cuts.flat_map(|c| [c.setting.swing, c.setting.tilt, c.per_u, c.per_v]).collect()
        };
        for (a, b) in angles(&one).into_iter().zip(angles(&two)) {
            prop_assert!(near(a, b));
        }
    }

    #[test]
    fn a_head_typed_in_millimetres_has_the_same_sheet(head in any_gable()) {
        let metric = |value: &mut serde_json::Value| {
            if let Some(inches) = value.as_f64() {
                *value = json!(inches * 25.4);
            }
        };
        let mut typed = head.clone();
        typed["unit"] = json!("mm");
        for key in ["span", "wing"] {
            metric(&mut typed[key]);
        }
        for part in ["board", "cap", "crown", "drops"] {
            let fields = typed.get_mut(part).and_then(|part| part.as_object_mut());
            for (key, value) in fields.into_iter().flatten() {
                if key != "point_degrees" {
                    metric(value);
                }
            }
        }
        let (one, two) = (solved(&design(&head)), solved(&design(&typed)));
        prop_assert!(same_lengths(&one, &two, 1.0));
    }

    #[test]
    fn both_orders_of_work_hold_every_cut_once_and_agree_with_the_counts(head in any_gable()) {
        let sheet = solved(&design(&head));
        let cuts = 2 * sheet.runs.iter().map(|run| run.pieces.len()).sum::<usize>();
        for order in [sheet.walk_order(), sheet.gang_order()] {
            let mut places: Vec<_> = order
                .groups
                .iter()
                .flat_map(|group| &group.cuts)
                .map(|cut| (cut.run, cut.piece, format!("{:?}", cut.side)))
                .collect();
            prop_assert_eq!(places.len(), cuts);
            places.sort();
            places.dedup();
            prop_assert_eq!(places.len(), cuts);
        }
        prop_assert_eq!(sheet.walk_order().saw_moves, sheet.saw_moves.walk);
        prop_assert_eq!(sheet.gang_order().saw_moves, sheet.saw_moves.gang);
        prop_assert!(sheet.saw_moves.gang <= sheet.saw_moves.walk);
    }
}

#[test]
fn heads_cut_in_one_gang_share_their_settings() {
    let head = json!({
        "unit": "in", "kind": "flat", "span": 40, "board": {"thickness": "3/4", "height": 5},
        "crown": {"projection": "1 1/2", "height": 2, "back": "solid"}
    });
    let sheet = solved(&design(&head));
    let alone = sheet.gang_order();
    let both = gang_order(&[&sheet, &sheet]);
    assert_eq!(alone.saw_moves, 2);
    assert_eq!(both.saw_moves, 2);
    let count = |order: &headwright::trim::solve::Order| -> usize {
        order.groups.iter().map(|group| group.cuts.len()).sum()
    };
    assert_eq!(count(&both), 2 * count(&alone));
    // Two returns and a front: two stops alone, and no more for two heads.
    assert_eq!(alone.stop_changes, both.stop_changes);
}
