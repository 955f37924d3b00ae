//! Mitred plans: the real clearance between neighbours, from the two JSON
//! documents alone.

use std::collections::HashMap;

use serde_json::Value;

use super::checker::{list, text};
use super::{generate, planned, read};

type Slopes = (f64, f64);

fn slopes(end: &Value) -> Slopes {
    (
        end["per_u"].as_f64().unwrap_or(0.0),
        end["per_v"].as_f64().unwrap_or(0.0),
    )
}

/// The ends of a piece as it lies.
fn lying(piece: &Value, cut: &Value) -> (Slopes, Slopes) {
    let (mut l, mut r) = (slopes(&piece["left"]), slopes(&piece["right"]));
    if cut["turned"] == true {
        (l, r) = ((-r.0, r.1), (-l.0, l.1));
    }
    if cut["flipped"] == true {
        (l, r) = ((-l.0, -l.1), (-r.0, -r.1));
    }
    (l, r)
}

/// Each piece once, lengths right, inside the squared ends, limits kept, and
/// the least distance of the two cut planes along the stick, over the corners
/// of the section, at least the steeper cut's kerf.
fn check(order: &Value, plan: &Value) {
    let n = |v: &Value| v.as_f64().expect("a number");
    let (kerf, trim) = (n(&order["kerf"]), n(&order["end_trim"]));
    let corners: Vec<(f64, f64)> = list(&order["section"])
        .iter()
        .map(|c| (n(&c[0]), n(&c[1])))
        .collect();
    let off = |s: Slopes, c: &(f64, f64)| s.0 * c.0 + s.1 * c.1;
    let steep = |s: Slopes| (1.0 + s.0 * s.0 + s.1 * s.1).sqrt();
    let stock: HashMap<&str, &Value> = list(&order["stock"])
        .iter()
        .map(|s| (text(&s["id"]), s))
        .collect();
    let pieces: HashMap<&str, &Value> = list(&order["pieces"])
        .iter()
        .map(|p| (text(&p["label"]), p))
        .collect();
    let mut wanted: HashMap<&str, i64> = pieces
        .iter()
        .map(|(l, p)| (*l, p["qty"].as_i64().unwrap_or(1)))
        .collect();
    let mut used: HashMap<&str, i64> = HashMap::new();
    let mut cost = 0;
    for stick in list(&plan["sticks"]) {
        let id = text(&stick["stock"]);
        *used.entry(id).or_default() += 1;
        cost += stock[id]["price_cents"].as_i64().expect("price");
        let mut before: Option<(f64, Slopes)> = None;
        for cut in list(&stick["cuts"]) {
            let label = text(&cut["label"]);
            *wanted.get_mut(label).expect("a piece") -= 1;
            let (from, to) = (n(&cut["from_in"]), n(&cut["to_in"]));
            assert!(
                (to - from - n(&pieces[label]["length"])).abs() < 1e-6,
                "{label}"
            );
            assert!(
                from >= trim - 1e-6 && to <= n(&stock[id]["length"]) - trim + 1e-6,
                "{label}"
            );
            let (l, r) = lying(pieces[label], cut);
            let left = from
                - corners
                    .iter()
                    .map(|c| off(l, c))
                    .fold(f64::INFINITY, f64::min);
            let right = to
                - corners
                    .iter()
                    .map(|c| off(r, c))
                    .fold(f64::NEG_INFINITY, f64::max);
            if let Some((at, e)) = before {
                let clear = corners
                    .iter()
                    .map(|c| left + off(l, c) - at - off(e, c))
                    .fold(f64::INFINITY, f64::min);
                let need = kerf * steep(l).max(steep(e));
                assert!(
                    clear >= need - 1e-6,
                    "{label}: {clear} clear, {need} needed"
                );
            }
            before = Some((right, r));
        }
    }
    assert!(wanted.values().all(|n| *n == 0), "{wanted:?}");
    for (id, n) in used {
        assert!(
            stock[id]["limit"].as_i64().is_none_or(|l| n <= l),
            "{n} of {id}"
        );
    }
    assert_eq!(plan["cost_cents"].as_i64(), Some(cost));
}

#[test]
fn mitred_plans_keep_their_kerf_between_all_neighbours() {
    for (i, poses) in ["fixed", "turn", "any"].iter().enumerate() {
        for (n, m) in [(10, 7), (20, 12), (40, 20)] {
            let text = generate::mitred(n, m, poses, 50 + i as u64);
            let doc: Value = serde_json::from_str(&text).expect("JSON");
            let order = read(&text);
            let answer = headwright::cutting::json(&order, &planned(&order), 0.0);
            check(&doc, &answer);
            assert_eq!(answer["status"], "optimal", "{poses} {n}");
        }
    }
}

/// Own derivation, the flat case: opposite 45 degree ends lose a whole width
/// and a kerf of √2; parallel ones share one cut.
#[test]
fn parallel_ends_nest_and_opposite_ends_lose_a_wedge() {
    let order = |slopes: [f64; 2], length: f64| {
        format!(
            r#"{{"unit":"in","kerf":"1/8","end_trim":0,
            "stock":[{{"id":"s","length":{length},"price_cents":100,"limit":1}}],
            "section":[[0,0],[0.75,0],[0.75,3.5],[0,3.5]],
            "pieces":[{{"label":"a","length":20,"qty":2,"left":{{"per_v":{}}},"right":{{"per_v":{}}}}}]}}"#,
            slopes[0], slopes[1]
        )
    };
    let kerf = 0.125 * 2.0f64.sqrt();
    let cuts = |slopes, length| planned(&read(&order(slopes, length))).sticks.len();
    // Parallel: overall lengths overlap by the width less the kerf.
    let parallel = 40.0 - 3.5 + kerf;
    assert_eq!(
        (
            cuts([1.0, 1.0], parallel + 1e-6),
            cuts([1.0, 1.0], parallel - 1e-4)
        ),
        (1, 0)
    );
    // Opposite: apart by the kerf alone.
    let opposite = 40.0 + kerf;
    assert_eq!(
        (
            cuts([1.0, -1.0], opposite + 1e-6),
            cuts([1.0, -1.0], opposite - 1e-4)
        ),
        (1, 0)
    );
}
