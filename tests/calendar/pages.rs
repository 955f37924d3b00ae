//! The feed through its private address.

use headwright::access::Role;

use super::{assert_lines, read, value};
use crate::heads::{Site, a_site};
use crate::support::{Client, html};

/// Makes a link and gives its local part.
async fn a_link(client: &Client) -> String {
    let made = client.send("/calendar", "/calendar/link", &[]).await;
    let link = html::between(&made.body, "num code\">", "<").expect("an address");
    let local = link
        .strip_prefix(&client.url)
        .expect("the program's own address");
    local.to_owned()
}

async fn summaries(site: &Site, who: &str) -> Vec<String> {
    let link = a_link(&site.firm.signed_in(who).await).await;
    let reply = site.firm.anonymous().get(&link).await;
    assert_eq!(reply.status, 200);
    assert_eq!(reply.header("content-type"), "text/calendar; charset=utf-8");
    assert_lines(&reply.body);
    for hidden in [
        "Canary",
        "555-",
        "Trial Lane",
        "Trial job",
        "Dunstan",
        "Larkspur",
    ] {
        assert!(!reply.body.contains(hidden), "{who}: {hidden}");
    }
    let calendar = read(&reply.body);
    let mut found: Vec<String> = calendar
        .events
        .iter()
        .map(|e| value(e, "SUMMARY"))
        .collect();
    let mut uids: Vec<String> = calendar.events.iter().map(|e| value(e, "UID")).collect();
    uids.sort();
    uids.dedup();
    assert_eq!(uids.len(), found.len(), "each has a name of its own");
    found.sort();
    found
}

async fn a_busy_site() -> Site {
    let site = a_site().await;
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    sqlx::query("UPDATE job SET first_day = '2026-08-10', last_day = '2026-08-28' WHERE id = ?")
        .bind(site.job)
        .execute(&mut *tx)
        .await
        .expect("set");
    sqlx::query(
        "INSERT INTO visit (client_id, job_id, goes_id, day, time, purpose, key_with, access,
                            contact, outcome, created_at)
         SELECT client_id, id, foreman_id, '2026-08-18', '09:30', 'Canary purpose', '', '', '', '', 0
         FROM job WHERE id = ?",
    )
    .bind(site.job)
    .execute(&mut *tx)
    .await
    .expect("a visit");
    tx.commit().await.expect("kept");
    let permit = headwright::permits::PermitFacts {
        expires_on: Some("2026-08-30".parse().expect("a day")),
        ..crate::permits::facts(headwright::permits::PermitState::Granted)
    };
    crate::permits::a_permit(&site.firm, site.job, &permit).await;
    crate::outside::a_painter(&site.firm, site.job, None).await;
    site
}

#[tokio::test]
async fn each_person_is_told_what_they_may_see() {
    let site = a_busy_site().await;
    let all = [
        "TJ: building permit\\, last day",
        "TJ: days on site",
        "TJ: painter",
        "Visit\\, TJ",
    ];
    let plain = |found: Vec<String>| -> Vec<String> {
        found.iter().map(|s| s.replace("\\,", ",")).collect()
    };
    let all: Vec<String> = all.iter().map(|s| s.replace("\\,", ",")).collect();
    for who in ["owner", "office", "foreman"] {
        assert_eq!(plain(summaries(&site, who).await), all, "{who}");
    }
    assert!(summaries(&site, "foreman2").await.is_empty());
    assert!(summaries(&site, "carpenter").await.is_empty());
    site.give_to("carpenter").await;
    let told = plain(summaries(&site, "carpenter").await);
    assert_eq!(told, ["TJ: days on site", "TJ: painter"]);
}

#[tokio::test]
async fn a_visits_hour_is_told_in_the_firms_zone() {
    let site = a_busy_site().await;
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    sqlx::query("UPDATE firm SET zone = 'America/New_York'")
        .execute(&mut *tx)
        .await
        .expect("set");
    tx.commit().await.expect("kept");
    let mut firm = (*site.firm.app.firm()).clone();
    firm.zone = "America/New_York".parse().expect("a zone");
    site.firm.app.set_firm(firm);
    let link = a_link(&site.firm.client_as(Role::Foreman).await).await;
    let calendar = read(&site.firm.anonymous().get(&link).await.body);
    let visit = calendar
        .events
        .iter()
        .find(|e| value(e, "SUMMARY").starts_with("Visit"))
        .expect("the visit");
    // Half past nine in summer time there, four hours behind UTC.
    assert_eq!(value(visit, "DTSTART"), "20260818T133000Z");
    assert!(value(visit, "URL").ends_with("/clients/visits/1"));
}

#[tokio::test]
async fn a_new_link_ends_the_old_and_nobody_reads_without_one() {
    let site = a_busy_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    let (old, new) = (a_link(&client).await, a_link(&client).await);
    assert_ne!(old, new);
    let anyone = site.firm.anonymous();
    assert_eq!(anyone.get(&old).await.status, 410);
    assert_eq!(anyone.get(&new).await.status, 200);
    let token = new
        .trim_start_matches("/calendar/")
        .trim_end_matches(".ics");
    assert_eq!(token.len(), 26, "128 bits");
    assert!(
        !site.firm.dump().await.contains(token),
        "kept as a digest only"
    );
    assert_eq!(anyone.get(&format!("/calendar/{token}")).await.status, 410);
    let ended = client.send("/calendar", "/calendar/end", &[]).await;
    assert_eq!(ended.status, 303);
    assert_eq!(anyone.get(&new).await.status, 410);
}

#[tokio::test]
async fn whoever_is_shut_out_has_no_feed() {
    let site = a_busy_site().await;
    let link = a_link(&site.firm.client_as(Role::Foreman).await).await;
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    sqlx::query("UPDATE user SET disabled_at = 1 WHERE sign_in = 'foreman'")
        .execute(&mut *tx)
        .await
        .expect("set");
    tx.commit().await.expect("kept");
    assert_eq!(site.firm.anonymous().get(&link).await.status, 410);
}
