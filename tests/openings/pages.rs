//! Openings and the measuring form in the browser.

use headwright::access::Role;
use headwright::openings::Pass;

use crate::support::records::{a_client, a_job, a_survey, an_opening};
use crate::support::{TestApp, a_firm, html};

async fn a_job_of_the_foreman(firm: &TestApp) -> headwright::jobs::JobId {
    let client = a_client(firm, "Wren").await;
    a_job(firm, client, "SM", Some(firm.person("foreman").await)).await
}

#[tokio::test]
async fn an_opening_is_added_measured_twice_and_drawn() {
    let firm = a_firm().await;
    let job = a_job_of_the_foreman(&firm).await;
    let foreman = firm.client_as(Role::Foreman).await;
    let new = format!("/openings/new/{job}");
    let fields = [
        ("mark", "w1"),
        ("kind", "window"),
        ("clear_above", "17 1/2"),
        ("siding_depth", "16 mm"),
        ("next", "measure"),
    ];
    let saved = foreman.send(&new, &new, &fields).await;
    assert_eq!(
        (saved.status, saved.location()),
        (303, "/openings/1/measure?saved")
    );
    let measure = "/openings/1/measure";
    let numbers = [
        ("width_top", "36 5/16"),
        ("width_middle", "36 1/4"),
        ("width_bottom", "3' 1/4\""),
        ("height_left", "48"),
        ("height_middle", "48 1/16"),
        ("height_right", "48"),
        ("rising", "60 3/16"),
        ("falling", "60 3/16"),
        ("plumb", "1/8"),
        ("level", "0"),
    ];
    assert_eq!(foreman.send(measure, measure, &numbers).await.status, 303);
    let once = foreman.get("/openings/1").await;
    for text in [
        "36 5/16",
        "measured once",
        "Take the second measure",
        "role=\"img\"",
        "16 mm",
    ] {
        assert!(once.body.contains(text), "{text}");
    }
    let empty = foreman.get(measure).await;
    let held = html::form(&empty.body, measure).expect("the form");
    assert!(held.contains(&("pass".to_owned(), "second".to_owned())));
    assert!(
        held.contains(&("width_top".to_owned(), String::new())),
        "the second does not lean on the first"
    );
    let other: Vec<_> = numbers
        .iter()
        .map(|(n, v)| (*n, if *n == "rising" { "60 1/2" } else { *v }))
        .collect();
    assert_eq!(foreman.send(measure, measure, &other).await.status, 303);
    let twice = foreman.get("/openings/1").await;
    assert!(twice.body.contains("measures differ"));
    assert!(
        twice
            .body
            .contains("Diagonal, rising: first 60 3/16 in, second 60 1/2 in, 5/16 in apart.")
    );
    let job = foreman.get(&format!("/jobs/{job}")).await;
    assert!(
        job.body.contains("36 5/16 × 48 1/16"),
        "the size in the job's table"
    );
}

#[tokio::test]
async fn a_wrong_number_keeps_all_the_others() {
    let firm = a_firm().await;
    let job = a_job_of_the_foreman(&firm).await;
    let foreman = firm.client_as(Role::Foreman).await;
    let id = an_opening(&firm, job, "W1").await;
    let measure = format!("/openings/{id}/measure");
    let typed = [
        ("width_top", "36 5/16"),
        ("width_middle", "36 5/0"),
        ("height_left", "4 ft"),
        ("note", "Rain <i>"),
    ];
    let reply = foreman.send(&measure, &measure, &typed).await;
    assert_eq!(reply.status, 422);
    let held = html::form(&reply.body, &measure).expect("the form");
    for (name, value) in typed {
        assert!(
            held.contains(&(name.to_owned(), value.to_owned())),
            "{name} stays"
        );
    }
    assert!(reply.body.contains("id=\"width_middle-error\""));
    assert_eq!(
        foreman
            .send_from(&reply, &measure, &[("width_middle", "36 1/4")])
            .await
            .status,
        303
    );
}

#[tokio::test]
async fn a_measure_tapped_twice_is_kept_once_and_setting_one_right_adds_a_row() {
    let firm = a_firm().await;
    let job = a_job_of_the_foreman(&firm).await;
    let foreman = firm.client_as(Role::Foreman).await;
    let id = an_opening(&firm, job, "W1").await;
    a_survey(&firm, id, Pass::First, "37").await;
    let (page, measure) = (
        format!("/openings/{id}/measure?from=1"),
        format!("/openings/{id}/measure"),
    );
    let shown = foreman.get(&page).await;
    let held = html::form(&shown.body, &measure).expect("the form");
    assert!(held.contains(&("width_top".to_owned(), "37".to_owned())));
    for _ in 0..2 {
        let sent = foreman
            .send_from(&shown, &measure, &[("width_top", "36")])
            .await;
        assert_eq!(sent.status, 303);
    }
    let kept = headwright::openings::surveys_of(firm.app.db().read(), id)
        .await
        .expect("read");
    assert_eq!(
        kept.len(),
        2,
        "the old one stays, the new one is there once"
    );
}

#[tokio::test]
async fn a_mark_taken_is_said_beside_the_field() {
    let firm = a_firm().await;
    let job = a_job_of_the_foreman(&firm).await;
    let foreman = firm.client_as(Role::Foreman).await;
    an_opening(&firm, job, "W1").await;
    let new = format!("/openings/new/{job}");
    let reply = foreman
        .send(
            &new,
            &new,
            &[("mark", "W1"), ("kind", "door"), ("note", "kept")],
        )
        .await;
    assert_eq!(reply.status, 422);
    assert!(reply.body.contains("id=\"mark-error\"") && reply.body.contains("kept"));
}

#[tokio::test]
async fn another_foremans_opening_can_be_read_but_not_written_and_a_carpenters_not_at_all() {
    let firm = a_firm().await;
    let job = a_job_of_the_foreman(&firm).await;
    let id = an_opening(&firm, job, "W1").await;
    let other = firm.signed_in("foreman2").await;
    for (path, status) in [
        (format!("/openings/{id}"), 200),
        (format!("/openings/{id}/edit"), 404),
        (format!("/openings/{id}/measure"), 404),
        ("/openings/999".to_owned(), 404),
    ] {
        assert_eq!(other.get(&path).await.status, status, "{path}");
    }
    let page = other.get(&format!("/openings/{id}")).await;
    assert!(
        !page.body.contains("/measure"),
        "no button that would end in a 404"
    );
    let carpenter = firm.client_as(Role::Carpenter).await;
    assert_eq!(carpenter.get(&format!("/openings/{id}")).await.status, 404);
    assert_eq!(carpenter.get(&format!("/jobs/{job}")).await.status, 404);
    assert!(!carpenter.get("/jobs").await.body.contains("SM"));
}

#[tokio::test]
async fn of_two_editors_the_second_sees_both_values() {
    let firm = a_firm().await;
    let job = a_job_of_the_foreman(&firm).await;
    let foreman = firm.client_as(Role::Foreman).await;
    let page = format!("/openings/{}/edit", an_opening(&firm, job, "W1").await);
    let (mine, theirs) = (foreman.get(&page).await, foreman.get(&page).await);
    assert_eq!(
        foreman
            .send_from(&theirs, &page, &[("clear_above", "12")])
            .await
            .status,
        303
    );
    let conflict = foreman
        .send_from(&mine, &page, &[("clear_above", "11 1/2")])
        .await;
    assert_eq!(conflict.status, 409);
    assert!(conflict.body.contains("value=\"11 1/2\"") && conflict.body.contains("<b>12</b>"));
    assert_eq!(foreman.send_from(&conflict, &page, &[]).await.status, 303);
}
