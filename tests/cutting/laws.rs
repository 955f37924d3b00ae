//! Laws every answer obeys, and tiny orders against exhaustive search.

use headwright::cutting::solve::{Effort, Problem, Stop, solve};
use headwright::cutting::{Square, Status};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::exhaustive::{Kind, Piece, best};
use super::{checker, planned, read};

fn order(kinds: &[Kind], pieces: &[Piece], kerf: f64, poses: &str) -> Value {
    let stock: Vec<Value> = kinds
        .iter()
        .enumerate()
        .map(|(i, k)| {
            json!({"id": format!("s{i}"), "length": k.length, "price_cents": k.price, "limit": k.limit})
        })
        .collect();
    let list: Vec<Value> = pieces
        .iter()
        .enumerate()
        .map(|(i, p)| {
            json!({
                "label": format!("p{i}"), "length": p.length, "qty": 1,
                "left": {"per_u": 0, "per_v": p.left}, "right": {"per_u": 0, "per_v": p.right},
            })
        })
        .collect();
    json!({
        "unit": "in", "kerf": kerf, "end_trim": 0.25, "stock": stock, "pieces": list,
        "section": [[0, 0], [0.75, 0], [0.75, 2], [0, 2]], "poses": poses,
    })
}

/// Compares with exhaustive search in all three goals.
fn agrees(kinds: &[Kind], pieces: &[Piece], kerf: f64, poses: &str) {
    let doc = order(kinds, pieces, kerf, poses);
    let order = read(&doc.to_string());
    let plan = planned(&order);
    let truth = best(kinds, pieces, kerf, 0.25, poses);
    match truth {
        None => assert_eq!(plan.status, Status::Infeasible, "{doc}"),
        Some((cost, taken, sticks)) => {
            assert_eq!(plan.status, Status::Optimal, "{doc}");
            assert_eq!(plan.cost_cents, cost, "{doc}");
            assert_eq!(plan.proven, [true; 3], "{doc}");
            assert_eq!(plan.sticks.len(), sticks, "{doc}");
            // The mid-line of a board 2 in wide, worked out anew.
            let pieces: f64 = pieces
                .iter()
                .map(|p| p.length - p.left.abs() - p.right.abs())
                .sum();
            assert!(
                (plan.waste.inches() - (taken - pieces)).abs() < 1e-6,
                "{doc}"
            );
        }
    }
}

fn kinds() -> impl Strategy<Value = Vec<Kind>> {
    let kind = (8u32..30, 0i64..40, prop::option::of(0u32..3)).prop_map(|(l, price, limit)| Kind {
        length: f64::from(l),
        price,
        limit,
    });
    prop::collection::vec(kind, 1..4)
}

fn square_pieces() -> impl Strategy<Value = Vec<Piece>> {
    let piece = (4u32..48).prop_map(|l| Piece {
        length: f64::from(l) / 4.0,
        left: 0.0,
        right: 0.0,
    });
    prop::collection::vec(piece, 1..6)
}

fn mitred_pieces() -> impl Strategy<Value = Vec<Piece>> {
    let slope = prop::sample::select(vec![0.0, 1.0, -1.0, 0.5]);
    let piece = (20u32..56, slope.clone(), slope).prop_map(|(l, left, right)| Piece {
        length: f64::from(l) / 4.0,
        left,
        right,
    });
    prop::collection::vec(piece, 1..5)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn tiny_orders_agree_with_exhaustive_search(k in kinds(), p in square_pieces()) {
        agrees(&k, &p, 0.125, "fixed");
    }

    #[test]
    fn tiny_mitred_orders_agree_with_exhaustive_search(
        k in kinds(),
        p in mitred_pieces(),
        poses in prop::sample::select(vec!["fixed", "turn", "any"]),
    ) {
        agrees(&k, &p, 0.125, poses);
    }

    #[test]
    fn adding_stock_never_raises_cost(k in kinds(), extra in kinds(), p in square_pieces()) {
        let few = planned(&read(&order(&k, &p, 0.125, "fixed").to_string()));
        let both: Vec<Kind> = k.iter().chain(&extra).cloned().collect();
        let more = planned(&read(&order(&both, &p, 0.125, "fixed").to_string()));
        if few.status == Status::Optimal {
            prop_assert_eq!(more.status, Status::Optimal);
            prop_assert!(more.cost_cents <= few.cost_cents);
        }
    }

    #[test]
    fn plans_do_not_depend_on_the_order_of_input(
        k in kinds(),
        p in mitred_pieces(),
        turn in 0usize..4,
    ) {
        let doc = order(&k, &p, 0.125, "turn");
        let mut other = doc.clone();
        for key in ["stock", "pieces"] {
            if let Some(list) = other[key].as_array_mut() {
                let n = list.len();
                list.rotate_left(turn % n);
                list.reverse();
            }
        }
        let answer = |doc: &Value| {
            let order = read(&doc.to_string());
            headwright::cutting::json(&order, &planned(&order), 0.0)
        };
        prop_assert_eq!(answer(&doc), answer(&other));
    }
}

/// The most one stick of `room` can hold at these prices: a plain table over
/// every room, one copy at a time, written apart from the solver's.
fn most_held(problem: &Problem, price: &[i64], room: i64) -> i64 {
    let mut best = vec![0i64; room as usize + 1];
    for (i, &size) in problem.size.iter().enumerate() {
        for _ in 0..problem.demand[i].min((room / size) as u32) {
            for c in (size as usize..best.len()).rev() {
                best[c] = best[c].max(best[c - size as usize] + price[i]);
            }
        }
    }
    best[room as usize]
}

/// Orders with at most two lengths that cost money: every cheaper count vector
/// is ruled out by an inequality whose right to exist is recomputed here.
#[test]
fn proofs_hold_when_recomputed() {
    let names = [
        "trim_few_027_n40_m20",
        "trim_few_032_n300_m60",
        "trim_one_035_n40_m20",
        "trim_one_040_n300_m60",
    ];
    for name in names {
        let text = std::fs::read_to_string(format!("tests/data/orders/{name}.json")).expect("file");
        let doc: Value = serde_json::from_str(&text).expect("JSON");
        let order = read(&doc["order"].to_string());
        let problem = Square::new(&order).problem;
        let answer = solve(
            &problem,
            Effort::Unbounded,
            &Stop::new(&|| false),
            &mut |_, _| (),
        );
        assert!(answer.proven[0] && answer.refuted.is_empty(), "{name}");
        for cut in &answer.cuts {
            let need: i64 = cut
                .price
                .iter()
                .zip(&problem.demand)
                .map(|(p, d)| p * i64::from(*d))
                .sum();
            assert_eq!(cut.need, need, "{name}");
            assert!(cut.price.iter().all(|p| *p >= 0));
            for (s, hold) in problem.stocks.iter().zip(&cut.hold) {
                assert!(*hold >= most_held(&problem, &cut.price, s.room), "{name}");
            }
        }
        for counts in cheaper(&problem, answer.worth.cost) {
            assert!(
                answer.cuts.iter().any(|c| c.slack(&counts) < 0),
                "{name}: {counts:?}"
            );
        }
    }
}

/// The largest count vectors that cost less than `cost`: all that is free, and
/// every way to spend on the one or two kinds that are not.
fn cheaper(problem: &Problem, cost: i128) -> Vec<Vec<u32>> {
    let paid: Vec<usize> = (0..problem.stocks.len())
        .filter(|&k| problem.stocks[k].price > 0)
        .collect();
    assert!(paid.len() <= 2);
    let base: Vec<u32> = problem
        .stocks
        .iter()
        .map(|s| if s.price == 0 { s.limit } else { 0 })
        .collect();
    let price = |k: usize| i128::from(problem.stocks[k].price);
    let mut out = Vec::new();
    for n in 0..=((cost - 1) / price(paid[0])) {
        let mut counts = base.clone();
        counts[paid[0]] = n as u32;
        if let Some(&k) = paid.get(1) {
            counts[k] = ((cost - 1 - n * price(paid[0])) / price(k)) as u32;
        }
        out.push(counts);
    }
    out
}

#[test]
fn ignoring_nesting_counts_overall_lengths() {
    let kinds = [Kind {
        length: 30.0,
        price: 10,
        limit: None,
    }];
    let pieces = [Piece {
        length: 10.0,
        left: 1.0,
        right: 1.0,
    }; 3];
    let doc = order(&kinds, &pieces, 0.125, "fixed");
    let order = read(&doc.to_string());
    let flat = headwright::cutting::plan(&order, false, &|| false, &mut |_| ());
    assert_eq!(flat.sticks.len(), 2);
    checker::check(&doc, &headwright::cutting::json(&order, &flat, 0.0));
    // Two shared cuts: 30 − 2 (2 − kerf·√2) = 26.35 in fits one stick.
    let nested = planned(&order);
    assert_eq!(nested.sticks.len(), 1);
    assert_eq!(nested.nesting.map(|n| n.saved_cents), Some(10));
}
