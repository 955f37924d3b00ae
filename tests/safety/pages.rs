//! The pages of safety: signing, the gate, who sees what.

use headwright::access::Role;
use headwright::heads::{self, Gate as _};
use headwright::jobs::JobId;
use headwright::safety::{self, Answer, Heads, SafetyGate};

use super::answered;
use crate::heads::{Site, a_site, made};
use crate::support::html;

#[tokio::test]
async fn a_checklist_is_signed_once_by_person_and_time_and_never_changes() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let client = site.firm.client_as(Role::Carpenter).await;
    let page = format!("/safety/jobs/{}/sign/1/0", site.job);
    let shown = client.get(&page).await;
    let blank = client.send_from(&shown, &page, &[("a1", "yes")]).await;
    assert_eq!(blank.status, 422);
    assert!(
        blank.body.contains("Answer question 2."),
        "every question is answered"
    );
    let all: Vec<(String, &str)> = (1..=7).map(|n| (format!("a{n}"), "yes")).collect();
    let fields: Vec<(&str, &str)> = all.iter().map(|(n, v)| (n.as_str(), *v)).collect();
    let first = client.send_from(&blank, &page, &fields).await;
    let again = client.send_from(&blank, &page, &fields).await;
    assert_eq!((first.status, again.status), (303, 303), "{}", first.body);
    assert_eq!(
        first.location(),
        again.location(),
        "a double tap signs once"
    );
    let job = JobId::new(site.job);
    let signed = safety::signed_of(site.firm.app.db().read(), job, "")
        .await
        .expect("signed");
    assert_eq!(signed.len(), 1);
    assert_eq!(signed[0].who, "Cassia Inglenook");
    assert!(
        client
            .get(first.location())
            .await
            .body
            .contains("Cassia Inglenook")
    );
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    for sql in ["UPDATE checklist SET clear = 0", "DELETE FROM checklist"] {
        let tried = sqlx::query(sql).execute(&mut *tx).await;
        assert!(tried.is_err(), "{sql}");
    }
}

#[tokio::test]
async fn a_no_needs_words_keeps_the_gate_shut_and_a_new_one_takes_its_place() {
    let site = a_site().await;
    let job = JobId::new(site.job);
    let foreman = site.firm.person("foreman").await;
    let client = site.firm.client_as(Role::Foreman).await;
    let page = format!("/safety/jobs/{}/sign/1/0", site.job);
    let mut all: Vec<(String, &str)> = (1..=7).map(|n| (format!("a{n}"), "yes")).collect();
    all[1].1 = "no";
    let fields: Vec<(&str, &str)> = all.iter().map(|(n, v)| (n.as_str(), *v)).collect();
    let bare = client.send(&page, &page, &fields).await;
    assert_eq!(bare.status, 422);
    assert!(bare.body.contains("say what is wrong and who sees to it"));
    let told = client
        .send_from(
            &bare,
            &page,
            &[&fields[..], &[("n2", "dull; Tom changes it")]].concat(),
        )
        .await;
    assert_eq!(told.status, 303);
    let saw = |wanted: &[safety::Wanted]| {
        let one = wanted
            .iter()
            .find(|w| w.template.topic.as_deref() == Some("saw"));
        one.expect("asked").clone()
    };
    let safety = safety::of_job(&site.firm.app, job, Heads::All)
        .await
        .expect("the job");
    assert!(!saw(&safety.wanted).is_met() && saw(&safety.wanted).signed.is_some());
    let shut = before_cutting(&site).await;
    assert!(
        shut.iter()
            .any(|w| w.contains("Saw check") && w.contains("answered no")),
        "{shut:?}"
    );
    site.firm.later(60);
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    let new = answered(&site.firm, job, &saw(&safety.wanted), Answer::Yes);
    safety::sign(&mut tx, made(foreman), &new)
        .await
        .expect("signed");
    tx.commit().await.expect("kept");
    let safety = safety::of_job(&site.firm.app, job, Heads::All)
        .await
        .expect("the job");
    assert!(saw(&safety.wanted).is_met());
    let open = before_cutting(&site).await;
    assert!(open.iter().all(|w| !w.contains("Saw check")), "{open:?}");
    assert_eq!(safety.signed.len(), 2, "the old one is kept");
    site.firm.later(24 * 3600);
    let tomorrow = safety::of_job(&site.firm.app, job, Heads::All)
        .await
        .expect("the job");
    assert!(
        saw(&tomorrow.wanted).signed.is_none(),
        "tomorrow it is asked again"
    );
}

/// What keeps the head from being cut.
async fn before_cutting(site: &Site) -> Vec<String> {
    let steps = heads::steps(site.firm.app.db().read())
        .await
        .expect("steps");
    let cut = steps.iter().find(|s| s.name == "cut").expect("a step");
    SafetyGate
        .closed(site.firm.app.clone(), site.head, cut.clone())
        .await
        .expect("it can tell")
}

#[tokio::test]
async fn the_rule_keeps_asking_its_checklists_for_what_they_are_about() {
    let site = a_site().await;
    let owner = site.firm.client_as(Role::Owner).await;
    let list = "/safety/lists/1";
    assert!(
        !owner.get(list).await.body.contains("name=\"scope\""),
        "no choice is offered"
    );
    let sent = owner.send(list, list, &[("scope", "head")]).await;
    assert_eq!(sent.status, 303, "{}", sent.body);
    super::sign_all(&site.firm, site.job).await;
    assert_eq!(
        before_cutting(&site).await,
        Vec::<String>::new(),
        "what is signed opens the gate"
    );
}

#[tokio::test]
async fn no_number_of_later_signatures_hides_one_that_counts() {
    let site = a_site().await;
    super::sign_all(&site.firm, site.job).await;
    let job = JobId::new(site.job);
    let foreman = site.firm.person("foreman").await;
    let safety = safety::of_job(&site.firm.app, job, Heads::All)
        .await
        .expect("the job");
    let (first, last) = (&safety.wanted[0], safety.wanted.len() - 1);
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    for _ in 0..1100 {
        let new = answered(&site.firm, job, first, Answer::Yes);
        safety::sign(&mut tx, made(foreman), &new)
            .await
            .expect("signed");
    }
    tx.commit().await.expect("kept");
    let safety = safety::of_job(&site.firm.app, job, Heads::All)
        .await
        .expect("the job");
    assert!(safety.wanted[last].is_met() && safety.signed.len() < 200);
}

#[tokio::test]
async fn changed_questions_are_read_again_before_signing_and_the_signed_keep_theirs() {
    let site = a_site().await;
    let owner = site.firm.client_as(Role::Owner).await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    super::sign_all(&site.firm, site.job).await;
    let page = format!("/safety/jobs/{}/sign/1/0", site.job);
    let before = foreman.get(&page).await;
    let list = "/safety/lists/1";
    let stale = owner.get(list).await;
    let changed = owner
        .send(list, list, &[("asks", "Is the saw sound?")])
        .await;
    assert_eq!(changed.status, 303, "{}", changed.body);
    assert_eq!(
        owner
            .send_from(&stale, list, &[("title", "Mine")])
            .await
            .status,
        409
    );
    let all: Vec<(String, &str)> = (1..=7).map(|n| (format!("a{n}"), "yes")).collect();
    let fields: Vec<(&str, &str)> = all.iter().map(|(n, v)| (n.as_str(), *v)).collect();
    let late = foreman.send_from(&before, &page, &fields).await;
    assert_eq!(late.status, 422);
    assert!(late.body.contains("changed meanwhile") && late.body.contains("Is the saw sound?"));
    let signed = safety::signed_of(site.firm.app.db().read(), JobId::new(site.job), "")
        .await
        .expect("signed");
    assert!(
        signed
            .iter()
            .any(|s| s.title == "Saw check" && s.answers.len() == 7)
    );
}

#[tokio::test]
async fn the_site_decides_what_is_asked_and_only_the_foreman_writes_it() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let carpenter = site.firm.client_as(Role::Carpenter).await;
    let (page, form) = (
        format!("/safety/jobs/{}", site.job),
        format!("/safety/jobs/{}/site", site.job),
    );
    assert_eq!(carpenter.get(&page).await.status, 200);
    assert_eq!(carpenter.get(&form).await.status, 404);
    assert!(
        !foreman
            .get(&page)
            .await
            .body
            .contains("Fibre cement: silica")
    );
    let fields = [
        ("fibre_cement", "yes"),
        ("work_height", "12'"),
        ("reach", "scaffold"),
        ("lines", "there"),
        ("line_distance", "8'"),
    ];
    assert_eq!(foreman.send(&form, &form, &fields).await.status, 303);
    let body = foreman.get(&page).await.body;
    for words in [
        "Fibre cement: silica",
        "Scaffold",
        "Fall protection",
        "Stop: the line is 8.0 ft away",
    ] {
        assert!(body.contains(words), "{words}");
    }
    let wrong = foreman
        .send(&form, &form, &[("work_height", "high up")])
        .await;
    assert_eq!(wrong.status, 422);
    assert!(wrong.body.contains("value=\"high up\""));
}

#[tokio::test]
async fn a_talk_keeps_who_was_there_and_an_incident_is_read_by_few() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let client = site.firm.client_as(Role::Foreman).await;
    let base = format!("/safety/jobs/{}", site.job);
    let talk = format!("{base}/talk");
    let nobody = client.send(&talk, &talk, &[("topic", "Ladders")]).await;
    assert_eq!(nobody.status, 422);
    let cassia = site.firm.person("carpenter").await.to_string();
    let fields = [("topic", "Ladders"), ("there", cassia.as_str())];
    assert_eq!(client.send_from(&nobody, &talk, &fields).await.status, 303);
    let body = client.get(&base).await.body;
    assert!(body.contains("Ladders") && body.contains("There: Cassia Inglenook"));
    let incident = format!("{base}/incident");
    let fields = [
        ("kind", "injury"),
        ("what", "Cut thumb"),
        ("who", "Canary Thumb"),
    ];
    assert_eq!(client.send(&incident, &incident, &fields).await.status, 303);
    assert!(
        client
            .get("/safety/incidents")
            .await
            .body
            .contains("Cut thumb")
    );
    let carpenter = site.firm.client_as(Role::Carpenter).await;
    for page in [base.as_str(), "/safety/incidents"] {
        assert!(!carpenter.get(page).await.body.contains("Thumb"), "{page}");
    }
    let other = site.firm.signed_in("foreman2").await;
    assert!(
        !other
            .get("/safety/incidents")
            .await
            .body
            .contains("Cut thumb")
    );
    assert_eq!(other.get(&base).await.status, 404);
}

#[tokio::test]
async fn a_list_of_the_firms_own_is_asked_everywhere_until_it_is_put_away() {
    let site = a_site().await;
    let owner = site.firm.client_as(Role::Owner).await;
    let new = "/safety/lists/new";
    let fields = [
        ("title", "Van is locked"),
        ("scope", "day"),
        ("asks", "Is it?\n\nSure?"),
    ];
    assert_eq!(owner.send(new, new, &fields).await.status, 303);
    let page = format!("/safety/jobs/{}", site.job);
    assert!(owner.get(&page).await.body.contains("Van is locked"));
    let lists = owner.get("/safety/lists").await.body;
    let at = lists.find("Van is locked").expect("listed");
    let link = html::link(
        &lists[..at][lists[..at].rfind("<a").expect("a link")..],
        "/safety/lists/",
    )
    .expect("a link");
    assert_eq!(
        owner
            .send(&link, &format!("{link}/archive"), &[("away", "yes")])
            .await
            .status,
        303
    );
    assert!(!owner.get(&page).await.body.contains("Van is locked"));
}

#[tokio::test]
async fn every_page_of_safety_defers_to_code_maker_and_licence() {
    let site = a_site().await;
    let signed = super::sign_all(&site.firm, site.job).await;
    let owner = site.firm.client_as(Role::Owner).await;
    let job = format!("/safety/jobs/{}", site.job);
    for page in [
        "/safety".to_owned(),
        job.clone(),
        format!("{job}/site"),
        format!("{job}/sign/1/0"),
        format!("{job}/talk"),
        format!("{job}/incident"),
        format!("/safety/signed/{signed}"),
        "/safety/incidents".to_owned(),
        "/safety/lists".to_owned(),
        "/safety/lists/1".to_owned(),
        "/safety/lists/new".to_owned(),
    ] {
        let body = owner.get(&page).await.body;
        assert!(
            body.contains("Check local code and the maker’s data sheet."),
            "{page}"
        );
    }
}
