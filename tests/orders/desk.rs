//! Searches that take long: shown on their way, stopped, ended by the clock.

use std::time::Duration;

use headwright::access::Role;
use headwright::orders::{self, Desk, OrderId, Request, SolveId};
use serde_json::json;

use super::{Yard, a_yard, settled};
use crate::support::records::{made, tx};

/// Two hundred lengths of a third to a fifth of the only stick, next to no
/// room to spare: minutes in a program built for tests.
fn a_hard_request() -> Request {
    let mut state = 7u64;
    let pieces: Vec<_> = (0..200)
        .map(|i| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            let long = 20_000 + (state >> 33) % 15_001;
            json!({"label": format!("p{i}"), "length": long})
        })
        .collect();
    Request {
        order: json!({
            "unit": "mm", "kerf": 0, "end_trim": 0,
            "stock": [{"id": "bar", "length": 100_000, "price_cents": 900}],
            "pieces": pieces,
        }),
        pieces: Vec::new(),
        stock: Vec::new(),
        width_in: 2.0,
        match_runs: false,
    }
}

/// Begins the hard search as one of the order's mouldings.
async fn begun(yard: &Yard) -> SolveId {
    let app = &yard.firm().app;
    let id: OrderId = yard
        .order
        .rsplit('/')
        .next()
        .and_then(|text| text.parse().ok())
        .expect("an id");
    let (request, at) = (a_hard_request(), made(yard.firm()).await);
    let mut work = tx(yard.firm()).await;
    let solve = orders::add_solve(&mut work, at, (id, 1), ("bars", yard.crown), &request)
        .await
        .expect("asked");
    work.commit().await.expect("kept");
    let desk = app.hook::<Desk>().expect("a desk");
    desk.start(app.clone(), solve, request, 20);
    for _ in 0..1200 {
        if desk.told(solve).is_some_and(|told| told.begun.is_some()) {
            return solve;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("the search never begins");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_long_search_shows_itself_and_stops_with_the_best_so_far() {
    let yard = a_yard().await;
    begun(&yard).await;
    let office = yard.firm().client_as(Role::Office).await;
    let page = office.get(&yard.order).await;
    assert!(page.body.contains("being worked out for"), "{}", page.body);
    assert!(page.body.contains("data-progress"), "{}", page.body);
    let early = office.get(&yard.at("/progress")).await;
    assert!(early.body.contains("\"running\":1"), "{}", early.body);
    let stop = office.send_from(&page, &yard.at("/stop"), &[]).await;
    assert_eq!(stop.status, 303, "{}", stop.body);
    let page = settled(&office, &yard).await;
    assert!(
        page.body.contains("stopped, with the best so far"),
        "{}",
        page.body
    );
    assert!(
        page.body.contains("could be saved"),
        "the gap in words: {}",
        page.body
    );
    assert!(
        page.body.contains("Make the purchase list"),
        "{}",
        page.body
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn a_search_ends_at_its_time_limit_with_what_could_still_be_saved() {
    let yard = a_yard().await;
    begun(&yard).await;
    yard.firm().later(21);
    let office = yard.firm().client_as(Role::Office).await;
    let page = settled(&office, &yard).await;
    assert!(page.body.contains("worked out"), "{}", page.body);
    assert!(
        page.body.contains("could be saved"),
        "the gap in words: {}",
        page.body
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn a_stop_of_the_program_ends_every_search() {
    let yard = a_yard().await;
    let solve = begun(&yard).await;
    let app = yard.firm().app.clone();
    yard.site.firm.stop().await;
    let desk = app.hook::<Desk>().expect("a desk");
    for _ in 0..600 {
        if desk.told(solve).is_none() {
            return;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("a search outlives the program");
}
