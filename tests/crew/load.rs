//! The load list for the van.

use headwright::access::Role;
use headwright::heads;

use super::planned;
use crate::heads::a_site;

const LOAD: &str = "/crew/load?day=2026-08-14";

#[tokio::test]
async fn the_list_has_the_heads_of_the_day_with_what_goes_with_them() {
    let site = a_site().await;
    let cassia = site.firm.person("carpenter").await;
    planned(&site, "cut", cassia, "2026-08-13").await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    assert!(
        foreman
            .get("/crew/load?day=2026-08-13")
            .await
            .body
            .contains("Nothing on site"),
        "cutting is done in the shop"
    );
    planned(&site, "hung", cassia, "2026-08-14").await;
    planned(&site, "flashed", cassia, "2026-08-14").await;
    let body = foreman.get(LOAD).await.body;
    assert_eq!(
        body.matches("<b>TJ W1 Porch</b>").count(),
        1,
        "once, not once a step: {body}"
    );
    assert!(body.contains("hung, flashed") && body.contains("Nobody has said where it stands"));
    let head = heads::head(site.firm.app.db().read(), site.head)
        .await
        .expect("it");
    let around = heads::goes_with(&site.firm.app, &head)
        .await
        .expect("told")
        .expect("known");
    let fasteners: u32 = around.fixed.iter().map(|f| f.fixings.count()).sum();
    assert!(body.contains(&format!("<b>{fasteners} fasteners</b>")));
    assert_eq!(
        body.matches("data-label=\"Dams\"").count(),
        around.strips.len()
    );
    assert!(
        body.contains("Snips") && !body.contains("Caulking gun"),
        "tools of these steps"
    );
    let wide = foreman.get("/crew/load?day=nonsense&who=999").await;
    assert_eq!(wide.status, 200);
}

#[tokio::test]
async fn whoever_has_the_head_says_where_it_stands_and_nobody_else() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let cassia = site.firm.person("carpenter").await;
    planned(&site, "hung", cassia, "2026-08-14").await;
    let action = format!("/crew/heads/{}/stand", site.head);
    let carpenter = site.firm.client_as(Role::Carpenter).await;
    let shown = carpenter.get(LOAD).await;
    let fields = [("stand", "Rack 3, <i>left</i>")];
    let kept = carpenter.send_from(&shown, &action, &fields).await;
    assert_eq!(
        (kept.status, kept.location()),
        (303, "/crew/load?day=2026-08-14&saved")
    );
    let body = carpenter.get(LOAD).await.body;
    assert!(body.contains("Rack 3, &#60;i&#62;left"), "{body}");
    assert!(
        carpenter
            .get("/crew/plan")
            .await
            .body
            .contains("stands: Rack 3")
    );
    let empty = carpenter.send(LOAD, &action, &[("stand", " ")]).await;
    assert_eq!(empty.status, 400);
    let other = site.firm.signed_in("carpenter2").await;
    assert!(!other.get(LOAD).await.body.contains("TJ W1 Porch"));
    assert_eq!(other.get(&format!("{action}?x")).await.status, 404);
    let office = site.firm.client_as(Role::Office).await;
    let body = office.get(LOAD).await.body;
    assert!(
        body.contains("TJ W1 Porch") && !body.contains(&action),
        "the office reads"
    );
}
