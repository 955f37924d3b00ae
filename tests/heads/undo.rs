//! Taking a change back: for ten seconds, by whoever made it, once; and having
//! a piece made again.

use headwright::access::Role;
use headwright::heads::{self, What};

use super::{Site, a_site, made};

fn page(site: &Site) -> String {
    format!("/heads/{}", site.head)
}

async fn step_of(site: &Site) -> String {
    let pool = site.firm.app.db().read();
    heads::head(pool, site.head)
        .await
        .expect("the head")
        .card
        .step_name
}

async fn on(site: &Site, client: &crate::support::Client) -> crate::support::Reply {
    let (page, step) = (page(site), format!("{}/step", page(site)));
    client.send(&page, &step, &[]).await
}

#[tokio::test]
async fn a_move_is_taken_back_within_ten_seconds_and_once() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    assert_eq!(on(&site, &client).await.status, 303);
    assert_eq!(step_of(&site).await, "drawn");
    site.firm.later(9);
    let shown = client.get(&page(&site)).await;
    let undo = format!("{}/undo", page(&site));
    let first = client.send_from(&shown, &undo, &[]).await;
    let again = client.send_from(&shown, &undo, &[]).await;
    assert_eq!(
        (first.status, again.status),
        (303, 303),
        "a replay gets the same reply"
    );
    assert_eq!(step_of(&site).await, "measured");
    let events = heads::events(site.firm.app.db().read(), site.head)
        .await
        .expect("events");
    assert_eq!(events.iter().filter(|e| e.what == What::Undone).count(), 1);
    assert_eq!(
        events.iter().filter(|e| e.what == What::Moved).count(),
        1,
        "nothing is struck out"
    );
    let now = client.get(&page(&site)).await;
    assert!(
        !now.body.contains(&undo),
        "what was taken back is not offered again"
    );
}

#[tokio::test]
async fn after_ten_seconds_the_change_stays() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    on(&site, &client).await;
    let shown = client.get(&page(&site)).await;
    site.firm.later(11);
    let undo = format!("{}/undo", page(&site));
    assert_eq!(client.send_from(&shown, &undo, &[]).await.status, 409);
    assert_eq!(step_of(&site).await, "drawn");
    assert!(!client.get(&page(&site)).await.body.contains(&undo));
}

#[tokio::test]
async fn nobody_takes_back_what_another_did() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    on(&site, &client).await;
    let owner = site.firm.client_as(Role::Owner).await;
    let undo = format!("{}/undo", page(&site));
    assert!(!owner.get(&page(&site)).await.body.contains(&undo));
    let shown = client.get(&page(&site)).await;
    let held = crate::support::html::form(&shown.body, &undo).expect("the button");
    let version = held
        .iter()
        .find(|(n, _)| n == "_version")
        .expect("a version")
        .1
        .clone();
    let archive = format!("{}/archive", page(&site));
    let theirs = owner.get(&page(&site)).await;
    let form = crate::support::html::form(&theirs.body, &archive).expect("a form");
    let value = |name: &str| form.iter().find(|(n, _)| n == name).expect("it").1.clone();
    let (csrf, key) = (value("_csrf"), value("_key"));
    let fields = [
        ("_csrf", csrf.as_str()),
        ("_key", key.as_str()),
        ("_version", version.as_str()),
    ];
    assert_eq!(owner.post_raw(&undo, &fields).await.status, 409);
    assert_eq!(step_of(&site).await, "drawn");
}

#[tokio::test]
async fn every_kind_of_change_comes_back_as_it_was() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    site.firm.later(60);
    let client = site.firm.client_as(Role::Owner).await;
    let pool = site.firm.app.db().read();
    let (page, step) = (page(&site), format!("{}/step", page(&site)));
    let carpenter2 = site.firm.person("carpenter2").await.to_string();
    on(&site, &client).await;
    site.firm.later(60);
    let back = site.step("measured").await.to_string();
    let skip = site.step("primed").await.to_string();
    let asks: [(&str, &[(&str, &str)]); 5] = [
        ("step", &[("do", "hold"), ("hold_reason", "rain")]),
        (
            "step",
            &[
                ("do", "back"),
                ("back_step", &back),
                ("back_reason", "wrong"),
            ],
        ),
        (
            "step",
            &[("do", "skip"), ("skip_step", &skip), ("skip_reason", "PVC")],
        ),
        (
            "assign",
            &[("assign_step", "all"), ("assign_to", &carpenter2)],
        ),
        ("archive", &[("do", "put-away")]),
    ];
    for (action, fields) in asks {
        let before = (
            heads::at(pool, site.head).await.expect("standing").standing,
            heads::stages(pool, site.head).await.expect("stages").len(),
            heads::is_assigned(pool, site.head, site.firm.person("carpenter2").await.get())
                .await
                .expect("told"),
        );
        let reply = client
            .send(&page, &format!("{page}/{action}"), fields)
            .await;
        assert_eq!(reply.status, 303, "{action} {fields:?}: {}", reply.body);
        let undone = client.send(&page, &format!("{page}/undo"), &[]).await;
        assert_eq!(undone.status, 303, "{action} {fields:?}");
        let head = heads::head(pool, site.head).await.expect("the head");
        assert!(head.card.archived_at.is_none());
        let after = (
            heads::at(pool, site.head).await.expect("standing").standing,
            heads::stages(pool, site.head).await.expect("stages").len(),
            heads::is_assigned(pool, site.head, site.firm.person("carpenter2").await.get())
                .await
                .expect("told"),
        );
        assert_eq!(after, before, "{action} {fields:?}");
    }
    let _ = step;
}

#[tokio::test]
async fn a_piece_made_again_comes_back_to_be_cut_and_the_record_says_why() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let pool = site.firm.app.db().read();
    let carpenter = site.firm.person("carpenter").await;
    let client = site.firm.client_as(Role::Carpenter).await;
    let sheet = client.get(&format!("{}/sheet", page(&site))).await;
    let label = crate::support::html::between(&sheet.body, "<span class=\"label\">", "</span>")
        .map(crate::support::html::unescape)
        .expect("a label");
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    heads::tick(&mut tx, made(carpenter), (site.head, 1), &label, true)
        .await
        .expect("ticked");
    tx.commit().await.expect("kept");
    let again = format!("{}/again", page(&site));
    let blank = client
        .send(&page(&site), &again, &[("again_piece", &label)])
        .await;
    assert_eq!(blank.status, 422, "a reason is needed");
    let fields = [
        ("again_piece", label.as_str()),
        ("again_reason", "split at the mitre"),
    ];
    assert_eq!(client.send(&page(&site), &again, &fields).await.status, 303);
    assert!(
        heads::ticks(pool, site.head, 1)
            .await
            .expect("ticks")
            .is_empty()
    );
    let open = heads::to_make_again(pool, site.head, 1)
        .await
        .expect("pieces");
    assert_eq!(
        open.iter().map(|a| a.label.as_str()).collect::<Vec<_>>(),
        [label.as_str()]
    );
    let sheet = client.get(&format!("{}/sheet", page(&site))).await;
    assert!(sheet.body.contains("make it again: split at the mitre"));
    assert_eq!(
        client
            .send(&page(&site), &format!("{}/undo", page(&site)), &[])
            .await
            .status,
        303
    );
    assert_eq!(
        heads::ticks(pool, site.head, 1).await.expect("ticks").len(),
        1,
        "the tick is back"
    );
    assert!(
        heads::to_make_again(pool, site.head, 1)
            .await
            .expect("pieces")
            .is_empty()
    );
}
