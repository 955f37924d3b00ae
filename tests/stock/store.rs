//! Suppliers, items and lengths in their tables.

use headwright::db::StoreError;
use headwright::measure::Money;
use headwright::stock::{self, Sold, SupplierFacts};
use headwright::web::ListQuery;

use crate::support;
use crate::support::records::{
    a_length, a_supplier, an_item, item_facts, len, made, stick_facts, tx,
};

#[tokio::test]
async fn a_supplier_is_kept_changed_once_and_unique() {
    let firm = support::a_firm().await;
    let id = a_supplier(&firm, "Yard").await;
    let pool = firm.app.db().read();
    let facts = SupplierFacts {
        name: "Long Yard".into(),
        phone: "555-0100".into(),
        note: "Tuesdays".into(),
    };
    let mut work = tx(&firm).await;
    stock::change_supplier(&mut work, id, 1, &facts)
        .await
        .expect("changed");
    let stale = stock::change_supplier(&mut work, id, 1, &facts).await;
    assert!(matches!(stale, Err(StoreError::Stale(_))), "{stale:?}");
    let made = made(&firm).await;
    let twice = stock::add_supplier(&mut work, made, &facts).await;
    assert!(matches!(twice, Err(StoreError::Taken("name"))), "{twice:?}");
    work.commit().await.expect("kept");
    let read = stock::supplier(pool, id).await.expect("read");
    assert_eq!((read.facts.clone(), read.version), (facts, 2));
    assert_eq!(stock::suppliers(pool).await.expect("read"), [read]);
}

#[tokio::test]
async fn an_item_is_kept_changed_and_archived() {
    let firm = support::a_firm().await;
    let id = an_item(&firm, "Crown").await;
    let pool = firm.app.db().read();
    let mut facts = item_facts("Bed mould");
    facts.match_runs = true;
    let made = made(&firm).await;
    let mut work = tx(&firm).await;
    stock::change_item(&mut work, id, 1, &facts)
        .await
        .expect("changed");
    stock::archive_item(&mut work, made, id, 2, true)
        .await
        .expect("away");
    let stale = stock::archive_item(&mut work, made, id, 2, true).await;
    assert!(matches!(stale, Err(StoreError::Stale(_))));
    work.commit().await.expect("kept");
    let read = stock::item(pool, id).await.expect("read");
    assert_eq!((read.facts, read.version), (facts, 3));
    assert!(read.archived_at.is_some());
    assert!(stock::live_items(pool).await.expect("read").is_empty());
    let shown = stock::items(pool, &ListQuery::default())
        .await
        .expect("read");
    assert!(shown.is_empty(), "archived ones are not listed");
}

#[tokio::test]
async fn a_length_takes_the_new_price_and_goes_off_the_shelf() {
    let firm = support::a_firm().await;
    let (item, supplier) = (
        an_item(&firm, "Crown").await,
        a_supplier(&firm, "Yard").await,
    );
    a_length(&firm, item, supplier, "144", 2140).await;
    a_length(&firm, item, supplier, "144", 2250).await;
    let pool = firm.app.db().read();
    let sold = stock::lengths(pool, Some(item)).await.expect("read");
    assert_eq!(sold.len(), 1);
    let expected = Sold {
        supplier,
        length: len("144"),
        price: Money::from_cents(2250),
        lead_days: None,
    };
    assert_eq!(sold[0].1.sold, expected);
    let made = made(&firm).await;
    let mut work = tx(&firm).await;
    stock::drop_length(&mut work, made, item, sold[0].1.id)
        .await
        .expect("off");
    let twice = stock::drop_length(&mut work, made, item, sold[0].1.id).await;
    assert!(matches!(twice, Err(StoreError::Missing(_))));
    work.commit().await.expect("kept");
    assert!(stock::lengths(pool, None).await.expect("read").is_empty());
}

#[tokio::test]
async fn a_stick_keeps_what_was_typed_also_what_is_empty() {
    let firm = support::a_firm().await;
    let item = an_item(&firm, "Crown").await;
    let mut facts = stick_facts(item, "40");
    let made = made(&firm).await;
    let mut work = tx(&firm).await;
    let bare = stock::add_offcut(&mut work, made, &facts, None)
        .await
        .expect("added");
    facts.width = Some(len("1 3/4"));
    facts.batch = "HP 1".into();
    facts.defects = vec![(len("3"), len("4"))];
    stock::change_offcut(&mut work, bare, 1, &facts)
        .await
        .expect("changed");
    let stale = stock::change_offcut(&mut work, bare, 1, &facts).await;
    assert!(matches!(stale, Err(StoreError::Stale(_))));
    work.commit().await.expect("kept");
    let read = stock::offcut(firm.app.db().read(), bare)
        .await
        .expect("read");
    assert_eq!((read.facts, read.job_code, read.order), (facts, None, None));
}
