//! Hours: typed, timed, corrected with a trace.

use headwright::access::Role;
use headwright::crew;

use crate::heads::{Site, a_site};

const HOURS: &str = "/crew/hours";

async fn week(site: &Site) -> Vec<crew::Hours> {
    let day = |text: &str| text.parse().expect("a day");
    let days = (day("2026-08-10"), day("2026-08-16"));
    crew::hours_between(site.firm.app.db().read(), days, Default::default())
        .await
        .expect("hours")
}

async fn work(site: &Site) -> String {
    format!("{}-{}", site.head, site.step("cut").await)
}

#[tokio::test]
async fn typed_hours_count_once_and_a_correction_keeps_the_trace() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let client = site.firm.client_as(Role::Carpenter).await;
    let work = work(&site).await;
    let wrong = client
        .send(HOURS, HOURS, &[("work", work.as_str()), ("time", "lots")])
        .await;
    assert_eq!(wrong.status, 422);
    assert!(wrong.body.contains("value=\"lots\""));
    let fields = [("work", work.as_str()), ("time", "1 1/2")];
    let first = client.send_from(&wrong, HOURS, &fields).await;
    let again = client.send_from(&wrong, HOURS, &fields).await;
    assert_eq!((first.status, again.status), (303, 303), "{}", first.body);
    let rows = week(&site).await;
    assert_eq!(rows.iter().map(|r| r.minutes).collect::<Vec<_>>(), [90]);
    let page = format!("{HOURS}/{}", rows[0].id);
    let stale = client.get(&page).await;
    let bare = client.send(&page, &page, &[("time", "2:00")]).await;
    assert_eq!(bare.status, 422, "a correction says why");
    let fields = [("time", "2:00"), ("note", "forgot the sanding")];
    assert_eq!(client.send_from(&bare, &page, &fields).await.status, 303);
    let rows = week(&site).await;
    assert_eq!(rows.iter().map(|r| r.minutes).collect::<Vec<_>>(), [120]);
    let late = client
        .send_from(&stale, &page, &[("time", "3"), ("note", "no")])
        .await;
    assert_eq!(late.status, 409, "corrected once already");
    let trace = client.get(&format!("{HOURS}/{}", rows[0].id)).await.body;
    assert!(
        trace.contains("1:30") && trace.contains("2:00") && trace.contains("forgot the sanding")
    );
}

#[tokio::test]
async fn the_timer_writes_down_what_it_ran() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let client = site.firm.client_as(Role::Carpenter).await;
    let start = format!("{HOURS}/start");
    let fields_work = work(&site).await;
    let fields = [("start_work", fields_work.as_str())];
    let shown = client.get(HOURS).await;
    assert_eq!(client.send_from(&shown, &start, &fields).await.status, 303);
    let fresh = [
        ("start_work", fields_work.as_str()),
        ("_key", "another-key-of-its-own"),
    ];
    assert_eq!(
        client.send_from(&shown, &start, &fresh).await.status,
        409,
        "it runs already"
    );
    site.firm.later(50 * 60 + 10);
    assert_eq!(
        client
            .send(HOURS, &format!("{HOURS}/stop"), &[])
            .await
            .status,
        303
    );
    let rows = week(&site).await;
    assert_eq!((rows[0].minutes, rows[0].timed), (51, true));
}

#[tokio::test]
async fn everyone_sees_the_hours_the_table_gives_them() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let client = site.firm.client_as(Role::Carpenter).await;
    let work = work(&site).await;
    client
        .send(HOURS, HOURS, &[("work", &work), ("time", "1:11")])
        .await;
    let page = format!("{HOURS}/{}", week(&site).await[0].id);
    for (who, sees, corrects) in [
        ("owner", true, 200),
        ("office", true, 404),
        ("foreman", true, 200),
        ("foreman2", false, 404),
        ("carpenter", true, 200),
        ("carpenter2", false, 404),
    ] {
        let person = site.firm.signed_in(who).await;
        assert_eq!(person.get(HOURS).await.body.contains("1:11"), sees, "{who}");
        assert_eq!(person.get(&page).await.status, corrects, "{who}");
    }
    let other = site.firm.signed_in("carpenter2").await;
    let body = other.get(HOURS).await.body;
    assert!(
        !body.contains("Write hours down"),
        "no head of theirs, no form"
    );
}

#[tokio::test]
async fn nothing_of_hours_is_ever_changed() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let client = site.firm.client_as(Role::Carpenter).await;
    let work = work(&site).await;
    client
        .send(HOURS, HOURS, &[("work", &work), ("time", "1")])
        .await;
    let mut tx = super::tx(&site).await;
    for sql in ["UPDATE hours SET minutes = 1", "DELETE FROM hours"] {
        assert!(sqlx::query(sql).execute(&mut *tx).await.is_err(), "{sql}");
    }
}
