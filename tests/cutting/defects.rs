//! Real sticks with bad stretches and sticks ripped into strips, against a
//! search that tries everything on a grid of quarter inches.

use headwright::cutting::Status;
use proptest::prelude::*;
use serde_json::{Value, json};

use super::{planned, read};

/// A stick on the grid: length, price, bad stretches, strips; in quarters.
#[derive(Clone, Debug)]
struct Real {
    length: i64,
    price: i64,
    bad: Vec<(i64, i64)>,
    strips: i64,
}

const KERF: i64 = 1;
const TRIM: i64 = 1;

/// Whether the pieces can lie on the stick in this order of places: each piece
/// starts at any quarter, a kerf after the one before, touching nothing bad.
fn lies(stick: &Real, pieces: &[i64], taken: &[Vec<(i64, i64)>]) -> bool {
    let Some((&piece, rest)) = pieces.split_first() else {
        return true;
    };
    for strip in 0..stick.strips as usize {
        for from in TRIM..=(stick.length - TRIM - piece) {
            let to = from + piece;
            let on = |&(f, t): &(i64, i64)| to + KERF > f && from < t + KERF;
            // A bad stretch takes a kerf at least, from where it begins.
            let bad = |&(f, t): &(i64, i64)| to > f && from < t.max(f + KERF);
            let bad = stick.bad.iter().any(bad);
            if bad || taken[strip].iter().any(on) {
                continue;
            }
            let mut more = taken.to_vec();
            more[strip].push((from, to));
            if lies(stick, rest, &more) {
                return true;
            }
        }
    }
    false
}

/// Least (cost, taken, sticks) over every way to give pieces to sticks.
fn best(sticks: &[Real], pieces: &[i64]) -> Option<(i64, i64, usize)> {
    let mut found: Option<(i64, i64, usize)> = None;
    let ways = sticks.len().pow(pieces.len() as u32);
    for mut way in 0..ways {
        let mut on = vec![Vec::new(); sticks.len()];
        for &p in pieces {
            on[way % sticks.len()].push(p);
            way /= sticks.len();
        }
        let fits = sticks
            .iter()
            .zip(&on)
            .all(|(s, on)| on.is_empty() || lies(s, on, &vec![Vec::new(); s.strips as usize]));
        if fits {
            let used = || sticks.iter().zip(&on).filter(|(_, on)| !on.is_empty());
            let this = (
                used().map(|(s, _)| s.price).sum(),
                used().map(|(s, _)| s.length * s.strips).sum(),
                used().count(),
            );
            found = Some(found.map_or(this, |f| f.min(this)));
        }
    }
    found
}

fn order(sticks: &[Real], pieces: &[i64]) -> Value {
    let quarter = |n: i64| n as f64 / 4.0;
    let stock: Vec<Value> = sticks
        .iter()
        .enumerate()
        .map(|(i, s)| {
            let bad: Vec<[f64; 2]> = s.bad.iter().map(|b| [quarter(b.0), quarter(b.1)]).collect();
            json!({
                "id": format!("s{i}"), "length": quarter(s.length), "price_cents": s.price,
                "limit": 1, "defects": bad, "strips": s.strips,
            })
        })
        .collect();
    let list: Vec<Value> = pieces
        .iter()
        .enumerate()
        .map(|(i, p)| json!({"label": format!("p{i}"), "length": quarter(*p)}))
        .collect();
    json!({
        "unit": "in", "kerf": quarter(KERF), "end_trim": quarter(TRIM),
        "stock": stock, "pieces": list,
    })
}

fn a_stick() -> impl Strategy<Value = Real> {
    let bad = prop::collection::vec((0i64..18, 1i64..4), 0..3);
    (12i64..24, 0i64..30, bad, 1i64..3).prop_map(|(length, price, bad, strips)| {
        let mut joined: Vec<(i64, i64)> = Vec::new();
        let mut sorted: Vec<(i64, i64)> = bad
            .into_iter()
            .map(|(f, n)| (f.min(length - 1), (f + n).min(length)))
            .filter(|(f, t)| f < t)
            .collect();
        sorted.sort_unstable();
        for (f, t) in sorted {
            match joined.last_mut() {
                Some(last) if f <= last.1 => last.1 = last.1.max(t),
                _ => joined.push((f, t)),
            }
        }
        let strips = if joined.is_empty() { strips } else { 1 };
        Real {
            length,
            price,
            bad: joined,
            strips,
        }
    })
}

/// Each cut within the stick, clear of what is bad, a kerf from its neighbour.
fn check(sticks: &[Real], doc: &Value, plan: &Value) {
    let n = |v: &Value| v.as_f64().expect("a number") * 4.0;
    for stick in plan["sticks"].as_array().expect("sticks") {
        let id = stick["stock"].as_str().expect("an id");
        let real = &sticks[id[1..].parse::<usize>().expect("a number")];
        let cuts = stick["cuts"].as_array().expect("cuts");
        for (i, cut) in cuts.iter().enumerate() {
            let (from, to) = (n(&cut["from_in"]), n(&cut["to_in"]));
            assert!(from >= TRIM as f64 - 1e-6, "{doc}");
            assert!(to <= (real.length - TRIM) as f64 + 1e-6, "{doc}");
            for &(f, t) in &real.bad {
                assert!(
                    to <= f as f64 + 1e-6 || from >= t as f64 - 1e-6,
                    "{doc} {plan}"
                );
            }
            for other in &cuts[..i] {
                let apart = n(&other["to_in"]) + KERF as f64 <= from + 1e-6;
                assert!(apart || other["strip"] != cut["strip"], "{doc} {plan}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn sticks_with_bad_stretches_and_strips_agree_with_exhaustive_search(
        sticks in prop::collection::vec(a_stick(), 1..4),
        pieces in prop::collection::vec(2i64..9, 1..5),
    ) {
        let doc = order(&sticks, &pieces);
        let order = read(&doc.to_string());
        let plan = planned(&order);
        match best(&sticks, &pieces) {
            None => prop_assert_eq!(plan.status, Status::Infeasible, "{}", doc),
            Some((cost, taken, count)) => {
                prop_assert_eq!(plan.status, Status::Optimal, "{}", doc);
                prop_assert_eq!(plan.cost_cents, cost, "{}", doc);
                prop_assert_eq!(plan.proven, [true; 3], "{}", doc);
                prop_assert_eq!(plan.sticks.len(), count, "{}", doc);
                let pieces: i64 = pieces.iter().sum();
                let waste = (taken - pieces) as f64 / 4.0;
                prop_assert!((plan.waste.inches() - waste).abs() < 1e-6, "{}", doc);
                check(&sticks, &doc, &headwright::cutting::json(&order, &plan, 0.0));
            }
        }
    }

    #[test]
    fn a_bad_stretch_never_makes_an_order_cheaper(
        sticks in prop::collection::vec(a_stick(), 1..4),
        pieces in prop::collection::vec(2i64..9, 1..5),
    ) {
        let sound: Vec<Real> = sticks
            .iter()
            .map(|s| Real { bad: Vec::new(), ..s.clone() })
            .collect();
        let with = planned(&read(&order(&sticks, &pieces).to_string()));
        let without = planned(&read(&order(&sound, &pieces).to_string()));
        if with.status == Status::Optimal {
            prop_assert!(without.cost_cents <= with.cost_cents);
        }
    }
}

/// By hand: 40 in squared by 1/4 at both ends, bad from 19 to 21: 18 3/4 clear
/// on each side, not a hair more, and no end trim at the bad stretch.
#[test]
fn a_knot_is_cut_out_at_its_own_edges() {
    let doc = |length: &str, qty: u32| {
        json!({
            "unit": "in", "kerf": "1/8", "end_trim": "1/4",
            "stock": [{"id": "s", "length": 40, "price_cents": 5, "limit": 1, "defects": [[19, 21]]}],
            "pieces": [{"label": "a", "length": length, "qty": qty}],
        })
    };
    let sticks = |d: Value| planned(&read(&d.to_string())).sticks.len();
    assert_eq!(sticks(doc("18 3/4", 2)), 1);
    assert_eq!(sticks(doc("18 49/64", 1)), 0);
    assert_eq!(sticks(doc("18 3/4", 3)), 0);
}

/// By hand, from the model of mitred ends: two parallel 45° pieces of 12 in
/// overall on one side of a bad stretch, one on the other.
#[test]
fn mitred_pieces_nest_between_bad_stretches() {
    let kerf = 0.125 * 2.0f64.sqrt();
    let pair = 24.0 - 3.5 + kerf;
    let doc = |side: f64| {
        json!({
            "unit": "in", "kerf": 0.125, "end_trim": 0,
            "stock": [{"id": "s", "length": side + 15.0, "price_cents": 5, "limit": 1,
                       "defects": [[side, side + 3.0]]}],
            "section": [[0, 0], [0.75, 0], [0.75, 3.5], [0, 3.5]],
            "pieces": [{"label": "a", "length": 12, "qty": 3,
                        "left": {"per_v": 1}, "right": {"per_v": 1}}],
        })
    };
    let plan = planned(&read(&doc(pair + 1e-6).to_string()));
    assert_eq!((plan.status, plan.sticks.len()), (Status::Optimal, 1));
    assert!(plan.waste.inches() > 0.0, "wood is never made");
    let short = planned(&read(&doc(pair - 1e-3).to_string()));
    assert!(!short.status.has_plan());
}
