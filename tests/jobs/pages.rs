//! The pages of jobs.

use headwright::access::Role;
use headwright::app::seed;

use crate::support::records::{a_client, a_job};
use crate::support::{self, a_firm, html};

#[tokio::test]
async fn a_job_begins_with_a_client_and_wins_the_enquiry() {
    let firm = a_firm().await;
    let office = firm.client_as(Role::Office).await;
    let client = a_client(&firm, "Wren").await;
    let page = format!("/jobs/new?client={client}");
    let fields = [
        ("code", "sm"),
        ("title", "House"),
        ("site_address", "1 Quay"),
    ];
    let saved = office.send(&page, "/jobs/new", &fields).await;
    assert_eq!((saved.status, saved.location()), (303, "/jobs/1?saved"));
    let job = office.get("/jobs/1").await;
    for text in [
        "SM · House",
        "1 Quay",
        "No foreman yet.",
        "No openings yet.",
    ] {
        assert!(job.body.contains(text), "{text}");
    }
    let again = office.send(&page, "/jobs/new", &fields).await;
    assert_eq!(again.status, 422);
    assert!(again.body.contains("Another job has this code"));
    let kept = html::form(&again.body, "/jobs/new").expect("the form");
    assert!(
        kept.contains(&("title".to_owned(), "House".to_owned())),
        "what was typed stays"
    );
}

#[tokio::test]
async fn a_foreman_writes_own_jobs_reads_the_rest_and_knows_own_clients_only() {
    let firm = a_firm().await;
    let me = firm.person("foreman").await;
    let client = a_client(&firm, "Wren Abelard").await;
    let mine = a_job(&firm, client, "AA", Some(me)).await;
    let other = a_job(&firm, client, "BB", None).await;
    let foreman = firm.client_as(Role::Foreman).await;
    for (path, status) in [
        (format!("/jobs/{mine}"), 200),
        (format!("/jobs/{mine}/edit"), 200),
        (format!("/jobs/{other}"), 200),
        (format!("/jobs/{other}/edit"), 404),
        (format!("/openings/new/{other}"), 404),
        ("/jobs/new".to_owned(), 404),
        ("/jobs/999".to_owned(), 404),
    ] {
        assert_eq!(foreman.get(&path).await.status, status, "{path}");
    }
    assert!(
        foreman
            .get(&format!("/jobs/{mine}"))
            .await
            .body
            .contains("Wren Abelard")
    );
    let rest = foreman.get(&format!("/jobs/{other}")).await;
    assert!(!rest.body.contains("Wren Abelard") && !rest.body.contains("Terms"));
    // Posting another foreman's name does not give the job away.
    let edit = format!("/jobs/{mine}/edit");
    let two = firm.person("foreman2").await.to_string();
    let away = foreman.send(&edit, &edit, &[("foreman", &two)]).await;
    assert_eq!(away.status, 422, "only what the form offers");
    let nobody = foreman.send(&edit, &edit, &[("foreman", "")]).await;
    assert_eq!(nobody.status, 303);
    assert_eq!(
        foreman.get(&edit).await.status,
        200,
        "still the foreman's own"
    );
}

#[tokio::test]
async fn of_two_editors_the_second_sees_both_values_and_a_replay_counts_once() {
    let firm = a_firm().await;
    let office = firm.client_as(Role::Office).await;
    let client = a_client(&firm, "Wren").await;
    let page = format!("/jobs/{}/edit", a_job(&firm, client, "AA", None).await);
    let (mine, theirs) = (office.get(&page).await, office.get(&page).await);
    let saved = office
        .send_from(&theirs, &page, &[("zone", "Harbour")])
        .await;
    assert_eq!(saved.status, 303);
    let replay = office
        .send_from(&theirs, &page, &[("zone", "Harbour")])
        .await;
    assert_eq!((replay.status, replay.location()), (303, saved.location()));
    let conflict = office.send_from(&mine, &page, &[("zone", "Mill")]).await;
    assert_eq!(conflict.status, 409);
    assert!(conflict.body.contains("value=\"Mill\"") && conflict.body.contains("<b>Harbour</b>"));
    assert_eq!(firm.dump().await.matches("job.changed").count(), 1);
}

#[tokio::test]
async fn the_demo_shows_a_carpenter_no_client_no_telephone_no_terms() {
    let firm = support::start(support::rules(), false).await;
    seed::demo(&firm.app, &firm.site)
        .await
        .expect("the demo is put in");
    let carpenter = firm.anonymous();
    let sign_ins = seed::sign_ins().expect("sign-ins");
    let one = sign_ins
        .iter()
        .find(|line| line.role == "carpenter")
        .expect("a carpenter");
    assert_eq!(
        carpenter.sign_in(&one.sign_in, &one.password).await.status,
        303
    );
    let (mut seen, mut queue) = (Vec::new(), vec!["/".to_owned(), "/jobs".to_owned()]);
    while let Some(path) = queue.pop() {
        if seen.contains(&path) || seen.len() > 300 {
            continue;
        }
        let reply = carpenter.get(&path).await;
        for canary in [
            "555-01",
            "@example",
            "@tidewell",
            "Augusta Orlebar",
            "Tidewell Lettings",
            "Pellow Halt Trust",
            "A third with the order",
            "Half with the order",
            "Prefers a call",
            "mornings",
        ] {
            assert!(!reply.body.contains(canary), "{path} shows {canary}");
        }
        for part in reply.body.split("href=\"/").skip(1) {
            queue.push(html::unescape(&format!(
                "/{}",
                part.split('"').next().unwrap_or("")
            )));
        }
        seen.push(path);
    }
    println!("{} pages", seen.len());
}
