//! The pages of shelf and rack.

use headwright::access::Role;
use headwright::stock;

use crate::support;
use crate::support::records::{a_length, a_stick, a_supplier, an_item};

#[tokio::test]
async fn the_office_fills_the_shelf_and_a_carpenter_sees_no_price() {
    let firm = support::a_firm().await;
    let office = firm.client_as(Role::Office).await;
    let sent = office
        .send(
            "/stock/suppliers/new",
            "/stock/suppliers/new",
            &[("name", "Yard")],
        )
        .await;
    assert_eq!(sent.status, 303, "{}", sent.body);
    let fields = [
        ("name", "Crown"),
        ("thickness", "1 1/2"),
        ("width", "2"),
        ("keep", "14"),
    ];
    let sent = office
        .send("/stock/shelf/new", "/stock/shelf/new", &fields)
        .await;
    assert_eq!(sent.status, 303, "{}", sent.body);
    let page = sent.location().replace("?saved", "");
    let action = format!("{page}/length");
    let sent = office
        .send(
            &page,
            &action,
            &[("length", "12 ft"), ("price", "7,313.37")],
        )
        .await;
    assert_eq!(sent.status, 303, "{}", sent.body);
    assert!(office.get(&page).await.body.contains("7,313.37"));
    let carpenter = firm.client_as(Role::Carpenter).await;
    for seen in [&page, "/stock/shelf", "/stock/rack"] {
        let shown = carpenter.get(seen).await;
        assert_eq!(shown.status, 200, "{seen}");
        assert!(!shown.body.contains("313.37"), "{seen} shows a price");
    }
    assert!(carpenter.get(&page).await.body.contains("12 ft"));
    assert_eq!(carpenter.get("/stock/suppliers").await.status, 404);
}

#[tokio::test]
async fn wrong_sizes_come_back_as_typed_with_the_reason() {
    let firm = support::a_firm().await;
    let office = firm.client_as(Role::Office).await;
    let item = an_item(&firm, "Crown").await;
    let supplier = a_supplier(&firm, "Yard").await;
    a_length(&firm, item, supplier, "96", 100).await;
    let page = format!("/stock/shelf/{item}");
    for (length, price) in [
        ("0", "1.00"),
        ("-3", "1.00"),
        ("12 ft", "-1.00"),
        ("x", "y"),
    ] {
        let fields = [("length", length), ("price", price)];
        let reply = office.send(&page, &format!("{page}/length"), &fields).await;
        assert_eq!(reply.status, 422, "{length} {price}");
        assert!(reply.body.contains(&format!("value=\"{length}\"")));
    }
    let taken = office
        .send(
            "/stock/shelf/new",
            "/stock/shelf/new",
            &[
                ("name", "crown"),
                ("thickness", "1"),
                ("width", "2"),
                ("keep", "14"),
            ],
        )
        .await;
    assert_eq!(taken.status, 422);
    assert!(taken.body.contains("of this name already"));
}

#[tokio::test]
async fn any_hand_puts_a_stick_on_the_rack_and_scraps_it() {
    let firm = support::a_firm().await;
    let item = an_item(&firm, "Crown").await;
    let carpenter = firm.client_as(Role::Carpenter).await;
    let id = item.to_string();
    let fields = [
        ("item", id.as_str()),
        ("length", "31 1/4"),
        ("place", "slot 9"),
        ("defects", "3 to 4"),
    ];
    let sent = carpenter
        .send("/stock/rack/new", "/stock/rack/new", &fields)
        .await;
    assert_eq!(sent.status, 303, "{}", sent.body);
    let page = sent.location().replace("?saved", "");
    assert!(
        carpenter
            .get("/stock/rack?q=slot")
            .await
            .body
            .contains("slot 9")
    );
    let action = format!("{page}/move");
    let fields = [("do", "scrapped"), ("reason", "split from end to end")];
    assert_eq!(carpenter.send(&page, &action, &fields).await.status, 303);
    let shown = carpenter.get(&page).await.body;
    assert!(shown.contains("split from end to end") && shown.contains("scrapped"));
    let free = carpenter.get("/stock/rack?only=free").await.body;
    assert!(!free.contains("slot 9"));
    let stick = a_stick(&firm, item, "50").await;
    let edit = format!("/stock/rack/{stick}/edit");
    assert_eq!(
        carpenter
            .send(&edit, &edit, &[("place", "slot 1")])
            .await
            .status,
        303
    );
}

#[tokio::test]
async fn a_stick_stays_what_it_is_though_its_moulding_was_put_away() {
    let firm = support::a_firm().await;
    let gone = an_item(&firm, "Crown").await;
    an_item(&firm, "Apron").await;
    let stick = a_stick(&firm, gone, "50").await;
    let office = firm.client_as(Role::Office).await;
    let page = format!("/stock/shelf/{gone}");
    let away = office
        .send(&page, &format!("{page}/archive"), &[("away", "yes")])
        .await;
    assert_eq!(away.status, 303, "{}", away.body);
    let edit = format!("/stock/rack/{stick}/edit");
    assert!(office.get(&edit).await.body.contains("Crown (put away)"));
    let sent = office.send(&edit, &edit, &[("place", "slot 1")]).await;
    assert_eq!(sent.status, 303, "{}", sent.body);
    let now = stock::offcut(firm.app.db().read(), stick)
        .await
        .expect("read");
    assert_eq!(now.facts.item, gone);
}
