//! The way from a first call to a visit, in the browser.

use headwright::access::Role;

use crate::support::records::{a_client, a_job, a_visit, an_enquiry};
use crate::support::{a_firm, html};

#[tokio::test]
async fn a_first_call_becomes_a_client_by_one_press_and_a_visit_moves_it_on() {
    let firm = a_firm().await;
    let office = firm.client_as(Role::Office).await;
    let new = "/clients/enquiries/new";
    let call = [
        ("name", "Wren Abelard"),
        ("phone", "555-0114"),
        ("email", "wren@example.org"),
        ("heard_of", "the van"),
        ("wants", "One head over a door."),
    ];
    let saved = office.send(new, new, &call).await;
    assert_eq!(
        (saved.status, saved.location()),
        (303, "/clients/enquiries/1?saved")
    );
    let shown = office.get("/clients/enquiries/1").await;
    let made = office
        .send_from(&shown, "/clients/enquiries/1/client", &[])
        .await;
    assert_eq!((made.status, made.location()), (303, "/clients/1?saved"));
    let again = office
        .send_from(&shown, "/clients/enquiries/1/client", &[])
        .await;
    assert_eq!(
        again.location(),
        "/clients/1?saved",
        "a second tap makes no second client"
    );
    let client = office.get("/clients/1").await;
    for text in [
        "Wren Abelard",
        "555-0114",
        "wren@example.org",
        "the van",
        "tel:5550114",
    ] {
        assert!(client.body.contains(text), "{text} went over");
    }
    let visit = "/clients/1/visits/new";
    let agreed = [
        ("purpose", "First look"),
        ("day", "2026-08-20"),
        ("time", "09:30"),
        ("key_with", "A neighbour"),
    ];
    assert_eq!(office.send(visit, visit, &agreed).await.status, 303);
    let call = office.get("/clients/enquiries/1").await;
    assert!(call.body.contains("Visit agreed"));
    let today = office.get("/").await;
    assert!(
        today.body.contains("Wren Abelard: First look"),
        "on Today within the week"
    );
    let rows = firm.dump().await;
    for event in ["enquiry.added", "client.added", "visit.added"] {
        assert_eq!(rows.matches(event).count(), 1, "{event}");
    }
}

#[tokio::test]
async fn a_call_refused_keeps_every_field_and_says_all_that_is_wrong() {
    let firm = a_firm().await;
    let office = firm.client_as(Role::Office).await;
    let new = "/clients/enquiries/new";
    let call = [
        ("name", "Wren <b>"),
        ("phone", "call me"),
        ("day", "soon"),
        ("wants", ""),
    ];
    let reply = office.send(new, new, &call).await;
    assert_eq!(reply.status, 422);
    let kept = html::form(&reply.body, new).expect("the form");
    for (name, value) in call {
        assert!(
            kept.contains(&(name.to_owned(), value.to_owned())),
            "{name} stays"
        );
    }
    for field in ["phone", "day", "wants"] {
        assert!(
            reply.body.contains(&format!("id=\"{field}-error\"")),
            "{field}"
        );
    }
}

#[tokio::test]
async fn of_two_editors_the_second_sees_both_values() {
    let firm = a_firm().await;
    let office = firm.client_as(Role::Office).await;
    let client = a_client(&firm, "Wren").await;
    let enquiry = an_enquiry(&firm, "Wren").await;
    let visit = a_visit(&firm, client, None).await;
    for (page, field) in [
        (format!("/clients/{client}/edit"), "note"),
        (format!("/clients/enquiries/{enquiry}/edit"), "heard_of"),
        (format!("/clients/visits/{visit}/edit"), "key_with"),
    ] {
        let (mine, theirs) = (office.get(&page).await, office.get(&page).await);
        let saved = office.send_from(&theirs, &page, &[(field, "Theirs")]).await;
        assert_eq!(saved.status, 303, "{page}");
        let conflict = office.send_from(&mine, &page, &[(field, "Mine")]).await;
        assert_eq!(conflict.status, 409, "{page}");
        assert!(
            conflict.body.contains("Mine") && conflict.body.contains("<b>Theirs</b>"),
            "{page}"
        );
        let again = office.send_from(&conflict, &page, &[(field, "Mine")]).await;
        assert_eq!(again.status, 303, "{page}");
    }
}

#[tokio::test]
async fn a_foreman_sees_own_clients_and_visits_and_no_others() {
    let firm = a_firm().await;
    let foreman = firm.client_as(Role::Foreman).await;
    let me = firm.person("foreman").await;
    let mine = a_client(&firm, "My client").await;
    let other = a_client(&firm, "Other client").await;
    a_job(&firm, mine, "SM", Some(me)).await;
    let my_visit = a_visit(&firm, mine, Some(me)).await;
    let other_visit = a_visit(&firm, other, None).await;
    let list = foreman.get("/clients").await;
    assert!(list.body.contains("My client") && !list.body.contains("Other client"));
    for (path, status) in [
        (format!("/clients/{mine}"), 200),
        (format!("/clients/{other}"), 404),
        (format!("/clients/{mine}/edit"), 404),
        (format!("/clients/visits/{my_visit}"), 200),
        (format!("/clients/visits/{my_visit}/edit"), 200),
        (format!("/clients/visits/{other_visit}"), 404),
        (format!("/clients/{mine}/visits/new"), 200),
        (format!("/clients/{other}/visits/new"), 404),
        ("/clients/enquiries".to_owned(), 404),
        ("/clients/new".to_owned(), 404),
    ] {
        assert_eq!(foreman.get(&path).await.status, status, "{path}");
    }
}

#[tokio::test]
async fn a_carpenter_sees_no_page_of_clients() {
    let firm = a_firm().await;
    let client = a_client(&firm, "Wren").await;
    let carpenter = firm.client_as(Role::Carpenter).await;
    for path in [
        "/clients",
        "/clients/visits",
        "/clients/enquiries",
        &format!("/clients/{client}"),
    ] {
        assert_eq!(carpenter.get(path).await.status, 404, "{path}");
    }
    assert!(!carpenter.get("/").await.body.contains("href=\"/clients\""));
}

#[tokio::test]
async fn what_is_archived_leaves_the_list_and_comes_back() {
    let firm = a_firm().await;
    let office = firm.client_as(Role::Office).await;
    let id = a_client(&firm, "Wren").await;
    let (page, archive) = (format!("/clients/{id}"), format!("/clients/{id}/archive"));
    assert_eq!(
        office
            .send(&page, &archive, &[("away", "yes")])
            .await
            .status,
        303
    );
    assert!(!office.get("/clients").await.body.contains("Wren"));
    assert!(
        office
            .get("/clients?archived=yes")
            .await
            .body
            .contains("Wren")
    );
    assert_eq!(
        office.send(&page, &archive, &[("away", "no")]).await.status,
        303
    );
    assert!(office.get("/clients").await.body.contains("Wren"));
}

#[tokio::test]
async fn an_empty_list_says_what_to_do_and_a_long_one_has_pages() {
    let firm = a_firm().await;
    let office = firm.client_as(Role::Office).await;
    assert!(office.get("/clients").await.body.contains("No clients yet"));
    for n in 0..51 {
        a_client(&firm, &format!("Client {n:02}")).await;
    }
    let first = office.get("/clients").await;
    assert!(first.body.contains("Client 49") && !first.body.contains("Client 50"));
    let second = office.get("/clients?page=2").await;
    assert!(second.body.contains("Client 50") && !second.body.contains("Client 49"));
    assert!(
        office
            .get("/clients?q=nobody")
            .await
            .body
            .contains("No client like")
    );
    assert_eq!(
        office
            .get("/clients?page=-1&sort=%27&q=%25%00")
            .await
            .status,
        200
    );
}
