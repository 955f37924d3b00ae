//! A session that ends under a half-filled form loses nothing typed.

use headwright::access::Role;

use crate::support::{self, PASSWORD, html};

const PROFILE: &str = "/firm/profile";

#[tokio::test]
async fn a_form_sent_after_the_session_ended_is_kept_through_the_sign_in() {
    let firm = support::a_firm().await;
    let client = firm.client_as(Role::Office).await;
    let page = client.get(PROFILE).await;
    firm.later(9 * 3600);
    let before = firm.dump().await;
    let fields = [("name", "Osric \"Ossie\" <F>"), ("phone", "555 0188")];
    let ended = client.send_from(&page, PROFILE, &fields).await;
    assert_eq!(ended.status, 401);
    assert!(ended.body.contains("what you typed is kept"));
    assert_eq!(firm.dump().await, before, "nothing was saved");
    let wrong = [("sign_in", "office"), ("password", "wrong wrong wrong")];
    let refused = client.send_from(&ended, "/sign-in", &wrong).await;
    assert_eq!(refused.status, 422);
    let right = [("sign_in", "office"), ("password", PASSWORD)];
    let kept = client.send_from(&refused, "/sign-in", &right).await;
    assert_eq!(kept.status, 200);
    assert!(html::unescape(&kept.body).contains("Osric \"Ossie\" <F>"));
    assert!(!kept.body.contains("<F>"), "shown escaped");
    assert_eq!(client.send_from(&kept, PROFILE, &[]).await.status, 303);
    assert!(
        client
            .get(PROFILE)
            .await
            .body
            .contains("value=\"555 0188\"")
    );
}

#[tokio::test]
async fn a_weighty_form_sent_too_late_waits_for_the_password() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let page = owner.get("/firm/settings").await;
    firm.later(16 * 60);
    let fields = [("name", "Marlstone Joinery"), ("zone", "Europe/Dublin")];
    let asked = owner.send_from(&page, "/firm/settings", &fields).await;
    assert_eq!(asked.status, 401);
    let kept = owner
        .send_from(&asked, "/sign-in/again", &[("password", PASSWORD)])
        .await;
    assert_eq!(kept.status, 200);
    assert_eq!(
        owner.send_from(&kept, "/firm/settings", &[]).await.status,
        303
    );
    assert!(
        owner
            .get("/firm/settings")
            .await
            .body
            .contains("value=\"Europe/Dublin\"")
    );
}

#[tokio::test]
async fn no_password_is_carried_and_no_foreign_address_followed() {
    let firm = support::a_firm().await;
    let fields = [
        ("old_password", PASSWORD),
        ("password", "canary canary canary"),
        ("_csrf", "x"),
    ];
    let ended = firm
        .anonymous()
        .post_raw("/firm/profile/password", &fields)
        .await;
    assert_eq!(ended.status, 401);
    assert!(!ended.body.contains("canary") && !ended.body.contains(PASSWORD));
    let client = firm.anonymous();
    let fields = [
        ("sign_in", "owner"),
        ("password", PASSWORD),
        ("carry_to", "//elsewhere.example/"),
    ];
    let reply = client.send("/sign-in", "/sign-in", &fields).await;
    assert_eq!((reply.status, reply.location()), (303, "/"));
}
