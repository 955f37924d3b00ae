//! The first owner, and everyone after.

use headwright::access::{self, Role};

use crate::support::{self, html};

const NEW: &str = "thirteen herons over brackish water";

#[tokio::test]
async fn an_empty_firm_opens_to_its_console_code_only() {
    let dir = tempfile::TempDir::new().expect("a folder");
    let firm = support::start_in(dir, support::rules(), false).await;
    assert_eq!(
        firm.anonymous().get("/setup").await.status,
        404,
        "no code was given out"
    );
    let code = access::new_setup_code(&firm.app, &firm.site).expect("a code");
    let first = firm.anonymous();
    let answer = [
        ("code", "aaaaaaaaaaaaaaaaaaaaaaaaaa"),
        ("name", "Perpetua Quill"),
        ("sign_in", "perpetua"),
        ("password", NEW),
        ("password_again", NEW),
    ];
    let wrong = first.send("/setup", "/setup", &answer).await;
    assert_eq!(wrong.status, 422);
    assert!(
        wrong.body.contains("value=\"Perpetua Quill\""),
        "what was typed stays"
    );
    let mut right = answer;
    right[0].1 = &code;
    assert_eq!(first.send("/setup", "/setup", &right).await.status, 303);
    assert_eq!(
        first.get("/firm/people").await.status,
        200,
        "the first person is the owner"
    );
    assert_eq!(
        firm.anonymous().get("/setup").await.status,
        404,
        "once only"
    );
}

#[tokio::test]
async fn an_invite_works_once_within_three_days() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let fields = [("name", "Perpetua Quill"), ("role", "carpenter")];
    let made = owner.send("/firm/people", "/firm/people", &fields).await;
    assert_eq!(made.status, 200);
    let link = html::between(&made.body, "code\">", "<")
        .expect("the link")
        .to_owned();
    assert_eq!(link.len(), "/join/".len() + 26, "128 bits in base 32");
    assert!(
        !firm.dump().await.contains(&link["/join/".len()..]),
        "only its SHA-256 is kept"
    );
    let new = firm.anonymous();
    let answer = [
        ("sign_in", "perpetua"),
        ("password", NEW),
        ("password_again", NEW),
    ];
    let weak = [
        ("sign_in", "perpetua"),
        ("password", "short"),
        ("password_again", "short"),
    ];
    assert_eq!(new.send(&link, &link, &weak).await.status, 422);
    assert_eq!(
        new.send(&link, &link, &[("sign_in", "owner"), answer[1], answer[2]])
            .await
            .status,
        422
    );
    assert_eq!(new.send(&link, &link, &answer).await.status, 303);
    assert_eq!(new.get("/").await.status, 200);
    assert_eq!(firm.anonymous().get(&link).await.status, 410);
}

#[tokio::test]
async fn an_old_or_withdrawn_invite_is_gone() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let fields = [("name", "Perpetua Quill"), ("role", "office")];
    let made = owner.send("/firm/people", "/firm/people", &fields).await;
    let link = html::between(&made.body, "code\">", "<")
        .expect("the link")
        .to_owned();
    assert_eq!(firm.anonymous().get(&link).await.status, 200);
    let withdraw = html::between(&made.body, "action=\"/firm/invites/", "\"").expect("a button");
    let action = format!("/firm/invites/{withdraw}");
    assert_eq!(owner.send_from(&made, &action, &[]).await.status, 303);
    assert_eq!(firm.anonymous().get(&link).await.status, 410);
    let made = owner.send("/firm/people", "/firm/people", &fields).await;
    let link = html::between(&made.body, "code\">", "<")
        .expect("the link")
        .to_owned();
    firm.later(72 * 3600);
    assert_eq!(firm.anonymous().get(&link).await.status, 410);
}

#[tokio::test]
async fn a_replayed_invite_shows_the_same_link() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let page = owner.get("/firm/people").await;
    let fields = [("name", "Perpetua Quill"), ("role", "office")];
    let first = owner.send_from(&page, "/firm/people", &fields).await;
    let second = owner.send_from(&page, "/firm/people", &fields).await;
    let link = |body: &str| html::between(body, "code\">", "<").map(str::to_owned);
    assert!(link(&first.body).is_some());
    assert_eq!(link(&first.body), link(&second.body));
    let open = access::invites(firm.app.db().read(), firm.app.now())
        .await
        .expect("invites");
    assert_eq!(open.len(), 1);
}
