//! Two locks against forms sent from elsewhere.

use headwright::access::Role;

use crate::support::{self, Client, html};

async fn filled(client: &Client, page: &str, action: &str) -> Vec<(String, String)> {
    html::form(&client.get(page).await.body, action).expect("a form")
}

fn borrowed(fields: &[(String, String)]) -> Vec<(&str, &str)> {
    fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect()
}

#[tokio::test]
async fn a_form_from_elsewhere_or_from_nowhere_changes_nothing() {
    let firm = support::a_firm().await;
    let client = firm.client_as(Role::Owner).await;
    let fields = filled(&client, "/firm/profile", "/firm/profile").await;
    let good = borrowed(&fields);
    let before = firm.dump().await;
    let own = firm.url.as_str();
    for headers in [
        vec![],
        vec![("origin", "http://elsewhere.example")],
        vec![("origin", "null")],
        vec![
            ("sec-fetch-site", "cross-site"),
            ("origin", "http://elsewhere.example"),
        ],
        vec![("sec-fetch-site", "same-site")],
    ] {
        let reply = client.post_from("/firm/profile", &good, &headers).await;
        assert_eq!(reply.status, 403, "{headers:?}");
        assert!(reply.body.contains("not sent from our own page"));
    }
    assert_eq!(firm.dump().await, before);
    let reply = client
        .post_from("/firm/profile", &good, &[("origin", own)])
        .await;
    assert_eq!(
        reply.status, 303,
        "the very same form from our own page is taken"
    );
}

#[tokio::test]
async fn a_form_needs_its_own_sessions_token() {
    let firm = support::a_firm().await;
    let (mine, theirs) = (
        firm.client_as(Role::Owner).await,
        firm.client_as(Role::Office).await,
    );
    let fields = filled(&mine, "/firm/profile", "/firm/profile").await;
    let foreign = filled(&theirs, "/firm/profile", "/firm/profile").await;
    let before = firm.dump().await;
    let token = |set: &[(String, String)]| {
        set.iter()
            .find(|(n, _)| n == "_csrf")
            .map(|(_, v)| v.clone())
            .expect("a token")
    };
    for wrong in [Some(token(&foreign)), Some(String::new()), None] {
        let mut sent = fields.clone();
        sent.retain(|(name, _)| name != "_csrf");
        sent.extend(wrong.map(|value| ("_csrf".to_owned(), value)));
        assert_eq!(
            mine.post_raw("/firm/profile", &borrowed(&sent))
                .await
                .status,
            403
        );
    }
    assert_eq!(firm.dump().await, before);
}

#[tokio::test]
async fn the_sign_in_form_is_bound_to_its_browser() {
    let firm = support::a_firm().await;
    let (mine, theirs) = (firm.anonymous(), firm.anonymous());
    let mut fields = filled(&mine, "/sign-in", "/sign-in").await;
    fields.retain(|(name, _)| name == "_csrf");
    fields.push(("sign_in".to_owned(), "owner".to_owned()));
    fields.push(("password".to_owned(), support::PASSWORD.to_owned()));
    assert_eq!(
        theirs.post_raw("/sign-in", &borrowed(&fields)).await.status,
        403
    );
    assert_eq!(
        mine.post_raw("/sign-in", &borrowed(&fields)).await.status,
        303
    );
}
