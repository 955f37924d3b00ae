//! Mill runs: no visible run mixes two, at the least cost.

use headwright::cutting::{OrderPlan, Status};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::{planned, read};

/// A stick: length, price, batch.
type Stick = (u32, i64, u8);
/// A piece: length, run.
type Piece = (u32, u8);

/// Least cost with no run over two batches, by every way to put the pieces on
/// the sticks; kerf and trim are nothing.
fn best(sticks: &[Stick], pieces: &[Piece]) -> Option<i64> {
    let mut found: Option<i64> = None;
    for mut way in 0..sticks.len().pow(pieces.len() as u32) {
        let mut used = vec![0u32; sticks.len()];
        let mut of = [None; 8];
        let mut good = true;
        for &(length, run) in pieces {
            let at = way % sticks.len();
            way /= sticks.len();
            used[at] += length;
            let batch = sticks[at].2;
            good &= *of[run as usize].get_or_insert(batch) == batch;
        }
        good &= used.iter().zip(sticks).all(|(u, s)| *u <= s.0);
        if good {
            let cost = used
                .iter()
                .zip(sticks)
                .filter(|(u, _)| **u > 0)
                .map(|(_, s)| s.1)
                .sum();
            found = Some(found.map_or(cost, |f: i64| f.min(cost)));
        }
    }
    found
}

fn order(sticks: &[Stick], pieces: &[Piece]) -> Value {
    json!({
        "unit": "in", "kerf": 0, "end_trim": 0,
        "stock": sticks.iter().enumerate().map(|(i, s)| json!({
            "id": format!("s{i}"), "length": s.0, "price_cents": s.1, "limit": 1,
            "batch": format!("run {}", s.2),
        })).collect::<Vec<_>>(),
        "pieces": pieces.iter().enumerate().map(|(i, p)| json!({
            "label": format!("p{i}"), "length": p.0, "run": format!("r{}", p.1),
        })).collect::<Vec<_>>(),
    })
}

fn mixes(sticks: &[Stick], pieces: &[Piece], plan: &OrderPlan) -> bool {
    let mut of = [None; 8];
    plan.sticks.iter().any(|s| {
        s.cuts.iter().any(|c| {
            let batch = sticks[s.stock].2;
            *of[pieces[c.piece].1 as usize].get_or_insert(batch) != batch
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn no_visible_run_mixes_two_mill_runs_and_none_does_so_cheaper(
        sticks in prop::collection::vec((6u32..14, 0i64..20, 0u8..3), 1..5),
        pieces in prop::collection::vec((2u32..7, 0u8..3), 1..6),
    ) {
        let doc = order(&sticks, &pieces);
        let plan = planned(&read(&doc.to_string()));
        match best(&sticks, &pieces) {
            None => prop_assert_eq!(plan.status, Status::Infeasible, "{}", doc),
            Some(cost) => {
                prop_assert_eq!(plan.status, Status::Optimal, "{}", doc);
                prop_assert_eq!(plan.cost_cents, cost, "{}", doc);
                prop_assert!(!mixes(&sticks, &pieces, &plan), "{}", doc);
            }
        }
    }
}

#[test]
fn what_keeping_mill_runs_apart_costs_is_told() {
    // The free offcut would take one of the run's two pieces.
    let sticks = [(6, 0, 0), (12, 30, 1), (6, 20, 1)];
    let plan = planned(&read(&order(&sticks, &[(6, 0), (6, 0)]).to_string()));
    assert_eq!((plan.status, plan.cost_cents), (Status::Optimal, 30));
    assert!(
        plan.findings
            .iter()
            .any(|f| f.code == "mill-runs" && f.text.contains("0.10"))
    );
    let apart = planned(&read(&order(&sticks, &[(6, 0), (6, 1)]).to_string()));
    assert_eq!(apart.cost_cents, 20);
}

#[test]
fn pieces_alike_of_no_run_leave_no_false_proof() {
    // Worked by hand: A twice with 60 + 20 + 20 and the short stick of B with
    // 20 + 20 costs 21.00; without mill runs the cheapest is 16.00.
    let doc = json!({
        "unit": "in", "kerf": 0, "end_trim": 0,
        "stock": [
            {"id": "a", "length": 100, "price_cents": 1000, "limit": 2, "batch": "A"},
            {"id": "b", "length": 100, "price_cents": 500, "limit": 1, "batch": "B"},
            {"id": "b-short", "length": 40, "price_cents": 100, "limit": 1, "batch": "B"},
        ],
        "pieces": [
            {"label": "run", "length": 60, "qty": 2, "run": "front"},
            {"label": "odd", "length": 20, "qty": 6},
        ],
    });
    let plan = planned(&read(&doc.to_string()));
    assert!(plan.cost_cents >= 2100, "{}", plan.cost_cents);
    if plan.cost_cents > 2100 {
        assert_eq!(plan.status, Status::Feasible, "dearer than what can be had");
        assert!(plan.bound_cents <= 2100, "{}", plan.bound_cents);
    }
}
