//! A stick of the rack is never counted twice.

use headwright::access::Role;
use headwright::db::StoreError;
use headwright::stock::{self, RackState, StockMove};

use crate::support::records::{a_stick, an_item, made, tx};
use crate::support::{self, TestApp};

async fn moved(firm: &TestApp, id: stock::OffcutId, what: StockMove, order: Option<i64>) -> bool {
    let made = made(firm).await;
    let mut work = tx(firm).await;
    let done = stock::move_offcut(&mut work, made, id, what, order, "").await;
    match done {
        Ok(()) => {
            work.commit().await.expect("kept");
            true
        }
        Err(StoreError::Stale("offcut")) => false,
        Err(other) => panic!("{other}"),
    }
}

/// Every move from every state, written out by hand.
#[tokio::test]
async fn only_what_is_there_can_be_moved() {
    use StockMove::{Racked, Released, Reserved, Scrapped, Used};
    let firm = support::a_firm().await;
    let item = an_item(&firm, "Crown").await;
    let ways: [(&[StockMove], &[StockMove]); 5] = [
        (&[], &[Reserved, Used, Scrapped]),
        (&[Reserved], &[Released, Used, Scrapped]),
        (&[Reserved, Released], &[Reserved, Used, Scrapped]),
        (&[Used], &[]),
        (&[Scrapped], &[Racked]),
    ];
    for (before, allowed) in ways {
        for what in StockMove::ALL {
            let stick = a_stick(&firm, item, "40").await;
            for step in before {
                assert!(moved(&firm, stick, *step, None).await);
            }
            let done = moved(&firm, stick, *what, None).await;
            assert_eq!(done, allowed.contains(what), "{before:?} then {what:?}");
        }
    }
}

#[tokio::test]
async fn a_reserved_stick_is_used_by_its_own_order_only() {
    let firm = support::a_firm().await;
    let item = an_item(&firm, "Crown").await;
    let stick = a_stick(&firm, item, "40").await;
    assert!(moved(&firm, stick, StockMove::Reserved, Some(7)).await);
    assert!(!moved(&firm, stick, StockMove::Used, Some(8)).await);
    assert!(!moved(&firm, stick, StockMove::Released, Some(8)).await);
    assert!(moved(&firm, stick, StockMove::Used, Some(7)).await);
    let read = stock::offcut(firm.app.db().read(), stick)
        .await
        .expect("read");
    assert_eq!((read.state, read.order), (RackState::Used, Some(7)));
    let past = stock::moves(firm.app.db().read(), stick)
        .await
        .expect("read");
    assert_eq!(past.len(), 3);
    assert!(
        stock::free_of(firm.app.db().read(), item)
            .await
            .expect("read")
            .is_empty()
    );
}

#[tokio::test]
async fn of_twenty_orders_that_want_a_stick_one_gets_it() {
    let firm = support::a_firm().await;
    let item = an_item(&firm, "Crown").await;
    let stick = a_stick(&firm, item, "40").await;
    let at = made(&firm).await;
    let racers = (1..=20).map(|order| {
        let app = firm.app.clone();
        tokio::spawn(async move {
            let mut work = app.db().write().await.expect("the writer");
            let what = StockMove::Reserved;
            let done = stock::move_offcut(&mut work, at, stick, what, Some(order), "").await;
            if done.is_ok() {
                work.commit().await.expect("kept");
            }
            done.is_ok()
        })
    });
    let mut won = 0;
    for racer in racers.collect::<Vec<_>>() {
        won += u32::from(racer.await.expect("a racer"));
    }
    assert_eq!(won, 1);
}

/// The table itself refuses, whoever writes to it.
#[tokio::test]
async fn the_table_takes_no_illegal_move_and_forgets_none() {
    let firm = support::a_firm().await;
    let item = an_item(&firm, "Crown").await;
    let stick = a_stick(&firm, item, "40").await;
    let mut work = tx(&firm).await;
    for (nth, what) in [(2, "racked"), (2, "released"), (3, "used"), (1, "used")] {
        let row = sqlx::query(
            "INSERT INTO stock_move (created_at, offcut_id, nth, what) VALUES (0, ?, ?, ?)",
        )
        .bind(stick.get())
        .bind(nth)
        .bind(what)
        .execute(&mut *work)
        .await;
        assert!(row.is_err(), "{nth} {what}");
    }
    let change = sqlx::query("UPDATE stock_move SET what = 'used'")
        .execute(&mut *work)
        .await;
    assert!(change.is_err());
    let gone = sqlx::query("DELETE FROM stock_move")
        .execute(&mut *work)
        .await;
    assert!(gone.is_err());
}

#[tokio::test]
async fn of_two_hands_that_take_a_stick_one_is_told() {
    let firm = support::a_firm().await;
    let item = an_item(&firm, "Crown").await;
    let stick = a_stick(&firm, item, "40").await;
    let (page, action) = (
        format!("/stock/rack/{stick}"),
        format!("/stock/rack/{stick}/move"),
    );
    let carpenter = firm.client_as(Role::Carpenter).await;
    let foreman = firm.client_as(Role::Foreman).await;
    let (one, two) = (carpenter.get(&page).await, foreman.get(&page).await);
    let fields = [("do", "used"), ("reason", "a drip edge")];
    assert_eq!(
        carpenter.send_from(&one, &action, &fields).await.status,
        303
    );
    let late = foreman.send_from(&two, &action, &fields).await;
    assert_eq!(late.status, 422);
    assert!(late.body.contains("stands otherwise by now"));
}
