//! Signing in: delays that grow, that others do not feel, that outlive a restart.

use headwright::access::{Role, wait};
use headwright::db::Stamp;

use crate::support::{self, PASSWORD};

#[tokio::test]
async fn a_page_without_a_session_is_the_sign_in_form_with_401() {
    let firm = support::a_firm().await;
    let reply = firm.anonymous().get("/firm/profile").await;
    assert_eq!(reply.status, 401);
    assert!(reply.body.contains("action=\"/sign-in\""));
    assert!(
        reply.body.contains("value=\"/firm/profile\""),
        "comes back after signing in"
    );
}

#[tokio::test]
async fn sign_in_leads_back_to_a_local_page_only() {
    let firm = support::a_firm().await;
    for (next, lands) in [
        ("/firm/profile", "/firm/profile"),
        ("//elsewhere.example/", "/"),
        ("https://elsewhere.example/", "/"),
        ("/\\elsewhere.example", "/"),
        ("", "/"),
    ] {
        let client = firm.anonymous();
        let fields = [("sign_in", "owner"), ("password", PASSWORD), ("next", next)];
        let reply = client.send("/sign-in", "/sign-in", &fields).await;
        assert_eq!(
            (reply.status, reply.location()),
            (303, lands),
            "next {next:?}"
        );
    }
}

#[tokio::test]
async fn a_wrong_password_and_an_unknown_name_get_the_same_words() {
    let firm = support::a_firm().await;
    let words = |body: &str| support::html::between(body, "<li>", "</li>").map(str::to_owned);
    let known = firm
        .anonymous()
        .sign_in("owner", "not the password at all")
        .await;
    let unknown = firm
        .anonymous()
        .sign_in("nobody", "not the password at all")
        .await;
    assert_eq!((known.status, unknown.status), (422, 422));
    assert_eq!(words(&known.body), words(&unknown.body));
    assert!(words(&known.body).is_some());
    assert!(
        !known.body.contains("not the password at all"),
        "a password is never shown again"
    );
    assert!(
        known.body.contains("value=\"owner\""),
        "the name typed stays"
    );
}

#[tokio::test]
async fn the_sixth_try_waits_and_others_do_not() {
    let firm = support::a_firm().await;
    for _ in 0..5 {
        assert_eq!(
            firm.anonymous()
                .sign_in("office", "wrong wrong wrong")
                .await
                .status,
            422
        );
    }
    let sixth = firm.anonymous().sign_in("office", PASSWORD).await;
    assert_eq!(sixth.status, 429);
    let wait: u64 = sixth.header("retry-after").parse().expect("seconds");
    assert!((1..=15).contains(&wait), "{wait}");
    assert_eq!(
        firm.anonymous().sign_in("owner", PASSWORD).await.status,
        303
    );
    firm.later(wait);
    assert_eq!(
        firm.anonymous().sign_in("office", PASSWORD).await.status,
        303
    );
}

#[tokio::test]
async fn delays_outlive_a_restart() {
    let firm = support::a_firm().await;
    for _ in 0..5 {
        firm.anonymous()
            .sign_in("foreman", "wrong wrong wrong")
            .await;
    }
    let firm = support::start_in(firm.stop().await, support::rules(), true).await;
    assert_eq!(
        firm.anonymous().sign_in("foreman", PASSWORD).await.status,
        429
    );
}

#[tokio::test]
async fn twenty_misses_from_one_address_make_it_wait_whatever_it_says_of_itself() {
    let firm = support::a_firm().await;
    for n in 0..20 {
        let name = format!("guess{n}");
        assert_eq!(
            firm.anonymous()
                .sign_in(&name, "wrong wrong wrong")
                .await
                .status,
            422
        );
    }
    assert_eq!(
        firm.anonymous().sign_in("owner", PASSWORD).await.status,
        429
    );
    let client = firm.anonymous();
    let page = client.get("/sign-in").await;
    let mut fields = support::html::form(&page.body, "/sign-in").expect("the form");
    fields.retain(|(name, _)| name != "sign_in" && name != "password");
    let mut all: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    all.extend([("sign_in", "owner"), ("password", PASSWORD)]);
    let forged = [
        ("origin", firm.url.as_str()),
        ("x-forwarded-for", "203.0.113.9"),
    ];
    assert_eq!(
        client.post_from("/sign-in", &all, &forged).await.status,
        429
    );
}

#[tokio::test]
async fn a_hundred_tries_at_once_count_as_a_hundred() {
    let firm = support::a_firm().await;
    let tries = (0..12).map(|_| {
        let client = firm.anonymous();
        tokio::spawn(async move {
            client
                .sign_in("carpenter", "wrong wrong wrong")
                .await
                .status
        })
    });
    let mut let_through = 0;
    for task in tries.collect::<Vec<_>>() {
        let status = task.await.expect("a try");
        assert!(status == 422 || status == 429, "{status}");
        let_through += usize::from(status == 422);
    }
    assert_eq!(let_through, 5, "five are checked, the rest wait");
}

#[test]
fn the_wait_doubles_from_15_seconds_to_15_minutes() {
    let at = Stamp::from_millis;
    let seconds = |misses| wait(misses, at(0), at(0), 5).map_or(0, |left| left.as_secs());
    assert_eq!(seconds(4), 0);
    assert_eq!(
        [5, 6, 7, 8, 9, 10].map(seconds),
        [15, 30, 60, 120, 240, 480]
    );
    assert_eq!(
        [11, 12, 40, 100_000].map(seconds),
        [900; 4],
        "never more, never for ever"
    );
    assert_eq!(wait(5, at(0), at(15_000), 5), None);
    assert_eq!(
        wait(5, at(9_000), at(0), 5).map(|d| d.as_secs()),
        Some(15),
        "the clock went back"
    );
}

#[tokio::test]
async fn more_requests_than_allowed_in_a_minute_wait() {
    let rules = headwright::web::Rules {
        per_minute: 10,
        ..support::rules()
    };
    let firm = support::start(rules, true).await;
    let (busy, other) = (
        firm.client_as(Role::Owner).await,
        firm.client_as(Role::Office).await,
    );
    for _ in 0..10 {
        assert_eq!(busy.get("/").await.status, 200);
    }
    let over = busy.get("/").await;
    assert_eq!(over.status, 429);
    assert!(!over.header("retry-after").is_empty());
    assert_eq!(other.get("/").await.status, 200);
    firm.later(60);
    assert_eq!(busy.get("/").await.status, 200);
}
