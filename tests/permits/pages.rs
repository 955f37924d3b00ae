//! Permits through the pages.

use headwright::access::Role;
use headwright::heads::{Gates, steps};
use headwright::permits::{PermitFacts, PermitState};

use super::{a_permit, day, facts};
use crate::heads::a_site;

#[tokio::test]
async fn a_permit_is_written_down_shown_on_site_and_changed() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Office).await;
    let new = format!("/permits/new/{}", site.job);
    let bad = [
        ("kind", "building"),
        ("authority", "Town office"),
        ("state", "granted"),
        ("expires_on", "2026-05-01"),
        ("granted_on", "2026-06-01"),
    ];
    let reply = client.send(&new, &new, &bad).await;
    assert_eq!(reply.status, 422);
    assert!(reply.body.contains("cannot expire before"));
    let reply = client.send_from(&reply, &new, &[("granted_on", "")]).await;
    assert!(
        reply
            .body
            .contains("Write the day on which it was granted.")
    );
    let good = [
        ("expires_on", "2026-12-01"),
        ("granted_on", "2026-06-01"),
        ("number", "B-12"),
        ("conditions", "Painted wood only"),
        ("note", "Ring Osbert"),
    ];
    let reply = client.send_from(&reply, &new, &good).await;
    assert_eq!(reply.status, 303, "{}", reply.body);
    site.give_to("carpenter").await;
    let carpenter = site.firm.client_as(Role::Carpenter).await;
    let shown = carpenter.get(&format!("/permits/job/{}", site.job)).await;
    for words in [
        "Painted wood only",
        "B-12",
        "holds until 2026-12-01",
        "check with the authority",
    ] {
        assert!(shown.body.contains(words), "{words}");
    }
    assert!(
        !shown.body.contains("Ring Osbert"),
        "the office's note stays there"
    );
    assert_eq!(carpenter.get("/permits/1/edit").await.status, 404);
    let edit = "/permits/1/edit";
    let (mine, theirs) = (client.get(edit).await, client.get(edit).await);
    let refused = [("state", "refused")];
    assert_eq!(client.send_from(&mine, edit, &refused).await.status, 303);
    assert_eq!(client.send_from(&theirs, edit, &refused).await.status, 409);
    let job = client.get(&format!("/jobs/{}", site.job)).await;
    assert!(
        job.body
            .contains("Building permit (Town office) is refused.")
    );
}

#[tokio::test]
async fn heads_wait_for_the_permits_of_their_job() {
    let site = a_site().await;
    let app = &site.firm.app;
    let all = steps(app.db().read()).await.expect("steps");
    let ordered = all
        .get(site.step("ordered").await)
        .expect("ordered")
        .clone();
    let gates = app.hook::<Gates>().expect("gates");
    let closed = async || gates.closed(app, site.head, &ordered).await.expect("asked");
    assert!(closed().await.is_empty());
    for state in [PermitState::Granted, PermitState::Closed] {
        a_permit(&site.firm, site.job, &facts(state)).await;
    }
    assert!(closed().await.is_empty());
    for (state, words) in [
        (PermitState::Needed, "not applied for yet"),
        (PermitState::Applied, "not granted yet"),
        (PermitState::Refused, "refused"),
    ] {
        a_permit(&site.firm, site.job, &facts(state)).await;
        let said = closed().await.join(" ");
        assert!(said.contains(words), "{said}");
    }
}

#[tokio::test]
async fn lumber_is_not_ordered_before_the_permit_is_in_hand() {
    use crate::support::records::{made, tx};
    let site = a_site().await;
    let facts_of = headwright::orders::OrderFacts {
        name: "Trial".into(),
        spare: 5,
        end_trim: crate::support::records::len("1/4"),
        seconds: 20,
        heads: vec![site.head.get()],
    };
    let by = made(&site.firm).await;
    let mut work = tx(&site.firm).await;
    let order = headwright::orders::add_order(&mut work, by, &facts_of)
        .await
        .expect("an order");
    work.commit().await.expect("kept");
    let expired = PermitFacts {
        expires_on: Some(day("2026-08-01")),
        ..facts(PermitState::Granted)
    };
    a_permit(&site.firm, site.job, &expired).await;
    let client = site.firm.client_as(Role::Office).await;
    let page = client.get(&format!("/orders/{order}")).await;
    assert!(page.body.contains("Not to be placed yet."), "{}", page.body);
    assert!(page.body.contains("expired after 2026-08-01"));
}

#[tokio::test]
async fn office_and_owner_are_told_on_today_before_a_permit_ends() {
    let site = a_site().await;
    let ends = PermitFacts {
        expires_on: Some(day("2026-08-20")),
        ..facts(PermitState::Granted)
    };
    a_permit(&site.firm, site.job, &ends).await;
    for (who, told) in [
        ("owner", true),
        ("office", true),
        ("foreman", true),
        ("foreman2", false),
        ("carpenter", false),
    ] {
        let today = site.firm.signed_in(who).await.get("/").await;
        assert_eq!(
            today.body.contains("expires after 2026-08-20"),
            told,
            "{who}"
        );
    }
}
