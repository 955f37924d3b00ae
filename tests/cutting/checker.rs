//! Checks a plan from the two JSON documents alone: no code of the solver.

use std::collections::HashMap;

use serde_json::Value;

/// Inches of a number in the order's unit (the checker takes numbers only).
fn inches(v: &Value, unit: &str) -> f64 {
    let n = v.as_f64().unwrap_or_else(|| panic!("{v} is not a number"));
    match unit {
        "in" => n,
        "mm" => n / 25.4,
        other => panic!("unit {other}"),
    }
}

/// Sums of a plan with square ends, after checking that each piece is cut
/// once, cuts lie within the squared ends a kerf apart, and limits are kept.
pub struct Sums {
    pub cost: i64,
    pub waste_in: f64,
    pub sticks: usize,
}

pub fn check(order: &Value, plan: &Value) -> Sums {
    let unit = order["unit"].as_str().unwrap_or("in");
    let kerf = inches(&order["kerf"], unit);
    let trim = inches(&order["end_trim"], unit);
    let tiny = 1e-6;
    let mut wanted: HashMap<&str, i64> = HashMap::new();
    let mut lengths: HashMap<&str, f64> = HashMap::new();
    let mut pieces_in = 0.0;
    for p in list(&order["pieces"]) {
        let label = text(&p["label"]);
        let qty = p["qty"].as_i64().unwrap_or(1);
        *wanted.entry(label).or_default() += qty;
        lengths.insert(label, inches(&p["length"], unit));
        pieces_in += inches(&p["length"], unit) * qty as f64;
    }
    let stock: HashMap<&str, &Value> = list(&order["stock"])
        .iter()
        .map(|s| (text(&s["id"]), s))
        .collect();
    let mut used: HashMap<&str, i64> = HashMap::new();
    let (mut cost, mut taken) = (0, 0.0);
    let sticks = list(&plan["sticks"]);
    for stick in sticks {
        let id = text(&stick["stock"]);
        let s = stock[id];
        *used.entry(id).or_default() += 1;
        cost += s["price_cents"].as_i64().expect("price");
        let length = inches(&s["length"], unit);
        taken += length;
        let trim = if s["end_trim"].is_null() {
            trim
        } else {
            inches(&s["end_trim"], unit)
        };
        let mut at = trim;
        let cuts = list(&stick["cuts"]);
        assert!(!cuts.is_empty(), "a stick of {id} with nothing cut from it");
        for cut in cuts {
            let label = text(&cut["label"]);
            let (from, to) = (
                cut["from_in"].as_f64().expect("from"),
                cut["to_in"].as_f64().expect("to"),
            );
            *wanted.get_mut(label).expect("a piece of the order") -= 1;
            assert!(
                from >= at - tiny,
                "{label} on {id} begins at {from}, before {at}"
            );
            assert!(
                (to - from - lengths[label]).abs() < tiny,
                "{label} is cut {}",
                to - from
            );
            at = to + kerf;
        }
        assert!(
            at - kerf <= length - trim + tiny,
            "{id} is cut past its squared end"
        );
        let left = stick["left_over_in"].as_f64().expect("left over");
        assert!(
            (left - (length - at).max(0.0)).abs() < tiny,
            "left over {left}"
        );
    }
    for (label, n) in wanted {
        assert_eq!(n, 0, "{label} is not cut the right number of times");
    }
    for (id, n) in &used {
        if let Some(limit) = stock[id]["limit"].as_i64() {
            assert!(*n <= limit, "{n} of {id}, {limit} allowed");
        }
    }
    for line in list(&plan["buy"]) {
        assert_eq!(used.remove(text(&line["stock"])), line["qty"].as_i64());
    }
    assert!(used.is_empty(), "sticks not on the buy list: {used:?}");
    assert_eq!(plan["cost_cents"].as_i64(), Some(cost));
    let waste_in = taken - pieces_in;
    assert!((plan["waste_in"].as_f64().expect("waste") - waste_in).abs() < 1e-4);
    Sums {
        cost,
        waste_in,
        sticks: sticks.len(),
    }
}

pub fn list(v: &Value) -> &[Value] {
    v.as_array()
        .map(Vec::as_slice)
        .unwrap_or_else(|| panic!("{v} is not a list"))
}

pub fn text(v: &Value) -> &str {
    v.as_str().unwrap_or_else(|| panic!("{v} is not a text"))
}
