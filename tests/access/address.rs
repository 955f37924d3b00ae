//! Whose address counts behind a proxy, and pages that nobody has.

use std::net::IpAddr;

use axum::http::{HeaderMap, HeaderValue};
use headwright::access::{Role, client_address};

use crate::support::{self, PASSWORD};

fn ip(text: &str) -> IpAddr {
    text.parse().expect("an address")
}

fn forwarded(values: &[&str]) -> HeaderMap {
    let mut headers = HeaderMap::new();
    for value in values {
        headers.append(
            "x-forwarded-for",
            HeaderValue::from_str(value).expect("text"),
        );
    }
    headers
}

#[test]
fn only_a_trusted_proxys_word_counts_and_only_from_the_right() {
    let trusted = [ip("10.0.0.1"), ip("10.0.0.2")];
    for (peer, chain, counts) in [
        // Nobody vouches for the peer: its word is not heard.
        ("203.0.113.9", vec!["198.51.100.7"], "203.0.113.9"),
        ("10.0.0.1", vec!["198.51.100.7"], "198.51.100.7"),
        // What the browser itself claimed stands at the left.
        ("10.0.0.1", vec!["1.1.1.1, 198.51.100.7"], "198.51.100.7"),
        (
            "10.0.0.1",
            vec!["1.1.1.1", "198.51.100.7, 10.0.0.2"],
            "198.51.100.7",
        ),
        ("10.0.0.1", vec![], "10.0.0.1"),
        ("10.0.0.1", vec!["10.0.0.2"], "10.0.0.2"),
        // Nothing beyond what is no address.
        ("10.0.0.1", vec!["198.51.100.7, unknown"], "10.0.0.1"),
        (
            "10.0.0.1",
            vec!["198.51.100.7, nonsense, 10.0.0.2"],
            "10.0.0.2",
        ),
        (
            "::ffff:10.0.0.1",
            vec!["::ffff:198.51.100.7"],
            "198.51.100.7",
        ),
        ("10.0.0.1", vec!["2001:db8::5"], "2001:db8::5"),
    ] {
        let headers = forwarded(&chain);
        assert_eq!(
            client_address(ip(peer), &headers, &trusted),
            ip(counts),
            "{peer} {chain:?}"
        );
    }
    let headers = forwarded(&["198.51.100.7"]);
    assert_eq!(
        client_address(ip("10.0.0.1"), &headers, &[]),
        ip("10.0.0.1")
    );
}

async fn try_from(url: &str, from: &str, name: &str) -> u16 {
    let client = support::Client::at(url);
    let page = client.get("/sign-in").await;
    let mut fields = support::html::form(&page.body, "/sign-in").expect("the form");
    fields.retain(|(n, _)| n != "sign_in" && n != "password");
    fields.push(("sign_in".into(), name.into()));
    fields.push(("password".into(), "wrong wrong wrong".into()));
    let reply = client
        .http
        .post(format!("{url}/sign-in"))
        .header("origin", url)
        .header("x-forwarded-for", from)
        .form(&fields)
        .send()
        .await
        .expect("a reply");
    reply.status().as_u16()
}

#[tokio::test]
async fn behind_a_trusted_proxy_each_browser_is_counted_by_itself() {
    let mut rules = support::rules();
    rules.trusted_proxies = vec![ip("127.0.0.1")];
    let firm = support::start(rules, true).await;
    for n in 0..20 {
        let status = try_from(&firm.url, "198.51.100.7", &format!("nobody{n}")).await;
        assert_eq!(status, 422, "try {n}");
    }
    assert_eq!(try_from(&firm.url, "198.51.100.7", "someone").await, 429);
    assert_eq!(
        try_from(&firm.url, "1.1.1.1, 198.51.100.7", "someone").await,
        429
    );
    assert_eq!(try_from(&firm.url, "198.51.100.8", "someone").await, 422);
}

#[tokio::test]
async fn without_the_setting_a_forwarded_address_changes_nothing() {
    let firm = support::a_firm().await;
    for n in 0..20 {
        let from = format!("198.51.100.{n}");
        assert_eq!(try_from(&firm.url, &from, &format!("nobody{n}")).await, 422);
    }
    assert_eq!(try_from(&firm.url, "203.0.113.1", "someone").await, 429);
}

#[tokio::test]
async fn an_address_that_nobody_has_keeps_the_navigation_of_who_is_signed_in() {
    let firm = support::a_firm().await;
    let foreman = firm.client_as(Role::Foreman).await;
    let lost = foreman.get("/no/such/page").await;
    assert_eq!(lost.status, 404);
    assert!(lost.body.contains("href=\"/jobs\"") && lost.body.contains("Sign out"));
    let stranger = firm.anonymous().get("/no/such/page").await;
    assert_eq!(stranger.status, 404);
    assert!(!stranger.body.contains("href=\"/jobs\""));
    assert_eq!(
        firm.anonymous().sign_in("foreman", PASSWORD).await.status,
        303
    );
}
