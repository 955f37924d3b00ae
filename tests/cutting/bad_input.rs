//! Wrong and extreme orders: one clear line, never a panic.

use headwright::cutting::{OrderPlan, Status, plan, read};
use serde_json::{Value, json};

fn order() -> Value {
    json!({
        "unit": "in", "kerf": "1/8", "end_trim": "1/4",
        "stock": [{"id": "crown-12", "length": 144, "price_cents": 2140, "limit": null}],
        "pieces": [{"label": "a", "length": "13.5", "qty": 2}]
    })
}

fn wrong(change: impl FnOnce(&mut Value)) -> String {
    let mut doc = order();
    change(&mut doc);
    let line = read(&doc.to_string())
        .expect_err("a wrong order")
        .to_string();
    assert_eq!(line.lines().count(), 1, "{line}");
    line
}

/// Exit status and answer.
fn run(doc: &Value) -> (u8, Value) {
    let order = read(&doc.to_string()).unwrap_or_else(|e| panic!("{e}"));
    let plan = super::planned(&order);
    (exit(&plan), headwright::cutting::json(&order, &plan, 0.0))
}

fn exit(plan: &OrderPlan) -> u8 {
    u8::from(!plan.status.has_plan())
}

#[test]
fn lengths_of_nothing_or_less_are_rejected() {
    for length in [json!(0), json!(-3), json!("0"), json!("-1/2"), json!(1e-30)] {
        let line = wrong(|d| d["pieces"][0]["length"] = length.clone());
        assert!(
            line.contains("pieces[0].length") && line.contains("more than 0"),
            "{line}"
        );
        let line = wrong(|d| d["stock"][0]["length"] = length);
        assert!(line.contains("stock[0].length"), "{line}");
    }
    assert!(wrong(|d| d["kerf"] = json!(-0.1)).contains("kerf"));
    assert!(wrong(|d| d["end_trim"] = json!("-1")).contains("end_trim"));
}

#[test]
fn lengths_past_a_million_millimetres_are_rejected() {
    let line = wrong(|d| d["stock"][0]["length"] = json!("1000001 mm"));
    assert!(line.contains("1000000 mm"), "{line}");
    assert!(wrong(|d| d["pieces"][0]["length"] = json!(1e300)).contains("length"));
}

#[test]
fn a_hundred_thousand_pieces_are_refused_in_words() {
    let line = wrong(|d| d["pieces"][0]["qty"] = json!(100_000));
    assert!(
        line.contains("100000 pieces") && line.contains("20000"),
        "{line}"
    );
    assert!(wrong(|d| d["pieces"][0]["qty"] = json!(u64::MAX)).contains("qty"));
}

#[test]
fn wrong_fields_are_named() {
    assert!(wrong(|d| d["unit"] = json!("cubit")).contains("unit"));
    assert!(wrong(|d| d["unit"] = Value::Null).contains("unit"));
    assert!(wrong(|d| d["stock"] = json!(3)).contains("stock"));
    assert!(wrong(|d| d["stock"][0]["price_cents"] = json!(-1)).contains("price_cents"));
    assert!(wrong(|d| d["stock"][0]["price_cents"] = json!(1.5)).contains("price_cents"));
    assert!(wrong(|d| d["stock"][0]["limit"] = json!(-1)).contains("limit"));
    assert!(wrong(|d| d["pieces"][0]["qty"] = json!(0)).contains("qty"));
    assert!(wrong(|d| d["pieces"][0]["label"] = json!(" ")).contains("label"));
    assert!(wrong(|d| d["pieces"][0]["left"] = json!({"per_u": "x"})).contains("left.per_u"));
    assert!(wrong(|d| d["section"] = json!([[0]])).contains("section[0]"));
    assert!(wrong(|d| d["poses"] = json!("both")).contains("poses"));
    assert!(wrong(|d| d["colour"] = json!("red")).contains("colour"));
    assert!(wrong(|d| d["pieces"][0]["run"] = json!("")).contains("run"));
    assert!(wrong(|d| d["stock"][0]["batch"] = json!(7)).contains("batch"));
    assert!(wrong(|d| d["stock"][0]["strips"] = json!(0)).contains("strips"));
    let twice = json!({"id": "crown-12", "length": 96, "price_cents": 1});
    assert!(wrong(|d| d["stock"] = json!([d["stock"][0], twice])).contains("twice"));
    assert!(
        read("{")
            .expect_err("not JSON")
            .to_string()
            .contains("not a JSON document")
    );
    assert!(read("[]").is_err());
    assert!(read(&"[".repeat(100_000)).is_err());
}

#[test]
fn a_piece_longer_than_every_stick_is_named() {
    let mut doc = order();
    doc["pieces"][0]["length"] = json!("143 5/8");
    let (status, plan) = run(&doc);
    assert_eq!((status, &plan["status"]), (1, &json!("infeasible")));
    assert_eq!(plan["findings"][0]["piece"], "a");
    assert_eq!(plan["findings"][0]["code"], "piece-too-long");
    doc["pieces"][0]["length"] = json!("143 1/2");
    assert_eq!(run(&doc).0, 0);
}

#[test]
fn limits_of_nothing_leave_no_plan() {
    let mut doc = order();
    doc["stock"][0]["limit"] = json!(0);
    let (status, plan) = run(&doc);
    assert_eq!((status, &plan["status"]), (1, &json!("infeasible")));
}

#[test]
fn limits_too_small_for_the_pieces_are_proven_so() {
    let mut doc = order();
    doc["stock"][0]["limit"] = json!(1);
    doc["pieces"][0]["qty"] = json!(11);
    let (status, plan) = run(&doc);
    assert_eq!(
        (status, &plan["findings"][0]["code"]),
        (1, &json!("not-enough-stock"))
    );
}

#[test]
fn stock_that_costs_nothing_is_an_order_of_nothing() {
    let mut doc = order();
    doc["stock"][0]["price_cents"] = json!(0);
    let (status, plan) = run(&doc);
    assert_eq!((status, &plan["cost_cents"]), (0, &json!(0)));
    assert_eq!(plan["status"], "optimal");
}

#[test]
fn a_kerf_longer_than_a_piece_is_a_warning() {
    let mut doc = order();
    doc["pieces"][0]["length"] = json!("1/16");
    let (status, plan) = run(&doc);
    assert_eq!(
        (status, &plan["findings"][0]["code"]),
        (0, &json!("kerf-longer-than-piece"))
    );
}

#[test]
fn an_order_of_no_pieces_costs_nothing() {
    let mut doc = order();
    doc["pieces"] = json!([]);
    let (status, plan) = run(&doc);
    assert_eq!(
        (status, &plan["status"], &plan["cost_cents"]),
        (0, &json!("optimal"), &json!(0))
    );
    doc["stock"] = json!([]);
    assert_eq!(run(&doc).0, 0);
}

#[test]
fn a_stopped_search_still_gives_a_plan() {
    let order = read(&order().to_string()).expect("an order");
    let plan = plan(&order, true, &|| true, &mut |_| ());
    assert_ne!(plan.status, Status::Infeasible);
    assert_eq!(plan.cost_cents, 2140);
}

#[test]
fn lengths_that_share_no_grid_are_solved_exactly() {
    let mut doc = order();
    doc["pieces"] = json!([
        {"label": "a", "length": "17.123457 mm", "qty": 40},
        {"label": "b", "length": 31.415_926_5, "qty": 5},
        {"label": "c", "length": 27.182_818_3, "qty": 7}
    ]);
    let (status, plan) = run(&doc);
    assert_eq!((status, &plan["status"]), (0, &json!("optimal")));
}

#[test]
fn bad_stretches_that_cannot_be_are_named() {
    for bad in [
        json!([[5, 3]]),
        json!([[5, 5]]),
        json!([[-1, 3]]),
        json!([[140, 145]]),
        json!([[1]]),
        json!([["a", "b"]]),
        json!(7),
        json!(vec![[1, 2]; 21]),
    ] {
        let line = wrong(|d| {
            d["stock"][0]["limit"] = json!(1);
            d["stock"][0]["defects"] = bad;
        });
        assert!(line.contains("stock[0].defects"), "{line}");
    }
    let many = wrong(|d| d["stock"][0]["defects"] = json!([[1, 2]]));
    assert!(many.contains("stock[0].limit"), "{many}");
    let ripped = wrong(|d| {
        d["stock"][0]["limit"] = json!(1);
        d["stock"][0]["strips"] = json!(2);
        d["stock"][0]["defects"] = json!([[1, 2]]);
    });
    assert!(ripped.contains("stock[0].strips"), "{ripped}");
}

/// Forty pieces and limits that leave no slack, stopped at once: no plan may
/// be found, and then none is called impossible.
#[test]
fn what_was_not_proven_impossible_is_not_called_so() {
    let doc = json!({
        "unit": "in", "kerf": 0, "end_trim": 0,
        "stock": [{"id": "s", "length": 100, "price_cents": 1, "limit": 20}],
        "pieces": (0..20)
            .flat_map(|i| {
                let long = 50.0 + f64::from(i) * 1.03;
                [long, 100.0 - long]
            })
            .enumerate()
            .map(|(i, long)| json!({"label": format!("p{i}"), "length": long}))
            .collect::<Vec<_>>()
    });
    let order = read(&doc.to_string()).expect("an order");
    let stopped = plan(&order, true, &|| true, &mut |_| ());
    assert_ne!(stopped.status, Status::Infeasible);
    if stopped.status == Status::Unknown {
        let json = headwright::cutting::json(&order, &stopped, 0.0);
        assert_eq!(json["status"], "unknown");
        assert_eq!(json["findings"][0]["code"], "no-order-found");
    }
    assert_eq!(super::planned(&order).status, Status::Optimal);
}
