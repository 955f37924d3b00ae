//! What a phone keeps and what it sends from the site: no client on it,
//! nothing lost, nothing counted twice.

use headwright::heads;

use super::{Site, a_site};
use crate::support::Reply;

/// The kept page, where its form goes, and a tick.
fn ticks_of(site: &Site) -> (String, String, [(&'static str, &'static str); 2]) {
    let page = format!("/heads/{}/site", site.head);
    let tick = format!("{page}/tick");
    (page, tick, [("label", "cap-1"), ("do", "done")])
}

async fn events(site: &Site) -> usize {
    let rows: i64 = sqlx::query_scalar("SELECT count(*) FROM site_tick")
        .fetch_one(site.firm.app.db().read())
        .await
        .expect("rows are counted");
    usize::try_from(rows).expect("few")
}

async fn done(site: &Site, version: i64) -> Vec<String> {
    let ticks = heads::ticks(site.firm.app.db().read(), site.head, version).await;
    ticks
        .expect("ticks are read")
        .into_iter()
        .map(|t| t.label)
        .collect()
}

fn kept(reply: &Reply) -> bool {
    reply.header("x-kept") == "yes"
}

#[tokio::test]
async fn only_pages_without_client_or_price_may_be_kept() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    for who in ["carpenter", "foreman", "owner"] {
        let client = site.firm.signed_in(who).await;
        let sheet = client.get(&format!("/heads/{}/site", site.head)).await;
        assert_eq!(sheet.status, 200, "{who}");
        for page in [client.get("/site").await, sheet] {
            assert!(kept(&page), "{who}");
            for canary in ["Clientsdottir", "555-7788", "Trial Lane", "$"] {
                assert!(!page.body.contains(canary), "{who}: {canary} would be kept");
            }
        }
        for path in [
            "/",
            "/heads",
            &format!("/heads/{}", site.head),
            &format!("/heads/{}/sheet", site.head),
        ] {
            assert!(
                !kept(&client.get(path).await),
                "{who}: {path} must not be kept"
            );
        }
    }
}

#[tokio::test]
async fn a_phone_is_asked_to_keep_the_heads_given_to_its_person_and_no_others() {
    let site = a_site().await;
    let carpenter = site.firm.signed_in("carpenter").await;
    let link = format!("href=\"/heads/{}/site\" data-keep", site.head);
    assert!(!carpenter.get("/site").await.body.contains(&link));
    site.give_to("carpenter").await;
    assert!(carpenter.get("/site").await.body.contains(&link));
    let foreman = site.firm.signed_in("foreman").await;
    assert!(
        foreman.get("/site").await.body.contains(&link),
        "a foreman's own job"
    );
    let other = site.firm.signed_in("carpenter2").await;
    assert!(!other.get("/site").await.body.contains(&link));
    assert_eq!(
        other
            .get(&format!("/heads/{}/site", site.head))
            .await
            .status,
        404
    );
}

#[tokio::test]
async fn a_queued_tick_sent_three_times_counts_once() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let carpenter = site.firm.signed_in("carpenter").await;
    let token: serde_json::Value =
        serde_json::from_str(&carpenter.get("/site/token").await.body).expect("JSON");
    let csrf = token["csrf"].as_str().expect("a token");
    let (_, tick, _) = ticks_of(&site);
    let fields = [
        ("label", "cap-1"),
        ("sheet_version", "1"),
        ("said_at", "1786700000000"),
        ("do", "done"),
        ("_csrf", csrf),
        ("_key", "00112233445566778899aabbccddeeff"),
    ];
    for _ in 0..3 {
        assert_eq!(carpenter.post_raw(&tick, &fields).await.status, 303);
    }
    assert_eq!(events(&site).await, 1);
    assert_eq!(done(&site, 1).await, ["cap-1"]);
    let mut other = fields;
    other[0] = ("label", "cap-2");
    assert_eq!(
        carpenter.post_raw(&tick, &other).await.status,
        422,
        "one key, another body"
    );
    assert_eq!(events(&site).await, 1);
}

#[tokio::test]
async fn the_form_of_a_kept_page_works_without_script() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let carpenter = site.firm.signed_in("carpenter").await;
    let (path, tick, fields) = ticks_of(&site);
    assert_eq!(carpenter.send(&path, &tick, &fields).await.status, 303);
    assert_eq!(done(&site, 1).await, ["cap-1"]);
}

#[tokio::test]
async fn what_was_done_earlier_does_not_undo_what_somebody_else_did_later() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let carpenter = site.firm.signed_in("carpenter").await;
    let (path, tick, fields) = ticks_of(&site);
    let earlier = (site.firm.app.now().millis() - 3_600_000).to_string();
    let foreman = site.firm.signed_in("foreman").await;
    let sheet = format!("/heads/{}/sheet", site.head);
    let at = format!("/heads/{}/tick", site.head);
    assert_eq!(foreman.send(&sheet, &at, &fields).await.status, 303);
    let undo = [
        ("label", "cap-1"),
        ("do", "undo"),
        ("said_at", earlier.as_str()),
    ];
    assert_eq!(carpenter.send(&path, &tick, &undo).await.status, 303);
    assert_eq!(done(&site, 1).await, ["cap-1"], "it stays cut");
    assert!(
        foreman
            .get(&path)
            .await
            .body
            .contains("Somebody else said otherwise since.")
    );
    site.firm.later(60);
    let now = site.firm.app.now().millis().to_string();
    let undo = [
        ("label", "cap-1"),
        ("do", "undo"),
        ("said_at", now.as_str()),
    ];
    assert_eq!(carpenter.send(&path, &tick, &undo).await.status, 303);
    assert!(done(&site, 1).await.is_empty(), "a later one counts");
}

#[tokio::test]
async fn a_tick_against_a_changed_sheet_is_kept_and_decided_once() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let carpenter = site.firm.signed_in("carpenter").await;
    let (path, tick, fields) = ticks_of(&site);
    let old = carpenter.get(&path).await;
    let foreman = site.firm.signed_in("foreman").await;
    let design = format!("/heads/{}/design", site.head);
    let redrawn = foreman.send(&design, &design, &[("span", "44")]).await;
    assert_eq!(redrawn.status, 303, "{}", redrawn.body);
    let sent = carpenter.send_from(&old, &tick, &fields).await;
    assert_eq!(sent.status, 303, "it is not refused: {}", sent.body);
    assert!(
        done(&site, 2).await.is_empty(),
        "nor counted against the new sheet"
    );
    let page = carpenter.get(&path).await.body;
    assert!(
        page.contains("look at this") && page.contains("version 1 of this sheet"),
        "{page}"
    );
    assert!(
        foreman
            .get("/")
            .await
            .body
            .contains("one tick from the site to decide")
    );
    let late = format!("/heads/{}/late", site.head);
    let (first, second) = (foreman.get(&path).await, foreman.get(&path).await);
    let count = [("do", "count")];
    assert_eq!(foreman.send_from(&first, &late, &count).await.status, 303);
    assert_eq!(
        foreman.send_from(&second, &late, &count).await.status,
        409,
        "decided already"
    );
    assert_eq!(done(&site, 2).await, ["cap-1"]);
    assert!(
        !foreman
            .get("/")
            .await
            .body
            .contains("from the site to decide")
    );
}

#[tokio::test]
async fn a_tick_of_a_piece_the_sheet_no_longer_has_is_kept_too() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let carpenter = site.firm.signed_in("carpenter").await;
    let (path, tick, _) = ticks_of(&site);
    let sent = carpenter
        .send(&path, &tick, &[("label", "crown-77"), ("do", "done")])
        .await;
    assert_eq!(sent.status, 303);
    let page = carpenter.get(&path).await.body;
    assert!(page.contains("has no such piece any more"), "{page}");
    assert!(!page.contains("It fits: count it"));
}

#[tokio::test]
async fn odd_values_from_a_phone_are_refused_in_words_or_taken_as_now() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let carpenter = site.firm.signed_in("carpenter").await;
    let (path, tick, _) = ticks_of(&site);
    for (field, value) in [
        ("label", ""),
        ("sheet_version", "0"),
        ("sheet_version", "x"),
    ] {
        let sent = carpenter.send(&path, &tick, &[(field, value)]).await;
        assert_eq!(sent.status, 400, "{field} {value:?}");
    }
    for at in ["-5", "never", "99999999999999999999"] {
        let sent = carpenter
            .send(
                &path,
                &tick,
                &[("label", "cap-1"), ("said_at", at), ("do", "done")],
            )
            .await;
        assert_eq!(sent.status, 303, "{at}");
    }
    assert_eq!(events(&site).await, 3);
}
