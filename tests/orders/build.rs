//! What the solver is asked: rips, offcuts of other jobs, mill runs.

use headwright::access::Role;
use serde_json::Value;

use super::{a_yard, worked_out};
use crate::support::records::{len, made, stick_facts, tx};

/// The frozen requests of the newest round.
async fn requests(yard: &super::Yard) -> Vec<Value> {
    let texts: Vec<String> = sqlx::query_scalar("SELECT request FROM lumber_solve ORDER BY id")
        .fetch_all(yard.firm().app.db().read())
        .await
        .expect("read");
    texts
        .iter()
        .map(|text| serde_json::from_str(text).expect("JSON"))
        .collect()
}

#[tokio::test]
async fn requests_are_frozen_in_the_contracts_form_with_each_pieces_head() {
    let yard = a_yard().await;
    let office = yard.firm().client_as(Role::Office).await;
    worked_out(&office, &yard).await;
    let all = requests(&yard).await;
    assert_eq!(all.len(), 3);
    for request in &all {
        headwright::cutting::from_json(&request["order"]).expect("the contract's order");
        let pieces = request["pieces"].as_array().expect("pieces");
        assert!(pieces.iter().all(|p| p["head"] == yard.site.head.get()));
    }
    let of = |name: &str| {
        let found = all.iter().find(|r| {
            r["order"]["name"]
                .as_str()
                .is_some_and(|n| n.contains(name))
        });
        found.expect("a request").clone()
    };
    assert_eq!(
        of("crown")["order"]["stock"][0]["batch"],
        "new from Canary Yard"
    );
    assert_eq!(of("crown")["order"]["poses"], "fixed");
    // 13 3/8 of 11 1/4: the board is glued up from two.
    assert_eq!(of("board")["pieces"].as_array().map(Vec::len), Some(2));
}

#[tokio::test]
async fn a_stick_kept_for_another_job_or_too_narrow_is_left_alone() {
    let yard = a_yard().await;
    let firm = yard.firm();
    let foreman = firm.person("foreman").await;
    let (other, _) = crate::heads::an_opening(&firm.app, foreman, "OT").await;
    let narrow = headwright::stock::live_items(firm.app.db().read())
        .await
        .expect("read")
        .into_iter()
        .find(|i| i.facts.name == "Pine 1 x 4")
        .expect("the board");
    let at = made(firm).await;
    let mut work = tx(firm).await;
    for (job, width) in [
        (None, None),
        (Some(yard.site.job), None),
        (Some(other), None),
        (None, Some(len("2"))),
    ] {
        let mut facts = stick_facts(narrow.id, "90");
        (facts.job, facts.width) = (job, width);
        headwright::stock::add_offcut(&mut work, at, &facts, None)
            .await
            .expect("added");
    }
    work.commit().await.expect("kept");
    let office = firm.client_as(Role::Office).await;
    worked_out(&office, &yard).await;
    let all = requests(&yard).await;
    let cap = all.iter().find(|r| {
        r["order"]["name"]
            .as_str()
            .is_some_and(|n| n.contains("cap"))
    });
    let stock = cap.expect("the cap")["stock"]
        .as_array()
        .expect("stock")
        .clone();
    let offcuts = stock.iter().filter(|s| !s["offcut"].is_null()).count();
    assert_eq!(offcuts, 2, "{stock:?}");
}

#[tokio::test]
async fn the_waste_rule_adds_square_spares_of_no_head() {
    let yard = a_yard().await;
    let office = yard.firm().client_as(Role::Office).await;
    let head = yard.site.head.to_string();
    let fields = [
        ("head", head.as_str()),
        ("name", "With spares"),
        ("spare", "10"),
    ];
    let begun = office.send("/orders/new", "/orders/new", &fields).await;
    let yard = super::Yard {
        order: begun.location().to_owned(),
        ..yard
    };
    worked_out(&office, &yard).await;
    for request in requests(&yard).await {
        let spare = request["pieces"]
            .as_array()
            .expect("pieces")
            .iter()
            .find(|p| p["head"].is_null());
        assert_eq!(spare.expect("a spare")["label"], "spare-1");
    }
}
