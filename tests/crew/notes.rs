//! Notes on a job and its heads.

use headwright::access::Role;

use crate::heads::a_site;

#[tokio::test]
async fn a_note_stands_on_todays_page_of_whoever_it_is_for_until_seen() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let page = format!("/crew/jobs/{}/notes", site.job);
    let cassia = site.firm.person("carpenter").await.to_string();
    let head = site.head.to_string();
    let blank = foreman.send(&page, &page, &[("to", cassia.as_str())]).await;
    assert_eq!(blank.status, 422);
    let fields = [
        ("words", "Reveal is 1/4"),
        ("to", cassia.as_str()),
        ("head", head.as_str()),
    ];
    assert_eq!(foreman.send_from(&blank, &page, &fields).await.status, 303);
    let carpenter = site.firm.client_as(Role::Carpenter).await;
    assert!(carpenter.get("/").await.body.contains("Reveal is 1/4"));
    assert!(!foreman.get("/").await.body.contains("Notes for you"));
    let shown = carpenter.get(&page).await;
    assert!(shown.body.contains("W1 Porch"));
    assert_eq!(
        carpenter
            .send_from(&shown, "/crew/notes/seen", &[])
            .await
            .status,
        303
    );
    assert!(!carpenter.get("/").await.body.contains("Reveal is 1/4"));
    assert!(foreman.get(&page).await.body.contains("(seen)"));
}

#[tokio::test]
async fn another_persons_note_cannot_be_seen_away() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let page = format!("/crew/jobs/{}/notes", site.job);
    let cassia = site.firm.person("carpenter").await.to_string();
    foreman
        .send(&page, &page, &[("words", "For you"), ("to", &cassia)])
        .await;
    let owner = site.firm.client_as(Role::Owner).await;
    let shown = owner.get("/firm/profile").await;
    let form = crate::support::html::form(&shown.body, "/firm/profile").expect("a form");
    let of = |name: &str| form.iter().find(|(n, _)| n == name).expect("it").1.clone();
    let (csrf, key) = (of("_csrf"), of("_key"));
    let fields = [
        ("_csrf", csrf.as_str()),
        ("_key", key.as_str()),
        ("note", "1"),
    ];
    assert_eq!(
        owner.post_raw("/crew/notes/seen", &fields).await.status,
        404
    );
    assert_eq!(
        site.firm
            .signed_in("foreman2")
            .await
            .get(&page)
            .await
            .status,
        404
    );
}
