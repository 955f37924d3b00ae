//! Lumber orders: from chosen heads to the stick that is cut.

mod build;
mod desk;
mod flow;
mod store;

use std::time::Duration;

use headwright::access::Role;
use headwright::stock::{Flip, ItemFacts, StockForm, StockItemId};

use crate::heads::{Site, a_site};
use crate::support::records::{a_length, a_supplier, an_item_of, item_facts, len};
use crate::support::{Client, Reply, TestApp};

/// A firm with a head to order, a shelf for all of it and a supplier.
pub struct Yard {
    pub site: Site,
    pub crown: StockItemId,
    pub order: String,
}

impl Yard {
    pub fn firm(&self) -> &TestApp {
        &self.site.firm
    }

    /// The address of the order's page, with more behind it.
    pub fn at(&self, more: &str) -> String {
        format!("{}{more}", self.order)
    }
}

/// A board of the shelf.
pub fn a_board(name: &str, width: &str) -> ItemFacts {
    ItemFacts {
        form: StockForm::Board,
        width: len(width),
        thickness: len("3/4"),
        flip: Flip::Any,
        keep: len("18"),
        ..item_facts(name)
    }
}

/// The shelf filled, an order begun by the office for the site's head.
pub async fn a_yard() -> Yard {
    let site = a_site().await;
    let firm = &site.firm;
    let supplier = a_supplier(firm, "Canary Yard").await;
    let mut crown = item_facts("Crown");
    crown.match_runs = true;
    let crown = an_item_of(firm, &crown).await;
    let narrow = an_item_of(firm, &a_board("Pine 1 x 4", "3 1/2")).await;
    let wide = an_item_of(firm, &a_board("Pine 1 x 12", "11 1/4")).await;
    for (item, long, cents) in [
        (crown, "96", 731_337),
        (crown, "144", 1_031_337),
        (narrow, "96", 31_337),
        (wide, "144", 91_337),
    ] {
        a_length(firm, item, supplier, long, cents).await;
    }
    let office = firm.client_as(Role::Office).await;
    let head = site.head.to_string();
    let fields = [
        ("head", head.as_str()),
        ("name", "First lot"),
        ("spare", "0"),
    ];
    let begun = office.send("/orders/new", "/orders/new", &fields).await;
    assert_eq!(begun.status, 303, "{}", begun.body);
    let order = begun.location().to_owned();
    Yard { site, crown, order }
}

/// Sends the order's form: keys and items as the page has them.
pub async fn worked_out(client: &Client, yard: &Yard) -> Reply {
    let page = client.get(&yard.order).await;
    let sent = client.send_from(&page, &yard.at("/solve"), &[]).await;
    assert_eq!(sent.status, 303, "{}", sent.body);
    settled(client, yard).await
}

/// Waits until nothing is being worked out.
pub async fn settled(client: &Client, yard: &Yard) -> Reply {
    for _ in 0..600 {
        let now = client.get(&yard.at("/progress")).await;
        assert_eq!(now.status, 200, "{}", now.body);
        if now.body.contains("\"running\":0") {
            return client.get(&yard.order).await;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("an order is worked out for ever");
}
