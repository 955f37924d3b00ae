//! The whole way through the pages, and what must not happen on it.

use headwright::access::Role;
use headwright::heads;
use headwright::stock::{self, RackState, StockMove};

use serde_json::json;

use super::{a_yard, settled, worked_out};
use crate::support::html::{between, unescape};
use crate::support::records::{a_stick, made, tx};

/// Solve and stick numbers of the plan's tick forms.
fn sticks(page: &str) -> Vec<(String, String)> {
    page.split("name=\"solve\" value=\"")
        .skip(1)
        .map(|rest| {
            let solve = rest.split('"').next().unwrap_or("").to_owned();
            let stick = between(rest, "name=\"stick\" value=\"", "\"").unwrap_or("");
            (solve, stick.to_owned())
        })
        .collect()
}

#[tokio::test]
async fn heads_become_an_order_a_purchase_list_and_sticks_that_are_cut() {
    let yard = a_yard().await;
    let firm = yard.firm();
    let free = a_stick(firm, yard.crown, "31 1/4").await;
    let office = firm.client_as(Role::Office).await;
    let page = office.get(&yard.order).await;
    assert_eq!(page.status, 200, "{}", page.body);
    for words in [
        "crown 1 1/2",
        "cap, drop 3/4",
        "board 3/4",
        "crown-14",
        "drop-2",
    ] {
        assert!(
            unescape(&page.body).contains(words),
            "no {words}: {}",
            page.body
        );
    }
    let page = worked_out(&office, &yard).await;
    assert!(
        page.body.contains("No cheaper order is possible"),
        "{}",
        page.body
    );
    assert!(
        page.body.contains("Make the purchase list"),
        "{}",
        page.body
    );
    let placed = office.send_from(&page, &yard.at("/place"), &[]).await;
    assert_eq!(placed.status, 303, "{}", placed.body);
    let list = office.get(placed.location()).await;
    assert!(list.body.contains("Canary Yard") && list.body.contains("913.37"));
    assert!(list.body.contains("all of one mill run"), "{}", list.body);
    let reserved = stock::offcut(firm.app.db().read(), free)
        .await
        .expect("read");
    // The offcut is of an unknown mill run, so the crown of one run cannot be
    // begun on it; it stays free.
    assert_eq!(reserved.state, RackState::Free);

    yard.site.give_to("carpenter").await;
    let carpenter = firm.client_as(Role::Carpenter).await;
    let plan = carpenter.get(&yard.at("/sticks")).await;
    assert_eq!(plan.status, 200, "{}", plan.body);
    let all = sticks(&plan.body);
    assert!(all.len() >= 3, "{all:?}");
    for (nth, (solve, stick)) in all.iter().enumerate() {
        let page = carpenter.get(&yard.at("/sticks")).await;
        let key = format!("stick-test-key-{nth:04}");
        let fields = [
            ("_key", key.as_str()),
            ("solve", solve),
            ("stick", stick),
            ("place", "slot 9"),
        ];
        let cut = carpenter.send_from(&page, &yard.at("/cut"), &fields).await;
        assert_eq!(cut.status, 303, "{}", cut.body);
    }
    let done = carpenter.get(&yard.at("/sticks")).await;
    assert!(
        done.body.contains(&format!("{0} of {0}", all.len())),
        "{}",
        done.body
    );
    let rack = carpenter.get("/stock/rack?q=slot+9").await;
    assert!(
        rack.body.contains("slot 9"),
        "left-overs lie on the rack: {}",
        rack.body
    );
    let sheet = carpenter
        .get(&format!("/heads/{}/sheet", yard.site.head))
        .await;
    assert!(
        sheet.body.contains("18, 18 cut"),
        "every piece is ticked on its sheet"
    );
    let office_says = office.get(&yard.order).await;
    let back = office.send_from(&office_says, &yard.at("/back"), &[]).await;
    assert_eq!(back.status, 409, "what is cut cannot be taken back");
}

#[tokio::test]
async fn a_carpenter_sees_no_price_of_an_order() {
    let yard = a_yard().await;
    let office = yard.firm().client_as(Role::Office).await;
    let page = worked_out(&office, &yard).await;
    let placed = office.send_from(&page, &yard.at("/place"), &[]).await;
    assert_eq!(placed.status, 303, "{}", placed.body);
    yard.site.give_to("carpenter").await;
    let carpenter = yard.firm().client_as(Role::Carpenter).await;
    for more in ["", "/purchase", "/progress"] {
        assert_eq!(carpenter.get(&yard.at(more)).await.status, 404, "{more}");
    }
    for page in [
        "/orders".to_owned(),
        yard.at("/sticks"),
        "/stock/rack".to_owned(),
    ] {
        let shown = carpenter.get(&page).await;
        assert_eq!(shown.status, 200, "{page}");
        for canary in ["313.37", "31337", "913.37"] {
            assert!(!shown.body.contains(canary), "{page} shows a price");
        }
    }
    let other = yard.firm().signed_in("carpenter2").await;
    assert_eq!(other.get(&yard.at("/sticks")).await.status, 404);
    assert!(!other.get("/orders").await.body.contains("First lot"));
}

#[tokio::test]
async fn a_stick_is_cut_once_however_often_it_is_told() {
    let yard = a_yard().await;
    let firm = yard.firm();
    let office = firm.client_as(Role::Office).await;
    let page = worked_out(&office, &yard).await;
    office.send_from(&page, &yard.at("/place"), &[]).await;
    yard.site.give_to("carpenter").await;
    let carpenter = firm.client_as(Role::Carpenter).await;
    let plan = carpenter.get(&yard.at("/sticks")).await;
    let (solve, stick) = sticks(&plan.body).remove(0);
    let taps = (0..12).map(|nth| {
        let (client, plan) = (carpenter.clone(), plan.clone());
        let (solve, stick, action) = (solve.clone(), stick.clone(), yard.at("/cut"));
        tokio::spawn(async move {
            // Half of them are the same tap again, half are other taps.
            let key = format!("racing-key-number-{}", nth / 2);
            let fields = [("_key", key.as_str()), ("solve", &solve), ("stick", &stick)];
            client.send_from(&plan, &action, &fields).await.status
        })
    });
    let mut won = 0;
    for tap in taps.collect::<Vec<_>>() {
        let status = tap.await.expect("a tap");
        assert!(status == 303 || status == 409, "{status}");
        won += u32::from(status == 303);
    }
    assert!(won == 1 || won == 2, "one tap and its own echo: {won}");
    let dump = firm.dump().await;
    assert_eq!(dump.matches("order.stick-cut").count(), 1);
}

#[tokio::test]
async fn a_stick_of_the_rack_is_reserved_by_one_order_and_freed_again() {
    let yard = a_yard().await;
    let firm = yard.firm();
    // A whole crown's worth, free of charge: every order wants it.
    let stick = a_stick(firm, yard.crown, "143").await;
    let office = firm.client_as(Role::Office).await;
    let page = worked_out(&office, &yard).await;
    assert!(
        page.body.contains(&format!("R{stick}")),
        "the rack is used first"
    );
    let head = yard.site.head.to_string();
    let fields = [("head", head.as_str()), ("name", "Second"), ("spare", "0")];
    let second = office.send("/orders/new", "/orders/new", &fields).await;
    let second = super::Yard {
        order: second.location().to_owned(),
        site: yard.site,
        crown: yard.crown,
    };
    let other = worked_out(&office, &second).await;
    let placed = office
        .send_from(&page, &format!("{}/place", yard.order), &[])
        .await;
    assert_eq!(placed.status, 303, "{}", placed.body);
    let late = office.send_from(&other, &second.at("/place"), &[]).await;
    assert_eq!(late.status, 422, "{}", late.body);
    assert!(late.body.contains("gone or spoken for"), "{}", late.body);
    let pool = second.firm().app.db().read();
    let held = stock::offcut(pool, stick).await.expect("read");
    assert_eq!(held.state, RackState::Reserved);
    let shown = office.get(&yard.order).await;
    let back = office
        .send_from(&shown, &format!("{}/back", yard.order), &[])
        .await;
    assert_eq!(back.status, 303, "{}", back.body);
    let freed = stock::offcut(pool, stick).await.expect("read");
    assert_eq!(freed.state, RackState::Free);
    let again = office.get(&second.order).await;
    let placed = office.send_from(&again, &second.at("/place"), &[]).await;
    assert_eq!(placed.status, 303, "now it is free: {}", placed.body);
}

#[tokio::test]
async fn a_stick_that_is_gone_cannot_be_cut() {
    let yard = a_yard().await;
    let firm = yard.firm();
    let stick = a_stick(firm, yard.crown, "143").await;
    let office = firm.client_as(Role::Office).await;
    let page = worked_out(&office, &yard).await;
    office.send_from(&page, &yard.at("/place"), &[]).await;
    let at = made(firm).await;
    let mut work = tx(firm).await;
    stock::move_offcut(&mut work, at, stick, StockMove::Scrapped, None, "split")
        .await
        .expect("scrapped");
    work.commit().await.expect("kept");
    yard.site.give_to("carpenter").await;
    let carpenter = firm.client_as(Role::Carpenter).await;
    let plan = carpenter.get(&yard.at("/sticks")).await;
    let mut refused = 0;
    for (nth, (solve, stick)) in sticks(&plan.body).iter().enumerate() {
        let key = format!("gone-stick-key-{nth:04}");
        let fields = [("_key", key.as_str()), ("solve", solve), ("stick", stick)];
        let reply = carpenter.send_from(&plan, &yard.at("/cut"), &fields).await;
        if reply.status == 409 {
            assert!(reply.body.contains("used or scrapped"), "{}", reply.body);
            refused += 1;
        }
    }
    assert_eq!(refused, 1);
}

#[tokio::test]
async fn a_search_is_stopped_with_the_best_so_far() {
    let yard = a_yard().await;
    let office = yard.firm().client_as(Role::Office).await;
    let page = office.get(&yard.order).await;
    office.send_from(&page, &yard.at("/solve"), &[]).await;
    let running = office.get(&yard.order).await;
    if running.body.contains("Stop with the best so far") {
        let stop = office.send_from(&running, &yard.at("/stop"), &[]).await;
        assert_eq!(stop.status, 303, "{}", stop.body);
    }
    let page = settled(&office, &yard).await;
    assert!(
        page.body.contains("Make the purchase list"),
        "{}",
        page.body
    );
}

#[tokio::test]
async fn an_order_broken_off_by_a_restart_says_so_and_is_worked_out_again() {
    let yard = a_yard().await;
    let firm = yard.firm();
    // A row without a result and without a search: what a restart leaves.
    let mut work = tx(firm).await;
    let id: i64 = yard
        .order
        .rsplit('/')
        .next()
        .and_then(|t| t.parse().ok())
        .expect("an id");
    sqlx::query(
        "INSERT INTO lumber_solve (created_at, order_id, round, name, item_id, request)
         VALUES (0, ?, 1, 'crown', ?, ?)",
    )
    .bind(id)
    .bind(yard.crown.get())
    .bind(r#"{"order":{},"pieces":[],"stock":[],"width_in":2.0,"match_runs":false}"#)
    .execute(&mut *work)
    .await
    .expect("a row");
    work.commit().await.expect("kept");
    let office = firm.client_as(Role::Office).await;
    let page = office.get(&yard.order).await;
    assert!(
        page.body.contains("broken off when the program stopped"),
        "{}",
        page.body
    );
    let placed = office.send_from(&page, &yard.at("/solve"), &[]).await;
    assert_eq!(placed.status, 303);
    assert!(
        settled(&office, &yard)
            .await
            .body
            .contains("Make the purchase list")
    );
}

#[tokio::test]
async fn a_head_changed_after_the_order_is_told_where_it_matters() {
    let yard = a_yard().await;
    let firm = yard.firm();
    let office = firm.client_as(Role::Office).await;
    let page = worked_out(&office, &yard).await;
    let placed = office.send_from(&page, &yard.at("/place"), &[]).await;
    assert_eq!(placed.status, 303, "{}", placed.body);
    assert!(
        !office
            .get(&yard.order)
            .await
            .body
            .contains("was changed since")
    );
    let version = yard.site.version().await;
    let at = made(firm).await;
    let mut work = tx(firm).await;
    let built = json!({"left_rake": "15 5/8"});
    heads::measure(&mut work, at, (yard.site.head, version), Some(&built))
        .await
        .expect("measured");
    work.commit().await.expect("kept");
    yard.site.give_to("carpenter").await;
    let carpenter = firm.client_as(Role::Carpenter).await;
    for (client, page) in [
        (&office, yard.order.clone()),
        (&carpenter, yard.at("/sticks")),
    ] {
        let shown = client.get(&page).await;
        assert!(
            shown.body.contains("Porch was changed since"),
            "{page}: {}",
            shown.body
        );
    }
}
