//! The firm's own list of steps.

use headwright::access::Role;
use headwright::heads::{self, GateKind};

use super::a_site;
use crate::support::{self, TestApp};

const LIST: &str = "/heads/steps";

async fn names(firm: &TestApp) -> Vec<String> {
    let steps = heads::steps(firm.app.db().read()).await.expect("steps");
    steps.iter().map(|s| s.name.clone()).collect()
}

async fn id(firm: &TestApp, name: &str) -> String {
    let steps = heads::steps(firm.app.db().read()).await.expect("steps");
    steps.named(name).expect("such a step").id.to_string()
}

#[tokio::test]
async fn a_step_is_added_where_the_firm_wants_it_with_what_it_needs() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let primed = id(&firm, "primed").await;
    let fields = [
        ("name", "cut ends sealed"),
        ("after", primed.as_str()),
        ("by_hand", "yes"),
        ("gate", "material"),
    ];
    assert_eq!(owner.send(LIST, LIST, &fields).await.status, 303);
    let now = names(&firm).await;
    let place = now
        .iter()
        .position(|n| n == "cut ends sealed")
        .expect("there");
    assert_eq!(now[place - 1], "primed");
    assert_eq!(now[place + 1], "hung");
    let steps = heads::steps(firm.app.db().read()).await.expect("steps");
    let new = steps.named("cut ends sealed").expect("there");
    assert!(new.by_hand && !new.by_office);
    assert_eq!(new.gates, [GateKind::Material]);
}

#[tokio::test]
async fn a_step_is_renamed_and_moved_and_two_editors_do_not_overwrite_each_other() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let page = format!("{LIST}/{}", id(&firm, "primed").await);
    let stale = owner.get(&page).await;
    let drawn = id(&firm, "drawn").await;
    let fields = [("name", "primed first"), ("after", drawn.as_str())];
    assert_eq!(owner.send(&page, &page, &fields).await.status, 303);
    assert_eq!(names(&firm).await[2], "primed first");
    let conflict = owner.send_from(&stale, &page, &[("name", "painted")]).await;
    assert_eq!(conflict.status, 409);
    assert!(
        conflict.body.contains("value=\"painted\"")
            && conflict.body.contains("<b>primed first</b>")
    );
}

#[tokio::test]
async fn two_steps_may_not_have_one_name() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let reply = owner.send(LIST, LIST, &[("name", "hung")]).await;
    assert_eq!(reply.status, 422);
    assert!(reply.body.contains("Another step has this name"));
}

#[tokio::test]
async fn a_step_with_heads_at_it_is_not_retired_and_an_empty_one_is() {
    let site = a_site().await;
    let owner = site.firm.client_as(Role::Owner).await;
    let page = format!("{LIST}/{}", id(&site.firm, "measured").await);
    let refused = owner
        .send(&page, &format!("{page}/retire"), &[("away", "yes")])
        .await;
    assert_eq!(refused.status, 409);
    let page = format!("{LIST}/{}", id(&site.firm, "drawn").await);
    let retired = owner
        .send(&page, &format!("{page}/retire"), &[("away", "yes")])
        .await;
    assert_eq!(retired.status, 303);
    assert!(!names(&site.firm).await.contains(&"drawn".to_owned()));
    let foreman = site.firm.client_as(Role::Foreman).await;
    let head = format!("/heads/{}", site.head);
    assert!(
        foreman.get(&head).await.body.contains("On to: approved"),
        "the next step is the one after"
    );
    let back = owner
        .send(&page, &format!("{page}/retire"), &[("away", "no")])
        .await;
    assert_eq!(back.status, 303);
    assert_eq!(names(&site.firm).await[1], "drawn");
}

#[tokio::test]
async fn a_head_put_away_at_a_step_now_retired_comes_back_to_the_one_before() {
    let site = a_site().await;
    let owner = site.firm.client_as(Role::Owner).await;
    let head = format!("/heads/{}", site.head);
    owner.send(&head, &format!("{head}/step"), &[]).await;
    owner
        .send(&head, &format!("{head}/archive"), &[("do", "put-away")])
        .await;
    let page = format!("{LIST}/{}", id(&site.firm, "drawn").await);
    owner
        .send(&page, &format!("{page}/retire"), &[("away", "yes")])
        .await;
    owner
        .send(&head, &format!("{head}/archive"), &[("do", "bring-back")])
        .await;
    let now = heads::head(site.firm.app.db().read(), site.head)
        .await
        .expect("the head");
    assert_eq!(now.card.step_name, "measured");
}
