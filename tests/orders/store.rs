//! Orders in their tables.

use headwright::access::Role;
use headwright::db::StoreError;
use headwright::orders::{self, How, OrderId, Shown, SolveId};

use super::{a_yard, worked_out};
use crate::support::records::{made, tx};

fn id_of(yard: &super::Yard) -> OrderId {
    let text = yard.order.rsplit('/').next().expect("an id");
    text.parse().expect("a number")
}

#[tokio::test]
async fn an_order_is_listed_for_whoever_has_to_do_with_it() {
    let yard = a_yard().await;
    let pool = yard.firm().app.db().read();
    yard.site.give_to("carpenter").await;
    for (led_by, given_to, seen) in [
        (None, None, 1),
        (Some("foreman"), None, 1),
        (Some("foreman2"), None, 0),
        (None, Some("carpenter"), 1),
        (None, Some("carpenter2"), 0),
    ] {
        let mut shown = Shown::default();
        if let Some(name) = led_by {
            shown.led_by = Some(yard.firm().person(name).await.get());
        }
        if let Some(name) = given_to {
            shown.given_to = Some(yard.firm().person(name).await.get());
        }
        let list = orders::orders(pool, shown, (50, 0)).await.expect("read");
        assert_eq!(list.len(), seen, "{led_by:?} {given_to:?}");
    }
    let order = orders::order(pool, id_of(&yard)).await.expect("read");
    assert_eq!((order.round, order.placed, order.facts.spare), (0, None, 0));
    let missing = orders::order(pool, OrderId::new(999)).await;
    assert!(matches!(missing, Err(StoreError::Missing(_))));
}

#[tokio::test]
async fn a_result_comes_once_and_a_round_is_placed_once() {
    let yard = a_yard().await;
    let firm = yard.firm();
    let office = firm.client_as(Role::Office).await;
    worked_out(&office, &yard).await;
    let (id, pool) = (id_of(&yard), firm.app.db().read());
    let solves = orders::solves(pool, id, 1).await.expect("read");
    assert_eq!(solves.len(), 3);
    let at = made(firm).await;
    let mut work = tx(firm).await;
    let twice = orders::put_result(&mut work, at.at, solves[0].id, How::Ended, None).await;
    assert!(matches!(twice, Err(StoreError::Taken(_))));
    let early = orders::add_event(&mut work, at, (id, 1), false).await;
    assert!(matches!(early, Err(StoreError::Stale(_))), "not placed yet");
    let old = orders::add_event(&mut work, at, (id, 2), true).await;
    assert!(
        matches!(old, Err(StoreError::Stale(_))),
        "there is no round 2"
    );
    let event = orders::add_event(&mut work, at, (id, 1), true)
        .await
        .expect("placed");
    let again = orders::add_event(&mut work, at, (id, 1), true).await;
    assert!(matches!(again, Err(StoreError::Stale(_))));
    orders::cut_stick(&mut work, at, solves[0].id, 1)
        .await
        .expect("cut");
    let twice = orders::cut_stick(&mut work, at, solves[0].id, 1).await;
    assert!(matches!(twice, Err(StoreError::Taken(_))));
    work.commit().await.expect("kept");
    assert!(
        orders::purchases(pool, event)
            .await
            .expect("read")
            .is_empty()
    );
    let cut = orders::cut_sticks(pool, id, 1).await.expect("read");
    assert_eq!(cut.len(), 1);
    assert!(cut.contains_key(&(solves[0].id, 1)));
    assert!(!cut.contains_key(&(SolveId::new(999), 1)));
}

#[tokio::test]
async fn what_was_asked_and_what_came_out_never_change() {
    let yard = a_yard().await;
    let office = yard.firm().client_as(Role::Office).await;
    worked_out(&office, &yard).await;
    let mut work = tx(yard.firm()).await;
    for sql in [
        "UPDATE lumber_solve SET name = 'x'",
        "DELETE FROM lumber_solve",
        "UPDATE lumber_result SET how = 'failed'",
        "DELETE FROM lumber_result",
    ] {
        assert!(sqlx::query(sql).execute(&mut *work).await.is_err(), "{sql}");
    }
}
