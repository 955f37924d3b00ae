//! Saws: who may, what is refused, test cuts that stay, and the saw that a
//! sheet is shown for.

use headwright::access::Role;
use headwright::firm::{self, SawId};

use crate::heads::a_site;
use crate::support::{self, Client, TestApp};

/// A saw that differs from the one the firm starts with.
const FIELDS: [(&str, &str); 10] = [
    ("saw_name", "Van saw"),
    ("used_by", "Van 2"),
    ("swing_left", "60"),
    ("swing_right", "52"),
    ("tilt_left", "48"),
    ("tilt_right", "46"),
    ("max_height", "5 1/4"),
    ("max_depth", "12"),
    ("kerf", "3/32"),
    ("sprung", "nested"),
];

/// Adds that saw by the page; its row.
async fn a_saw(firm: &TestApp, client: &Client) -> i64 {
    let reply = client
        .send("/firm/saws/new", "/firm/saws/new", &FIELDS)
        .await;
    assert_eq!(reply.status, 303, "{}", reply.body);
    let saws = firm::saws(firm.app.db().read()).await.expect("saws");
    saws.iter()
        .find(|saw| saw.facts.name == "Van saw")
        .expect("the new saw")
        .id
        .get()
}

/// A test cut sent from the saw's page.
async fn test_cut(client: &Client, saw: i64, fields: &[(&str, &str)]) -> support::Reply {
    let page = format!("/firm/saws/{saw}");
    client.send(&page, &format!("{page}/test"), fields).await
}

// The permission table's row "head design, sections, saws": owner and foreman
// write, all read; a carpenter checks a saw. Agreed with the firm.
#[tokio::test]
async fn owner_and_foreman_write_saws_and_everyone_reads_them() {
    let firm = support::a_firm().await;
    for (role, writes, tests) in [
        (Role::Owner, true, true),
        (Role::Office, false, false),
        (Role::Foreman, true, true),
        (Role::Carpenter, false, true),
    ] {
        let client = firm.client_as(role).await;
        assert_eq!(client.get("/firm/saws").await.status, 200, "{role}");
        let page = client.get("/firm/saws/1").await;
        assert_eq!(page.status, 200, "{role}");
        let form = if writes { 200 } else { 404 };
        for address in ["/firm/saws/new", "/firm/saws/1/edit"] {
            assert_eq!(client.get(address).await.status, form, "{role} {address}");
        }
        assert_eq!(
            page.body.contains("/firm/saws/1/test"),
            tests,
            "{role}: the form of a test cut"
        );
    }
}

#[tokio::test]
async fn the_office_cannot_send_a_test_cut_either() {
    let firm = support::a_firm().await;
    let office = firm.client_as(Role::Office).await;
    let page = office.get("/firm/saws/1").await;
    let held = support::html::form(&page.body, "/sign-out").expect("a form with a token");
    let mut fields: Vec<(&str, &str)> = held
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    fields.extend([
        ("axis", "swing"),
        ("side", "left"),
        ("set", "45"),
        ("measured", "44.8"),
    ]);
    let reply = office.post_raw("/firm/saws/1/test", &fields).await;
    assert_eq!(reply.status, 404);
}

#[tokio::test]
async fn a_foremans_new_saw_is_kept_as_typed_and_can_be_changed() {
    let firm = support::a_firm().await;
    let foreman = firm.client_as(Role::Foreman).await;
    let id = a_saw(&firm, &foreman).await;
    let edit = format!("/firm/saws/{id}/edit");
    let mine = foreman.get(&edit).await;
    for (name, value) in FIELDS {
        let held = support::html::form(&mine.body, &edit).expect("the form");
        let kept = held.iter().find(|(n, _)| n == name).expect("the field");
        assert_eq!(kept.1, value, "{name}");
    }
    let owner = firm.client_as(Role::Owner).await;
    let theirs = owner.send(&edit, &edit, &[("kerf", "1/8")]).await;
    assert_eq!(theirs.status, 303);
    let late = foreman
        .send_from(&mine, &edit, &[("swing_left", "58")])
        .await;
    assert_eq!(late.status, 409, "two editors: the later one is asked");
    assert!(late.body.contains("value=\"58\""), "what was typed stays");
    assert!(
        late.body.contains("<b>1/8</b>"),
        "the other's value stands beside"
    );
}

#[tokio::test]
async fn a_saw_that_cannot_be_is_refused_with_what_is_allowed() {
    let firm = support::a_firm().await;
    let foreman = firm.client_as(Role::Foreman).await;
    for (name, value, says) in [
        ("saw_name", "", "cannot stay empty"),
        ("swing_left", "90", "from 0 to 70"),
        ("tilt_right", "flat", "from 0 to 60"),
        ("max_height", "0", "More than nothing"),
        ("kerf", "7", "at most 6"),
        ("user", "999", "Choose one of the list"),
        ("sprung", "sideways", "Choose one of the list"),
    ] {
        let reply = foreman
            .send(
                "/firm/saws/new",
                "/firm/saws/new",
                // The first of two fields of one name counts.
                &[(name, value), ("saw_name", "S")],
            )
            .await;
        assert_eq!(reply.status, 422, "{name} {value}");
        assert!(reply.body.contains(says), "{name}: {}", reply.body);
    }
}

#[tokio::test]
async fn the_usual_saw_is_never_archived_and_another_can_become_it() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let id = a_saw(&firm, &owner).await;
    let first = owner.get("/firm/saws/1").await;
    assert!(
        !first.body.contains("/firm/saws/1/archive"),
        "no button for the usual saw"
    );
    let page = format!("/firm/saws/{id}");
    let made = owner.send(&page, &format!("{page}/usual"), &[]).await;
    assert_eq!(made.status, 303);
    let usual = firm::usual_saw(firm.app.db().read()).await.expect("a saw");
    assert_eq!(usual.id.get(), id);
    let away = owner
        .send("/firm/saws/1", "/firm/saws/1/archive", &[("away", "yes")])
        .await;
    assert_eq!(away.status, 303);
    let shown = owner.get("/firm/saws").await.body;
    assert!(shown.contains("archived"));
    // Its row still stands, so sheets of the past keep their saw.
    let kept = firm::saw(firm.app.db().read(), SawId::new(1))
        .await
        .expect("kept");
    assert!(kept.archived_at.is_some());
}

#[tokio::test]
async fn a_test_cut_is_checked_and_then_stays_for_good() {
    let firm = support::a_firm().await;
    let carpenter = firm.client_as(Role::Carpenter).await;
    for (fields, says) in [
        (
            [("set", "45"), ("measured", "30"), ("day", "2026-08-14")],
            "more than 5°",
        ),
        (
            [("set", "45"), ("measured", "44.8"), ("day", "2026-08-15")],
            "at the latest",
        ),
        (
            [("set", "45"), ("measured", "44.8"), ("day", "")],
            "Choose the day",
        ),
        (
            [("set", "71"), ("measured", "70.9"), ("day", "2026-08-14")],
            "from 0 to 70",
        ),
    ] {
        let reply = test_cut(&carpenter, 1, &fields).await;
        assert_eq!(reply.status, 422, "{fields:?}");
        assert!(reply.body.contains(says), "{fields:?}");
        assert!(reply.body.contains(&format!("value=\"{}\"", fields[0].1)));
    }
    let good = [
        ("axis", "swing"),
        ("side", "right"),
        ("set", "45"),
        ("measured", "44.8"),
        ("day", "2026-08-14"),
    ];
    assert_eq!(test_cut(&carpenter, 1, &good).await.status, 303);
    let page = carpenter.get("/firm/saws/1").await.body;
    assert!(page.contains("cuts 0.2° less than it shows"), "{page}");
    assert!(page.contains("14 Aug 2026") && page.contains("in use"));
    let mut tx = firm.app.db().write().await.expect("the writer");
    for sql in [
        "UPDATE saw_test SET measured_deg = 45",
        "DELETE FROM saw_test",
    ] {
        let done = sqlx::query(sqlx::AssertSqlSafe(sql))
            .execute(&mut *tx)
            .await;
        assert!(done.is_err(), "{sql} is refused by the table");
    }
}

#[tokio::test]
async fn the_latest_test_cut_of_a_side_is_in_use_and_the_earlier_is_overtaken() {
    let firm = support::a_firm().await;
    let foreman = firm.client_as(Role::Foreman).await;
    let cut = |side: &'static str, measured: &'static str, day: &'static str| {
        [
            ("axis", "swing"),
            ("side", side),
            ("set", "45"),
            ("measured", measured),
            ("day", day),
        ]
    };
    // Written down out of the order of the days.
    for fields in [
        cut("right", "44.6", "2026-08-12"),
        cut("right", "45.3", "2026-08-10"),
        cut("left", "45.1", "2026-08-11"),
    ] {
        assert_eq!(test_cut(&foreman, 1, &fields).await.status, 303);
    }
    let tests = firm::tests_of(firm.app.db().read(), SawId::new(1))
        .await
        .expect("read");
    let counting = |angle| {
        firm::counting(&tests, headwright::trim::dial::Axis::Swing, angle)
            .map(|cut| cut.reading.measured)
    };
    assert_eq!(counting(30.0), Some(44.6));
    assert_eq!(counting(-30.0), Some(45.1));
    assert_eq!(counting(0.0), None, "nothing is known of square");
    let page = foreman.get("/firm/saws/1").await.body;
    assert_eq!(page.matches("in use").count(), 2);
    assert_eq!(page.matches("overtaken").count(), 1);
}

#[tokio::test]
async fn a_sheet_is_shown_for_the_saw_asked_for_and_a_persons_own_is_remembered() {
    let site = a_site().await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let id = a_saw(&site.firm, &foreman).await;
    let sheet = format!("/heads/{}/sheet", site.head);
    let saw_of = |body: &str| {
        support::html::between(body, "<dt>Saw</dt><dd>", "</dd>")
            .expect("the saw is named")
            .to_owned()
    };
    assert_eq!(saw_of(&foreman.get(&sheet).await.body), "Shop saw");
    let asked = foreman.get(&format!("{sheet}?saw={id}")).await.body;
    assert_eq!(saw_of(&asked), "Van saw");
    assert_eq!(
        foreman.get(&format!("{sheet}?saw=999999")).await.status,
        404
    );
    assert_eq!(foreman.get(&format!("{sheet}?saw=x%27")).await.status, 200);
    let page = format!("/firm/saws/{id}");
    let chosen = foreman.send(&page, &format!("{page}/mine"), &[]).await;
    assert_eq!(chosen.status, 303);
    assert_eq!(saw_of(&foreman.get(&sheet).await.body), "Van saw");
    let owner = site.firm.client_as(Role::Owner).await;
    assert_eq!(
        saw_of(&owner.get(&sheet).await.body),
        "Shop saw",
        "others keep theirs"
    );
}

#[tokio::test]
async fn the_sheet_says_what_to_dial_and_what_it_stands_for() {
    let site = a_site().await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let sheet = format!("/heads/{}/sheet", site.head);
    assert!(!foreman.get(&sheet).await.body.contains("dial swing"));
    // Set 45, measured 45.2: it cuts too much, so it is set less.
    let fields = [
        ("axis", "swing"),
        ("side", "left"),
        ("set", "45"),
        ("measured", "45.2"),
        ("day", "2026-08-14"),
    ];
    assert_eq!(test_cut(&foreman, 1, &fields).await.status, 303);
    let page = foreman.get(&sheet).await.body;
    assert!(
        page.contains(
            "dial swing left 44.8° (sheet 45.0°; this saw cuts 0.2° more than it shows, \
             test cut of 14 Aug 2026)"
        ),
        "{page}"
    );
    assert!(
        page.contains("swing left 44.8° on the scale"),
        "the orders of work too"
    );
    assert!(page.contains("on the scale, for 45.0°"), "and the picture");
    assert!(
        !page.contains("dial swing right"),
        "nothing is known of the right"
    );
}
