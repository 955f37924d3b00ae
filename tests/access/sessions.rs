//! A session's clocks, its token, its end.

use headwright::access::Role;

use crate::support::{self, PASSWORD};

const HOUR: u64 = 3600;
const DAY: u64 = 24 * HOUR;

/// Idle and longest life of each role's session.
const LIVES: [(Role, u64, u64); 4] = [
    (Role::Owner, 8 * HOUR, DAY),
    (Role::Office, 8 * HOUR, DAY),
    (Role::Foreman, 7 * DAY, 30 * DAY),
    (Role::Carpenter, 14 * DAY, 30 * DAY),
];

#[tokio::test]
async fn an_idle_session_ends() {
    for (role, idle, _) in LIVES {
        let firm = support::a_firm().await;
        let client = firm.client_as(role).await;
        firm.later(idle - 1);
        assert_eq!(client.get("/").await.status, 200, "{role} just before");
        firm.later(idle);
        assert_eq!(client.get("/").await.status, 401, "{role} just after");
    }
}

#[tokio::test]
async fn a_session_in_use_ends_all_the_same() {
    for (role, idle, most) in LIVES {
        let firm = support::a_firm().await;
        let client = firm.client_as(role).await;
        let step = idle / 2;
        for _ in 0..(most - 1) / step {
            firm.later(step);
            assert_eq!(client.get("/").await.status, 200, "{role} in use");
        }
        firm.later(most - (most - 1) / step * step);
        assert_eq!(client.get("/").await.status, 401, "{role} at the end");
    }
}

#[tokio::test]
async fn every_sign_in_gets_a_new_token_and_ends_the_old() {
    let firm = support::a_firm().await;
    let client = firm.anonymous();
    let token = |reply: &support::Reply| {
        support::html::between(&format!("{};", reply.header("set-cookie")), "s=", ";")
            .map(str::to_owned)
            .expect("a session cookie")
    };
    let first = token(&client.sign_in("owner", PASSWORD).await);
    let old = firm.anonymous();
    let with_old = old
        .http
        .get(format!("{}/", firm.url))
        .header("cookie", format!("s={first}"));
    assert_eq!(
        with_old
            .try_clone()
            .expect("a copy")
            .send()
            .await
            .expect("sent")
            .status(),
        200
    );
    assert_eq!(first.len(), 43, "256 bits in base 64");
    let other = firm.anonymous();
    let second = token(&other.sign_in("owner", PASSWORD).await);
    assert_ne!(first, second);
    let out = client.send("/", "/sign-out", &[]).await;
    assert_eq!((out.status, out.location()), (303, "/sign-in"));
    assert!(out.header("clear-site-data").contains("storage"));
    assert_eq!(
        with_old.send().await.expect("sent").status(),
        401,
        "the old cookie is dead"
    );
    assert_eq!(other.get("/").await.status, 200, "other devices stay");
}

#[tokio::test]
async fn a_sixth_device_ends_the_first() {
    let firm = support::a_firm().await;
    let mut clients = Vec::new();
    for _ in 0..6 {
        clients.push(firm.client_as(Role::Carpenter).await);
    }
    assert_eq!(clients[0].get("/").await.status, 401);
    for client in &clients[1..] {
        assert_eq!(client.get("/").await.status, 200);
    }
}

#[tokio::test]
async fn the_database_holds_no_token() {
    let firm = support::a_firm().await;
    let reply = firm.anonymous().sign_in("owner", PASSWORD).await;
    let cookie = format!("{};", reply.header("set-cookie"));
    let token = support::html::between(&cookie, "s=", ";").expect("a token");
    assert!(!firm.dump().await.contains(token));
}

#[tokio::test]
async fn one_may_end_ones_own_devices_but_not_anothers() {
    let firm = support::a_firm().await;
    let (here, lost) = (
        firm.client_as(Role::Foreman).await,
        firm.client_as(Role::Foreman).await,
    );
    let page = here.get("/firm/profile").await;
    assert_eq!(page.body.matches("this one").count(), 1);
    let ended = here
        .send("/firm/profile", "/firm/profile/sessions", &[])
        .await;
    assert_eq!(ended.status, 303);
    assert_eq!(lost.get("/").await.status, 401);
    assert_eq!(here.get("/").await.status, 200);
    let _lost_again = firm.client_as(Role::Foreman).await;
    let _other = firm.signed_in("foreman2").await;
    let theirs = here
        .send(
            "/firm/profile",
            "/firm/profile/sessions",
            &[("session", "4")],
        )
        .await;
    assert_eq!(theirs.status, 404);
}

#[tokio::test]
async fn the_owner_shuts_a_person_out_of_every_device_at_once() {
    let firm = support::a_firm().await;
    let (owner, gone) = (
        firm.client_as(Role::Owner).await,
        firm.client_as(Role::Carpenter).await,
    );
    let page = format!("/firm/people/{}", firm.person("carpenter").await);
    let door = format!("{page}/door");
    assert_eq!(
        owner.send(&page, &door, &[("shut", "yes")]).await.status,
        303
    );
    assert_eq!(gone.get("/").await.status, 401);
    assert_eq!(
        firm.anonymous().sign_in("carpenter", PASSWORD).await.status,
        422
    );
    assert_eq!(
        owner.send(&page, &door, &[("shut", "no")]).await.status,
        303
    );
    assert_eq!(
        firm.anonymous().sign_in("carpenter", PASSWORD).await.status,
        303
    );
}

#[tokio::test]
async fn a_new_role_ends_the_persons_sessions() {
    let firm = support::a_firm().await;
    let (owner, changed) = (
        firm.client_as(Role::Owner).await,
        firm.client_as(Role::Carpenter).await,
    );
    let page = format!("/firm/people/{}", firm.person("carpenter").await);
    assert_eq!(
        owner
            .send(&page, &page, &[("role", "foreman")])
            .await
            .status,
        303
    );
    assert_eq!(changed.get("/").await.status, 401);
}

#[tokio::test]
async fn the_firm_keeps_one_owner() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let page = format!("/firm/people/{}", firm.person("owner").await);
    assert_eq!(
        owner.send(&page, &page, &[("role", "office")]).await.status,
        409
    );
    assert_eq!(
        owner
            .send(&page, &format!("{page}/door"), &[("shut", "yes")])
            .await
            .status,
        409
    );
    assert_eq!(owner.get(&page).await.status, 200, "nothing was changed");
}

#[tokio::test]
async fn people_and_settings_ask_the_password_again_after_a_quarter_of_an_hour() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    assert_eq!(owner.get("/firm/people").await.status, 200);
    firm.later(15 * 60);
    let asked = owner.get("/firm/people").await;
    assert_eq!(
        (asked.status, asked.location()),
        (303, "/sign-in/again?next=/firm/people")
    );
    let again = "/sign-in/again?next=/firm/people";
    let wrong = owner
        .send(
            again,
            "/sign-in/again",
            &[("password", "wrong wrong wrong")],
        )
        .await;
    assert_eq!(wrong.status, 422);
    let right = owner
        .send(again, "/sign-in/again", &[("password", PASSWORD)])
        .await;
    assert_eq!((right.status, right.location()), (303, "/firm/people"));
    assert_eq!(owner.get("/firm/people").await.status, 200);
}
