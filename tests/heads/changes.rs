//! Changes after cutting began: shown first, agreed to, carried over, decided.

use headwright::access::Role;
use headwright::heads::{self, FateWord};
use serde_json::{Value, json};

use super::{Site, a_gable, a_head, a_site, made};
use crate::support::{Client, Reply, html};

/// Presses a button of the form of `page` that goes elsewhere.
async fn press(client: &Client, page: &str, to: &str, fields: &[(&str, &str)]) -> Reply {
    let shown = client.get(page).await;
    let held = html::form(&shown.body, page).expect("the form");
    let mut all: Vec<(&str, &str)> = held
        .iter()
        .filter(|(name, _)| !fields.iter().any(|(n, _)| n == name))
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    all.extend(fields);
    client.post_raw(to, &all).await
}

async fn tick(site: &Site, label: &str) {
    let by = site.firm.person("carpenter").await;
    let version = heads::head(site.firm.app.db().read(), site.head)
        .await
        .expect("the head")
        .card
        .sheet_version;
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    heads::tick(&mut tx, made(by), (site.head, version), label, true)
        .await
        .expect("ticked");
    tx.commit().await.expect("kept");
}

async fn ticked(site: &Site) -> Vec<String> {
    let pool = site.firm.app.db().read();
    let card = heads::head(pool, site.head).await.expect("the head").card;
    let ticks = heads::ticks(pool, site.head, card.sheet_version).await;
    ticks.expect("ticks").into_iter().map(|t| t.label).collect()
}

#[tokio::test]
async fn a_redesign_over_cut_pieces_must_be_agreed_to_and_loses_nothing() {
    let site = a_site().await;
    for label in ["crown-1", "crown-7", "cap-1"] {
        tick(&site, label).await;
    }
    let client = site.firm.client_as(Role::Foreman).await;
    let page = format!("/heads/{}/design", site.head);
    // A steeper pitch: the return stays, the rake does not.
    let fields = [("pitch", "9")];
    let shown = press(&client, &page, &format!("{page}/draw"), &fields).await;
    assert!(shown.body.contains("crown-7"), "the drawing tells of it");
    let refused = client.send(&page, &page, &fields).await;
    assert_eq!(refused.status, 422);
    assert!(refused.body.contains("id=\"agreed-error\""));
    assert!(refused.body.contains("value=\"9\""), "what was typed stays");
    assert_eq!(ticked(&site).await.len(), 3, "nothing changed yet");
    let agreed = client
        .send(&page, &page, &[("pitch", "9"), ("agreed", "yes")])
        .await;
    assert_eq!(agreed.status, 303, "{}", agreed.body);
    assert_eq!(ticked(&site).await, ["crown-1"]);
    let pool = site.firm.app.db().read();
    let kept = heads::changes_of_head(pool, site.head)
        .await
        .expect("changes");
    assert_eq!(kept.len(), 3, "every cut piece is spoken of");
    assert_eq!(kept.iter().filter(|k| k.waits()).count(), 2);
    let sheet = client.get(&format!("/heads/{}/sheet", site.head)).await;
    assert!(sheet.body.contains("2 cut pieces wait for a decision"));
}

#[tokio::test]
async fn a_touched_piece_is_decided_on_once_and_for_the_record() {
    let site = a_site().await;
    tick(&site, "cap-1").await;
    site.give_to("carpenter").await;
    let client = site.firm.signed_in("carpenter").await;
    let bench = format!("/heads/{}/bench", site.head);
    // A wing cut short: its cap is longer than what is now needed.
    let fields = [
        ("left_wing", "6 3/4"),
        ("right_wing", "6 3/4"),
        ("agreed", "yes"),
    ];
    let saved = client.send(&bench, &bench, &fields).await;
    assert_eq!(saved.status, 303, "{}", saved.body);
    let pool = site.firm.app.db().read();
    let kept = heads::changes_of_head(pool, site.head)
        .await
        .expect("changes");
    assert_eq!(kept[0].change.fate, FateWord::Recut);
    let page = format!("/heads/{}", site.head);
    let action = format!("{page}/piece");
    let wrong = client.send(&page, &action, &[("decision", "burn")]).await;
    assert_eq!(wrong.status, 400);
    let (open, late) = (client.get(&page).await, client.get(&page).await);
    let done = client
        .send_from(
            &open,
            &action,
            &[("decision", "keep"), ("note", "the cap hides it")],
        )
        .await;
    assert_eq!(done.status, 303, "{}", done.body);
    let late = client
        .send_from(&late, &action, &[("decision", "recut")])
        .await;
    assert_eq!(late.status, 409, "{}", late.body);
    assert_eq!(
        ticked(&site).await,
        ["cap-1"],
        "kept as it is counts as cut"
    );
    let after = client.get(&page).await.body;
    assert!(after.contains("the cap hides it"));
    assert!(!after.contains("to decide"));
}

#[tokio::test]
async fn a_tick_that_comes_in_while_the_form_is_open_is_not_lost() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    let design = format!("/heads/{}/design", site.head);
    let page = client.get(&design).await;
    tick(&site, "crown-1").await;
    let saved = client
        .send_from(&page, &design, &[("name", "Porch door"), ("pitch", "9")])
        .await;
    assert_eq!(saved.status, 303, "a return is not touched: {}", saved.body);
    assert_eq!(ticked(&site).await, ["crown-1"]);
}

fn flat() -> Value {
    json!({"unit": "in", "kind": "flat", "name": "Flat", "span": "40",
        "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 1/4", "overhang": "2"},
        "crown": {"projection": "1 1/2", "height": "2", "back": "solid"}})
}

fn with(kind: &str, more: &Value) -> Value {
    let mut head = flat();
    head["kind"] = json!(kind);
    for (key, value) in more.as_object().expect("an object") {
        head[key] = value.clone();
    }
    head
}

#[tokio::test]
async fn every_kind_is_measured_at_the_bench() {
    let site = a_site().await;
    let foreman = site.firm.person("foreman").await;
    let client = site.firm.client_as(Role::Foreman).await;
    let level = json!({"cap": {"thickness": "3/4", "front": "2 1/4", "overhang": "2"}});
    let pitch = json!({"degrees": 22.5});
    let runs = json!({"unit": "in", "kind": "runs", "name": "Shelf", "runs": [{"name": "shelf & cap",
        "section": [[0, 0], [3, 0], [3, 1], [0, 1]], "path": [[0, 0, 0], [20, 0, 0], [20, 0, -6]],
        "normals": [[0, 0, 1], [1, 0, 0]]}]});
    let heads = [
        (flat(), "top", "39 7/8"),
        (a_gable(), "left_foot_degrees", "15.2"),
        (
            with("gable", &json!({"wing": "0", "pitch": pitch})),
            "left_slope_degrees",
            "22.6",
        ),
        (
            with(
                "closed-gable",
                &json!({"pitch": pitch, "foot": "level-cut", "level": level}),
            ),
            "level",
            "39 15/16",
        ),
        (
            with(
                "broken-gable",
                &json!({"wing": "5", "gap": "8", "pitch": pitch, "upper_end": "plumb"}),
            ),
            "right_rake",
            "12 1/16",
        ),
        (
            with("arched", &json!({"rise": "6", "segments": 5})),
            "joints.2",
            "6.8",
        ),
        (
            with(
                "arched",
                &json!({"rise": "6", "bent": {"kerf": "1/8", "depth": "1/2"}}),
            ),
            "rise",
            "6 1/16",
        ),
        (runs, "runs.0.corners.1", "44.5"),
    ];
    for (design, field, value) in heads {
        let what = format!("{} {field}", design["kind"]);
        let id = a_head(&site.firm.app, foreman, site.opening, design).await;
        let page = format!("/heads/{id}/bench");
        let shown = client.get(&page).await;
        assert!(shown.body.contains(&format!("id=\"{field}\"")), "{what}");
        let looked = client
            .send(&page, &page, &[(field, value), ("do", "look")])
            .await;
        assert_eq!(looked.status, 200, "{what}");
        assert!(looked.body.contains("What the measures come to"), "{what}");
        let saved = client
            .send(&page, &page, &[(field, value), ("do", "save")])
            .await;
        assert_eq!(saved.status, 303, "{what}: {}", saved.body);
        let again = client.get(&page).await;
        assert!(again.body.contains(&format!("value=\"{value}\"")), "{what}");
        let sheet = client.get(&format!("/heads/{id}/sheet")).await;
        assert_eq!(sheet.status, 200, "{what}");
        let wrong = client
            .send(&page, &page, &[(field, "1/0"), ("do", "save")])
            .await;
        assert_eq!(wrong.status, 422, "{what}");
        assert!(
            wrong.body.contains(&format!("id=\"{field}-error\"")),
            "{what}"
        );
    }
}

#[tokio::test]
async fn an_angle_finder_may_be_read_on_either_side() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    let page = format!("/heads/{}/bench", site.head);
    // 7 in 12 turns 60.51° at the peak: 119.5° between the edges, or 240.5°.
    for between in ["119.5", "240.5"] {
        let fields = [("angles_as", "between"), ("peak_degrees", between)];
        assert_eq!(client.send(&page, &page, &fields).await.status, 303);
        let again = client.get(&page).await;
        assert!(again.body.contains("value=\"30.25\""), "{between}");
    }
}

#[tokio::test]
async fn another_kind_of_head_lets_go_of_the_benchs_measures() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    let bench = format!("/heads/{}/bench", site.head);
    let fields = [("left_rake", "15 3/4"), ("right_rake", "15 3/4")];
    assert_eq!(client.send(&bench, &bench, &fields).await.status, 303);
    let design = format!("/heads/{}/design", site.head);
    let flat = [("kind", "flat"), ("with.drops", "")];
    let saved = client.send(&design, &design, &flat).await;
    assert_eq!(saved.status, 303, "{}", saved.body);
    for page in ["", "/sheet", "/bench", "/around"] {
        let reply = client.get(&format!("/heads/{}{page}", site.head)).await;
        assert_eq!(reply.status, 200, "{page}");
    }
}

#[tokio::test]
async fn what_goes_with_a_head_is_reckoned_for_its_material() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    let page = format!("/heads/{}/around", site.head);
    let cedar = client.get(&page).await;
    assert_eq!(cedar.status, 200);
    for words in [
        "western redcedar",
        "Gap to leave",
        "licensed practice come first",
        "never caulk the weep line",
        "NIOSH",
        "a row for each",
    ] {
        assert!(cedar.body.contains(words), "{words}");
    }
    let saved = client
        .send(&page, &page, &[("material", "cellular PVC")])
        .await;
    assert_eq!(saved.status, 303, "{}", saved.body);
    let pvc = client.get(&page).await;
    assert!(pvc.body.contains("in cellular PVC") && pvc.body.contains("Along the length"));
    let wrong = client
        .send(&page, &page, &[("material", "ice"), ("dry", "30")])
        .await;
    assert_eq!(wrong.status, 422);
    assert!(
        wrong.body.contains("id=\"material-error\"")
            && wrong.body.contains("id=\"fixed_at-error\"")
    );
    let office = site.firm.client_as(Role::Office).await;
    let seen = office.get(&page).await;
    assert!(seen.status == 200 && !seen.body.contains("Made of something else"));
}

#[tokio::test]
async fn the_firms_usual_material_is_the_owners_to_set() {
    let site = a_site().await;
    let owner = site.firm.client_as(Role::Owner).await;
    let page = "/heads/materials";
    let (mine, theirs) = (owner.get(page).await, owner.get(page).await);
    let pine = [("material", "eastern white pine")];
    assert_eq!(owner.send_from(&mine, page, &pine).await.status, 303);
    assert_eq!(
        owner.send_from(&theirs, page, &[("dry", "9")]).await.status,
        409
    );
    let around = owner.get(&format!("/heads/{}/around", site.head)).await;
    assert!(around.body.contains("eastern white pine"));
    let foreman = site.firm.client_as(Role::Foreman).await;
    assert_eq!(foreman.get(page).await.status, 404);
}

#[tokio::test]
async fn a_proportion_fills_the_form_and_saves_nothing() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    let page = format!("/heads/{}/design", site.head);
    let before = site.firm.dump().await;
    let draw = format!("{page}/draw");
    let pressed = press(&client, &page, &draw, &[("do", "use:pitch=22.50")]).await;
    assert_eq!(pressed.status, 200);
    assert!(pressed.body.contains("value=\"22.50\""));
    assert!(pressed.body.contains("<option value=\"degrees\" selected>"));
    assert!(pressed.body.contains("The American Vignola") || pressed.body.contains("Vignola"));
    assert_eq!(site.firm.dump().await, before);
    // A press cannot fill what suggestions never speak of.
    let other = press(&client, &page, &draw, &[("do", "use:name=Stolen")]).await;
    assert!(!other.body.contains("Stolen"));
}

#[tokio::test]
async fn a_tick_just_made_offers_undo_and_ten_seconds_later_does_not() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let client = site.firm.signed_in("carpenter").await;
    let sheet = format!("/heads/{}/sheet", site.head);
    let action = format!("/heads/{}/tick", site.head);
    let ticked_now = client.send(&sheet, &action, &[("do", "done")]).await;
    assert_eq!(ticked_now.status, 303);
    let back = ticked_now.location().to_owned();
    let page = client.get(&back).await;
    assert!(page.body.contains(">Undo<"));
    site.firm.later(11);
    assert!(!client.get(&back).await.body.contains(">Undo<"));
    assert!(client.get(&back).await.body.contains("Not cut after all"));
}
