//! Reading writes nothing; panics and huge posts leave the program standing.

use std::collections::BTreeSet;

use headwright::access::Role;

use crate::support::{self, Client, html};

/// Every local address linked from the pages reached from Today.
async fn crawl(client: &Client) -> BTreeSet<String> {
    let (mut seen, mut queue) = (BTreeSet::new(), vec!["/".to_owned()]);
    while let Some(path) = queue.pop() {
        if !seen.insert(path.clone()) || seen.len() > 500 {
            continue;
        }
        let reply = client.get(&path).await;
        assert!(
            reply.status < 400 || path.contains('?'),
            "{path} linked but {}",
            reply.status
        );
        let mut rest = reply.body.as_str();
        while let Some(at) = rest.find("href=\"/") {
            rest = &rest[at + 6..];
            let address = html::unescape(rest.split('"').next().unwrap_or(""));
            queue.push(address);
        }
    }
    seen
}

#[tokio::test]
async fn reading_every_page_changes_nothing_in_the_database() {
    let firm = support::a_firm().await;
    for role in Role::ALL {
        let client = firm.client_as(role).await;
        let before = firm.dump().await;
        let seen = crawl(&client).await;
        assert!(seen.len() >= 5, "{role}: {seen:?}");
        assert_eq!(firm.dump().await, before, "{role} read {seen:?}");
    }
}

#[tokio::test]
async fn a_post_above_two_megabytes_is_refused_in_words() {
    let firm = support::a_firm().await;
    let client = firm.client_as(Role::Owner).await;
    let long = "x".repeat(3 * 1024 * 1024);
    let reply = client.post_raw("/firm/profile", &[("name", &long)]).await;
    assert_eq!(reply.status, 413);
    assert!(reply.body.contains("two megabytes"));
    assert_eq!(client.get("/").await.status, 200);
}

#[tokio::test]
async fn an_error_page_tells_a_reference_and_nothing_of_the_inside() {
    let firm = support::a_firm().await;
    let reply = firm.client_as(Role::Owner).await.get("/no/such/page").await;
    assert_eq!(reply.status, 404);
    let reference = reply.header("x-request-id").to_owned();
    assert_eq!(reference.len(), 16);
    assert!(reply.body.contains(&reference));
}

#[tokio::test]
async fn a_stored_value_that_no_longer_parses_is_a_500_that_leaks_nothing() {
    let firm = support::a_firm().await;
    let client = firm.client_as(Role::Owner).await;
    let mut tx = firm.app.db().write().await.expect("a transaction");
    sqlx::query("UPDATE firm SET zone = 'Nowhere/Atall'")
        .execute(&mut *tx)
        .await
        .expect("set");
    tx.commit().await.expect("committed");
    let reply = client.get("/firm/settings").await;
    assert_eq!(reply.status, 500);
    for inside in ["zone", "Nowhere", "column", "firm, "] {
        let main = html::between(&reply.body, "<main", "</main>").expect("main");
        assert!(!main.contains(inside), "{inside} in {main}");
    }
    assert_eq!(client.get("/").await.status, 200);
}
