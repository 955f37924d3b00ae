//! Outside firms: their days, their insurance, and the private link.

use chrono::NaiveDate;
use headwright::access::{Made, Role};
use headwright::jobs::JobId;
use headwright::outside::{
    self, LINK_DAYS, OutsideFacts, OutsideId, Trade, Work, WorkFacts, WorkId,
};

use crate::heads::{Site, a_site};
use crate::support::{Client, TestApp, html};

fn day(text: &str) -> NaiveDate {
    text.parse().expect("a day")
}

/// A firm of painters insured until that day, and its part of a job.
pub async fn a_painter(firm: &TestApp, job: i64, until: Option<&str>) -> (OutsideId, WorkId) {
    let made = Made {
        at: firm.app.now(),
        by: Some(firm.person("office").await),
    };
    let facts = OutsideFacts {
        name: "Larkspur Painting".into(),
        trade: Trade::Painter,
        contact: "Dunstan Weir".into(),
        phone: "555-0187".into(),
        email: String::new(),
        insured_until: until.map(day),
        note: "Canary note of the firm".into(),
    };
    let mut tx = firm.app.db().write().await.expect("the writer");
    let id = outside::add_firm(&mut tx, made, &facts)
        .await
        .expect("added");
    let work = WorkFacts {
        firm: id,
        first_day: Some(day("2026-08-17")),
        last_day: Some(day("2026-08-20")),
        does: "Two coats on W1".into(),
        note: "Canary note of the crew".into(),
    };
    let work = outside::add_work(&mut tx, made, JobId::new(job), &work)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
    (id, work)
}

async fn the_work(site: &Site, until: Option<&str>) -> Work {
    let (_, id) = a_painter(&site.firm, site.job, until).await;
    outside::work(site.firm.app.db().read(), id)
        .await
        .expect("the work")
}

#[tokio::test]
async fn insurance_must_cover_today_and_the_days_of_the_work() {
    let site = a_site().await;
    let today = day("2026-08-14");
    for (until, words) in [
        (None, Some("no insurance paper")),
        (Some("2026-08-13"), Some("ended on 2026-08-13")),
        (Some("2026-08-19"), Some("before the work does")),
        (Some("2026-08-20"), None),
    ] {
        let found = the_work(&site, until).await.uninsured(today);
        match words {
            None => assert_eq!(found, None),
            Some(words) => assert!(found.expect("amiss").contains(words), "{until:?}"),
        }
    }
}

/// Makes a link as the foreman and gives its address.
async fn a_link(client: &Client, id: WorkId) -> String {
    let page = format!("/outside/work/{id}");
    let shown = client.get(&page).await;
    let made = client.send_from(&shown, &format!("{page}/link"), &[]).await;
    let link = html::between(&made.body, "num code\">", "<")
        .expect("a link")
        .to_owned();
    let again = client.send_from(&shown, &format!("{page}/link"), &[]).await;
    assert!(
        again.body.contains(&link),
        "a double tap shows the same link"
    );
    link
}

#[tokio::test]
async fn a_link_shows_one_firms_part_of_one_job_and_nothing_else() {
    let site = a_site().await;
    let (_, id) = a_painter(&site.firm, site.job, Some("2026-12-31")).await;
    let (_, other) = a_painter(&site.firm, site.job, None).await;
    sqlx_note(&site, other).await;
    let client = site.firm.client_as(Role::Foreman).await;
    let link = a_link(&client, id).await;
    let token = link.strip_prefix("/work/").expect("an address of ours");
    assert_eq!(token.len(), 26, "128 bits");
    let dump = site.firm.dump().await;
    assert!(!dump.contains(token), "the token itself is kept nowhere");
    let theirs = site.firm.anonymous().get(&link).await;
    assert_eq!(theirs.status, 200);
    for words in [
        "1 Trial Lane",
        "2026-08-17 to 2026-08-20",
        "Two coats on W1",
        "Fenella Garrick",
    ] {
        assert!(theirs.body.contains(words), "{words}");
    }
    for hidden in ["Canary", "555-", "$", "/jobs/", "Other firm"] {
        let main = html::between(&theirs.body, "<main", "</main>").expect("main");
        assert!(!main.contains(hidden), "{hidden}");
    }
    assert_eq!(theirs.header("cache-control"), "no-store");
}

async fn sqlx_note(site: &Site, work: WorkId) {
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    sqlx::query("UPDATE outside_work SET does = 'Other firm does this' WHERE id = ?")
        .bind(work.get())
        .execute(&mut *tx)
        .await
        .expect("set");
    tx.commit().await.expect("kept");
}

#[tokio::test]
async fn guessed_expired_and_revoked_links_look_the_same() {
    let site = a_site().await;
    let (_, id) = a_painter(&site.firm, site.job, Some("2026-12-31")).await;
    let client = site.firm.client_as(Role::Foreman).await;
    let revoked = a_link(&client, id).await;
    let page = format!("/outside/work/{id}");
    let ended = client.send(&page, &format!("{page}/revoke"), &[]).await;
    assert_eq!(ended.status, 303);
    let expired = a_link(&client, id).await;
    let anyone = site.firm.anonymous();
    assert_eq!(anyone.get(&expired).await.status, 200);
    site.firm.later(LINK_DAYS * 24 * 3600 + 1);
    let bare = |body: &str| body.split("reference").next().map(str::to_owned);
    let guessed = anyone.get("/work/aaaaaaaaaaaaaaaaaaaaaaaaaa").await;
    assert_eq!(guessed.status, 410);
    for link in [revoked.as_str(), expired.as_str(), "/work/x"] {
        let reply = anyone.get(link).await;
        assert_eq!(reply.status, 410, "{link}");
        assert_eq!(bare(&reply.body), bare(&guessed.body), "{link}");
    }
}

#[tokio::test]
async fn whoever_guesses_links_must_wait_and_a_good_link_is_not_slowed() {
    let site = a_site().await;
    let (_, id) = a_painter(&site.firm, site.job, Some("2026-12-31")).await;
    let client = site.firm.client_as(Role::Foreman).await;
    let link = a_link(&client, id).await;
    let anyone = site.firm.anonymous();
    for _ in 0..30 {
        assert_eq!(anyone.get(&link).await.status, 200);
    }
    for n in 0..20 {
        assert_eq!(
            anyone.get(&format!("/work/guess{n}")).await.status,
            410,
            "{n}"
        );
    }
    let reply = anyone.get("/work/another").await;
    assert_eq!((reply.status, reply.header("retry-after")), (429, "15"));
    assert_eq!(
        anyone.get(&link).await.status,
        429,
        "from that address everybody waits"
    );
    site.firm.later(16);
    assert_eq!(anyone.get(&link).await.status, 200);
}

#[tokio::test]
async fn a_firm_is_written_down_put_on_a_job_and_taken_off() {
    let site = a_site().await;
    let office = site.firm.client_as(Role::Office).await;
    let new = "/outside/new";
    let fields = [("name", "Gannet Scaffolds"), ("trade", "scaffolder")];
    assert_eq!(office.send(new, new, &fields).await.status, 303);
    let foreman = site.firm.client_as(Role::Foreman).await;
    assert_eq!(
        foreman.get("/outside").await.status,
        404,
        "the list with its telephones is the office's"
    );
    let on = format!("/outside/job/{}", site.job);
    let wrong = [
        ("first_day", "2026-08-20"),
        ("last_day", "2026-08-19"),
        ("does", "Scaffold"),
    ];
    let reply = foreman.send(&on, &on, &wrong).await;
    assert_eq!(reply.status, 422);
    assert!(reply.body.contains("cannot come before the first"));
    let reply = foreman
        .send_from(&reply, &on, &[("last_day", "2026-08-21")])
        .await;
    assert_eq!(reply.status, 303);
    let job = foreman.get(&format!("/jobs/{}", site.job)).await.body;
    assert!(job.contains("Gannet Scaffolds: no insurance paper is written down."));
    let link = a_link(&foreman, WorkId::new(1)).await;
    let page = "/outside/work/1";
    let off = foreman
        .send(page, "/outside/work/1/archive", &[("away", "yes")])
        .await;
    assert_eq!(off.status, 303);
    assert_eq!(
        site.firm.anonymous().get(&link).await.status,
        410,
        "off the job, no link"
    );
    let other = site.firm.signed_in("foreman2").await;
    assert_eq!(other.get(page).await.status, 404);
    let carpenter = site.firm.client_as(Role::Carpenter).await;
    assert_eq!(carpenter.get("/outside").await.status, 404);
}

#[tokio::test]
async fn today_tells_of_papers_that_do_not_cover_the_days() {
    let site = a_site().await;
    let (_, _) = a_painter(&site.firm, site.job, Some("2026-08-18")).await;
    for (who, told) in [
        ("owner", true),
        ("office", true),
        ("foreman", true),
        ("foreman2", false),
        ("carpenter", false),
    ] {
        let today = site.firm.signed_in(who).await.get("/").await.body;
        let words = "its insurance ends on 2026-08-18, before the work does";
        assert_eq!(today.contains(words), told, "{who}");
    }
    site.firm.later(7 * 24 * 3600);
    let today = site.firm.signed_in("office").await.get("/").await.body;
    assert!(!today.contains("Larkspur"), "the days are past");
}
