//! The plan: who does what on which day, and what turns it over.

use std::time::Duration;

use headwright::access::Role;
use headwright::crew;
use headwright::heads;

use super::{planned, tx};
use crate::heads::{Site, a_gable, a_head, a_site, made};

const PLAN: &str = "/crew/plan";

async fn slot_of(site: &Site) -> crew::Slot {
    let day = |text: &str| text.parse().expect("a day");
    let all = crew::slots(
        site.firm.app.db().read(),
        day("2026-01-01"),
        day("2026-12-31"),
    )
    .await;
    all.expect("slots").first().expect("a slot").clone()
}

#[tokio::test]
async fn a_step_is_planned_given_and_shown_with_its_hours() {
    let site = a_site().await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let cassia = site.firm.person("carpenter").await;
    let work = format!("{}-{}", site.head, site.step("cut").await);
    let user = cassia.to_string();
    let fields = [
        ("work", work.as_str()),
        ("user", user.as_str()),
        ("day", "2026-08-14"),
    ];
    let shown = foreman.get(PLAN).await;
    let first = foreman.send_from(&shown, "/crew/plan/add", &fields).await;
    let again = foreman.send_from(&shown, "/crew/plan/add", &fields).await;
    assert_eq!((first.status, again.status), (303, 303), "{}", first.body);
    let pool = site.firm.app.db().read();
    assert!(
        heads::is_assigned(pool, site.head, cassia.get())
            .await
            .expect("told")
    );
    let body = foreman.get(PLAN).await.body;
    // 18 pieces, a board and two drops: 20 + 3 × 21 + 2.5 × 36 = 173, to the
    // next five 175.
    assert!(
        body.contains("TJ W1 Porch") && body.contains("2:55"),
        "{body}"
    );
    assert!(
        body.contains("Saw check"),
        "what is not signed today shows on the plan"
    );
    let carpenter = site.firm.client_as(Role::Carpenter).await;
    let mine = carpenter.get(PLAN).await.body;
    assert!(mine.contains("TJ W1 Porch") && !mine.contains("/crew/plan/move"));
    assert!(
        carpenter
            .get("/")
            .await
            .body
            .contains("Planned for you today")
    );
    let other = site.firm.signed_in("carpenter2").await;
    assert!(!other.get(PLAN).await.body.contains("TJ W1 Porch"));
}

#[tokio::test]
async fn a_step_moves_by_form_and_of_two_planners_one_wins() {
    let site = a_site().await;
    let cassia = site.firm.person("carpenter").await;
    let cuthbert = site.firm.person("carpenter2").await;
    planned(&site, "cut", cassia, "2026-08-13").await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let (one, two) = (foreman.get(PLAN).await, foreman.get(PLAN).await);
    let to = cuthbert.to_string();
    let move_to = |day| [("user", to.as_str()), ("day", day)];
    let won = foreman
        .send_from(&one, "/crew/plan/move", &move_to("2026-08-14"))
        .await;
    assert_eq!(won.status, 303, "{}", won.body);
    let lost = foreman
        .send_from(&two, "/crew/plan/move", &move_to("2026-08-12"))
        .await;
    assert_eq!(lost.status, 409);
    let slot = slot_of(&site).await;
    assert_eq!(
        (slot.user, slot.day.to_string()),
        (cuthbert, "2026-08-14".to_owned())
    );
    let pool = site.firm.app.db().read();
    assert!(
        heads::is_assigned(pool, site.head, cuthbert.get())
            .await
            .expect("told")
    );
    let wrong = foreman
        .send(PLAN, "/crew/plan/move", &[("day", "soon")])
        .await;
    assert_eq!(wrong.status, 422);
    assert_eq!(
        foreman.send(PLAN, "/crew/plan/remove", &[]).await.status,
        303
    );
}

#[tokio::test]
async fn a_sick_carpenters_work_goes_on_in_one_move_with_where_the_pieces_lie() {
    let site = a_site().await;
    let cassia = site.firm.person("carpenter").await;
    let cuthbert = site.firm.person("carpenter2").await;
    planned(&site, "cut", cassia, "2026-08-14").await;
    planned(&site, "assembled", cassia, "2026-08-14").await;
    let mut writer = tx(&site).await;
    heads::tick(&mut writer, made(cassia), (site.head, 1), "cap-1", true)
        .await
        .expect("ticked");
    writer.commit().await.expect("kept");
    let foreman = site.firm.client_as(Role::Foreman).await;
    let (from, to) = (cassia.to_string(), cuthbert.to_string());
    let fields = [
        ("away_user", from.as_str()),
        ("away_first", "2026-08-14"),
        ("away_reason", "sick"),
        ("away_to", to.as_str()),
        ("away_lie", "left end of the long bench"),
    ];
    assert_eq!(
        foreman.send(PLAN, "/crew/plan/away", &fields).await.status,
        303
    );
    let day = "2026-08-14".parse().expect("a day");
    let slots = crew::slots(site.firm.app.db().read(), day, day)
        .await
        .expect("slots");
    assert_eq!(slots.len(), 2);
    assert!(slots.iter().all(|s| s.user == cuthbert));
    let today = site.firm.signed_in("carpenter2").await.get("/").await.body;
    assert!(today.contains("Pieces cut so far: 1. They lie here: left end of the long bench"));
    let body = foreman.get(PLAN).await.body;
    assert!(body.contains("away: sick"));
    let same = foreman
        .send(
            PLAN,
            "/crew/plan/away",
            &[("away_user", &from), ("away_to", &from)],
        )
        .await;
    assert_eq!(same.status, 422);
}

#[tokio::test]
async fn a_lost_day_shifts_what_follows_and_leaves_what_is_done() {
    let site = a_site().await;
    let cassia = site.firm.person("carpenter").await;
    planned(&site, "cut", cassia, "2026-08-13").await;
    planned(&site, "assembled", cassia, "2026-08-14").await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let blank = foreman
        .send(PLAN, "/crew/plan/lost", &[("lost_day", "2026-08-14")])
        .await;
    assert_eq!(blank.status, 422, "a reason is needed");
    let fields = [
        ("lost_day", "2026-08-14"),
        ("lost_reason", "storm"),
        ("lost_cover", "tarpaulin"),
    ];
    assert_eq!(
        foreman
            .send_from(&blank, "/crew/plan/lost", &fields)
            .await
            .status,
        303
    );
    let day = |text: &str| text.parse().expect("a day");
    let slots = crew::slots(
        site.firm.app.db().read(),
        day("2026-08-10"),
        day("2026-08-22"),
    )
    .await
    .expect("slots");
    let days: Vec<String> = slots.iter().map(|s| s.day.to_string()).collect();
    assert_eq!(
        days,
        ["2026-08-13", "2026-08-17"],
        "over the weekend to Monday"
    );
    assert!(
        foreman
            .get(PLAN)
            .await
            .body
            .contains("storm Cover: tarpaulin 1 steps moved on.")
    );
}

#[tokio::test]
async fn too_much_on_a_day_and_work_on_a_day_away_are_marked() {
    let site = a_site().await;
    let cassia = site.firm.person("carpenter").await;
    planned(&site, "cut", cassia, "2026-08-14").await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    assert!(!foreman.get(PLAN).await.body.contains("too much"));
    let user = cassia.to_string();
    let fields = [
        ("away_user", user.as_str()),
        ("away_first", "2026-08-14"),
        ("away_to", ""),
    ];
    foreman.send(PLAN, "/crew/plan/away", &fields).await;
    assert!(foreman.get(PLAN).await.body.contains("too much"));
}

#[tokio::test]
async fn twins_wait_for_their_pattern_head() {
    let site = a_site().await;
    let foreman = site.firm.person("foreman").await;
    let twin = a_head(&site.firm.app, foreman, site.opening, a_gable()).await;
    let client = site.firm.client_as(Role::Foreman).await;
    let pattern = site.head.to_string();
    let fields = [("pattern_head", pattern.as_str()), ("do", "wait")];
    assert_eq!(
        client
            .send(PLAN, "/crew/plan/pattern", &fields)
            .await
            .status,
        303
    );
    let pool = site.firm.app.db().read();
    let waits = crew::pattern_of(pool, twin)
        .await
        .expect("told")
        .expect("it waits");
    assert_eq!((waits.0, waits.3), (site.head, false));
    crate::safety::sign_all(&site.firm, site.job).await;
    let page = format!("/heads/{twin}");
    for _ in 0..3 {
        client
            .send(&page, &format!("{page}/step"), &[("do", "next")])
            .await;
    }
    let refused = client
        .send(&page, &format!("{page}/step"), &[("do", "next")])
        .await;
    assert_eq!(refused.status, 409);
    assert!(refused.body.contains("pattern head"), "{}", refused.body);
    let fields = [("pattern_head", pattern.as_str()), ("do", "free")];
    client.send(PLAN, "/crew/plan/pattern", &fields).await;
    assert_eq!(
        client
            .send(&page, &format!("{page}/step"), &[("do", "next")])
            .await
            .status,
        303
    );
}

#[tokio::test]
async fn a_change_by_another_is_told_within_two_seconds() {
    let site = a_site().await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let before = foreman.get("/crew/plan/changes").await.body;
    let url = format!("{}/crew/plan/changes", foreman.url);
    let stream = foreman
        .http
        .get(url)
        .header("accept", "text/event-stream")
        .send()
        .await;
    let mut stream = stream.expect("a stream");
    assert_eq!(stream.headers()["content-type"], "text/event-stream");
    let mut told = String::new();
    let first = stream
        .chunk()
        .await
        .expect("read")
        .expect("the first event");
    told += &String::from_utf8_lossy(&first);
    assert!(told.contains(&format!("data: {before}")), "{told}");
    let owner = site.firm.client_as(Role::Owner).await;
    let page = format!("/heads/{}", site.head);
    assert_eq!(
        owner
            .send(&page, &format!("{page}/step"), &[("do", "next")])
            .await
            .status,
        303
    );
    let next = tokio::time::timeout(Duration::from_secs(2), stream.chunk()).await;
    let next = next
        .expect("within two seconds")
        .expect("read")
        .expect("an event");
    let after = foreman.get("/crew/plan/changes").await.body;
    assert!(String::from_utf8_lossy(&next).contains(&format!("data: {after}")));
    assert_ne!(before, after);
}
