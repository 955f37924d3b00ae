//! The pages of heads: who may, what a refused form keeps, conflicts, replays.

use headwright::access::Role;
use headwright::heads;

use super::{Site, a_gable, a_head, a_site, an_opening};
use crate::support::{Client, Reply};

async fn as_(site: &Site, sign_in: &str) -> Client {
    site.firm.signed_in(sign_in).await
}

/// Sends the form of `page` that goes to `action`.
async fn send(client: &Client, page: &str, action: &str, fields: &[(&str, &str)]) -> Reply {
    client.send(page, action, fields).await
}

#[tokio::test]
async fn who_sees_and_draws_whose_heads() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let foreman2 = site.firm.person("foreman2").await;
    let (_, opening2) = an_opening(&site.firm.app, foreman2, "OT").await;
    let other = a_head(&site.firm.app, foreman2, opening2, a_gable()).await;
    let own = site.head;
    // (page, owner, office, foreman, foreman2, carpenter, carpenter2), for the first foreman's head
    let rows: [(&str, [u16; 6]); 5] = [
        ("", [200, 200, 200, 200, 200, 404]),
        ("/design", [200, 404, 200, 404, 404, 404]),
        ("/sheet", [200, 200, 200, 404, 200, 404]),
        ("/sheet.json", [200, 200, 200, 404, 200, 404]),
        ("/bench", [404, 404, 200, 404, 200, 404]),
    ];
    let people = [
        "owner",
        "office",
        "foreman",
        "foreman2",
        "carpenter",
        "carpenter2",
    ];
    for (nth, who) in people.into_iter().enumerate() {
        let client = as_(&site, who).await;
        for (page, statuses) in rows {
            let reply = client.get(&format!("/heads/{own}{page}")).await;
            assert_eq!(reply.status, statuses[nth], "{who} {page}");
            assert_eq!(
                client.get(&format!("/heads/999999{page}")).await.status,
                404,
                "{who} {page}"
            );
        }
        let draws = client
            .get(&format!("/heads/new/{}", site.opening))
            .await
            .status;
        assert_eq!(
            draws,
            if matches!(who, "owner" | "foreman") {
                200
            } else {
                404
            },
            "{who} draws"
        );
        let others = client.get(&format!("/heads/{other}/sheet")).await.status;
        assert_eq!(
            others,
            if matches!(who, "owner" | "office" | "foreman2") {
                200
            } else {
                404
            },
            "{who}"
        );
    }
    let nobody = site.firm.anonymous();
    for (page, _) in rows {
        assert_eq!(
            nobody.get(&format!("/heads/{own}{page}")).await.status,
            401,
            "{page}"
        );
    }
}

#[tokio::test]
async fn a_carpenter_lists_only_own_heads_and_sees_no_contact() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let other = as_(&site, "carpenter2").await;
    assert!(!other.get("/heads").await.body.contains("Porch"));
    let client = as_(&site, "carpenter").await;
    assert!(client.get("/heads").await.body.contains("Porch"));
    for page in [
        "/heads".to_owned(),
        format!("/heads/{}", site.head),
        format!("/heads/{}/sheet", site.head),
    ] {
        let body = client.get(&page).await.body;
        assert!(
            !body.contains("555-7788") && !body.contains("Clientsdottir"),
            "{page}"
        );
    }
}

#[tokio::test]
async fn a_head_is_drawn_from_the_form_and_a_double_tap_counts_once() {
    let site = a_site().await;
    let client = as_(&site, "foreman").await;
    let page = format!("/heads/new/{}", site.opening);
    let shown = client.get(&page).await;
    let fields = [("name", "Second head"), ("span", "41 1/2")];
    let first = client.send_from(&shown, &page, &fields).await;
    let again = client.send_from(&shown, &page, &fields).await;
    assert_eq!((first.status, again.status), (303, 303), "{}", first.body);
    assert_eq!(first.location(), again.location());
    let made = heads::of_opening(site.firm.app.db().read(), site.opening)
        .await
        .expect("heads");
    assert_eq!(made.iter().filter(|c| c.name == "Second head").count(), 1);
    let other = client
        .send_from(&shown, &page, &[("name", "Third"), ("span", "41 1/2")])
        .await;
    assert_eq!(other.status, 422, "the key was used for another body");
}

#[tokio::test]
async fn a_refused_form_keeps_what_was_typed_and_names_the_field() {
    let site = a_site().await;
    let client = as_(&site, "foreman").await;
    let page = format!("/heads/{}/design", site.head);
    let reply = send(
        &client,
        &page,
        &page,
        &[("span", "3/0x"), ("cap.front", "9 9/16")],
    )
    .await;
    assert_eq!(reply.status, 422);
    assert!(
        reply.body.contains("id=\"span-error\""),
        "an error beside the field"
    );
    assert!(reply.body.contains("value=\"3/0x\"") && reply.body.contains("value=\"9 9/16\""));
    let wide = send(&client, &page, &page, &[("wing", "30")]).await;
    assert_eq!(wide.status, 422);
    assert!(
        wide.body.contains("id=\"wing-error\""),
        "the engine's rule stands at its field"
    );
}

#[tokio::test]
async fn drawing_saves_nothing_and_loses_nothing() {
    let site = a_site().await;
    let client = as_(&site, "foreman").await;
    let page = format!("/heads/{}/design", site.head);
    let before = site.firm.dump().await;
    let shown = client.get(&page).await;
    let held = crate::support::html::form(&shown.body, &page).expect("the form");
    let mut fields: Vec<(&str, &str)> = held
        .iter()
        .filter(|(n, _)| n != "span")
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    fields.extend([("span", "44"), ("do", "draw")]);
    let whole = client.post_raw(&format!("{page}/draw"), &fields).await;
    assert_eq!(whole.status, 200, "{}", whole.body);
    assert!(whole.body.contains("value=\"44\"") && whole.body.contains("<svg"));
    let origin = [("origin", site.firm.url.as_str()), ("x-part", "drawing")];
    let part = client
        .post_from(&format!("{page}/draw"), &fields, &origin)
        .await;
    assert!(
        part.body.contains("<svg") && !part.body.contains("<html"),
        "the drawing alone"
    );
    assert_eq!(site.firm.dump().await, before);
    // Another kind keeps what this one does not show.
    fields.retain(|(n, _)| *n != "kind");
    fields.push(("kind", "flat"));
    let flat = client.post_raw(&format!("{page}/draw"), &fields).await;
    assert!(
        flat.body
            .contains("type=\"hidden\" name=\"drops.length\" value=\"7\""),
        "the drop is kept"
    );
}

#[tokio::test]
async fn a_second_editor_gets_both_values() {
    let site = a_site().await;
    let client = as_(&site, "foreman").await;
    let owner = as_(&site, "owner").await;
    let page = format!("/heads/{}/design", site.head);
    let mine = client.get(&page).await;
    assert_eq!(
        send(&owner, &page, &page, &[("span", "42")]).await.status,
        303
    );
    let late = client.send_from(&mine, &page, &[("span", "43")]).await;
    assert_eq!(late.status, 409);
    assert!(
        late.body.contains("value=\"43\"") && late.body.contains("<b>42</b>"),
        "{}",
        late.body
    );
    let again = client.send_from(&late, &page, &[]).await;
    assert_eq!(
        again.status, 303,
        "sent again it goes over the newer version"
    );
}

#[tokio::test]
async fn an_illegal_step_is_409_and_changes_no_row() {
    let site = a_site().await;
    let client = as_(&site, "foreman").await;
    let page = format!("/heads/{}", site.head);
    let action = format!("{page}/step");
    let before = site.firm.dump().await;
    let cut = site.step("cut").await.to_string();
    for fields in [
        [("do", "next"), ("step", cut.as_str())],
        [("do", "release"), ("step", "")],
    ] {
        let reply = send(&client, &page, &action, &fields).await;
        assert_eq!(reply.status, 409, "{fields:?}: {}", reply.body);
    }
    assert_eq!(site.firm.dump().await, before);
    let empty = send(
        &client,
        &page,
        &action,
        &[("do", "hold"), ("hold_reason", " ")],
    )
    .await;
    assert_eq!(empty.status, 422);
    let drawn = site.step("drawn").await.to_string();
    let on = send(&client, &page, &action, &[("do", "next"), ("step", &drawn)]).await;
    assert_eq!(on.status, 303, "{}", on.body);
    assert_eq!(site.version().await, 2);
}

#[tokio::test]
async fn a_step_is_made_by_whoever_may() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let foreman = as_(&site, "foreman").await;
    let page = format!("/heads/{}", site.head);
    let action = format!("{page}/step");
    for name in ["drawn", "approved"] {
        let step = site.step(name).await.to_string();
        let reply = send(&foreman, &page, &action, &[("do", "next"), ("step", &step)]).await;
        assert_eq!(reply.status, 303, "{name}");
    }
    let carpenter = as_(&site, "carpenter").await;
    let office = as_(&site, "office").await;
    let (ordered, cut) = (
        site.step("ordered").await.to_string(),
        site.step("cut").await.to_string(),
    );
    let next = |step| [("do", "next"), ("step", step)];
    assert_eq!(
        send(&carpenter, &page, &action, &next(&ordered))
            .await
            .status,
        404,
        "not a carpenter's step"
    );
    assert_eq!(
        send(&office, &page, &action, &next(&ordered)).await.status,
        303
    );
    let stale = office.get(&page).await;
    assert!(
        !stale.body.contains("On to: cut"),
        "the office is not offered the saw"
    );
    let unsigned = send(&carpenter, &page, &action, &next(&cut)).await;
    assert_eq!(unsigned.status, 409, "no cutting before the saw check");
    crate::safety::sign_all(&site.firm, site.job).await;
    assert_eq!(
        send(&carpenter, &page, &action, &next(&cut)).await.status,
        303
    );
}

#[tokio::test]
async fn a_piece_is_ticked_by_the_carpenter_it_is_given_to() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let page = format!("/heads/{}/sheet", site.head);
    let tick = format!("/heads/{}/tick", site.head);
    let carpenter = as_(&site, "carpenter").await;
    let fields = [("label", "cap-1"), ("do", "done")];
    let reply = send(&carpenter, &page, &tick, &fields).await;
    assert_eq!(reply.status, 303, "{}", reply.body);
    assert!(
        carpenter
            .get(&page)
            .await
            .body
            .contains("cut, Cassia Inglenook")
    );
    let none = send(
        &carpenter,
        &page,
        &tick,
        &[("label", "cap-99"), ("do", "done")],
    )
    .await;
    assert_eq!(none.status, 409);
    let owner = site.firm.client_as(Role::Owner).await.get(&page).await;
    assert!(
        !owner.body.contains("class=\"tick-piece"),
        "the owner reads only"
    );
}

#[tokio::test]
async fn measures_of_the_bench_solve_the_sheet_again() {
    let site = a_site().await;
    let client = as_(&site, "foreman").await;
    let page = format!("/heads/{}/bench", site.head);
    let wrong = send(&client, &page, &page, &[("left_rake", "1/0")]).await;
    assert_eq!(wrong.status, 422);
    assert!(wrong.body.contains("id=\"left_rake-error\"") && wrong.body.contains("value=\"1/0\""));
    let wrong = send(&client, &page, &page, &[("peak_degrees", "85")]).await;
    assert!(wrong.body.contains("id=\"peak_degrees-error\""));
    let fields = [("left_rake", "15 3/4"), ("right_rake", "15 3/4")];
    let saved = send(&client, &page, &page, &fields).await;
    assert_eq!(saved.status, 303, "{}", saved.body);
    let sheet = client
        .get(&format!("/heads/{}/sheet", site.head))
        .await
        .body;
    assert!(sheet.contains("Solved from what was measured") && sheet.contains("version 2"));
    assert!(
        client.get(&page).await.body.contains("15 3/4"),
        "what was measured stands in the form"
    );
}

#[tokio::test]
async fn hostile_text_stays_text() {
    let site = a_site().await;
    let client = as_(&site, "foreman").await;
    let page = format!("/heads/{}/design", site.head);
    for name in [
        "<script>alert(1)</script>",
        "\"><img src=x onerror=alert(1)>",
        "{{7*7}}",
        "مرحبا 🪚",
        "';DROP TABLE head;--",
    ] {
        let reply = send(&client, &page, &page, &[("name", name)]).await;
        assert_eq!(reply.status, 303, "{name}: {}", reply.body);
        for seen in [
            format!("/heads/{}", site.head),
            format!("/heads/{}/sheet", site.head),
            "/heads".to_owned(),
        ] {
            let body = client.get(&seen).await.body;
            assert!(
                !body.contains("<script>alert") && !body.contains("<img src=x"),
                "{seen} {name}"
            );
        }
    }
    for name in [
        "nul \0 inside",
        "\u{202e}turned",
        &"x".repeat(121),
        &"y".repeat(1_000_000),
    ] {
        let reply = send(&client, &page, &page, &[("name", name)]).await;
        assert_eq!(reply.status, 422, "{:.20}", name);
        assert!(reply.body.contains("id=\"name-error\""));
    }
}

#[tokio::test]
async fn the_sheet_is_made_for_the_firms_saw() {
    let site = a_site().await;
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    sqlx::query("UPDATE saw SET swing_left_deg = 10")
        .execute(&mut *tx)
        .await
        .expect("set");
    tx.commit().await.expect("kept");
    let client = as_(&site, "owner").await;
    let sheet = client
        .get(&format!("/heads/{}/sheet", site.head))
        .await
        .body;
    assert!(
        sheet.contains("past this saw"),
        "a limit of 10° is met on a mitre of 45°"
    );
}

#[tokio::test]
async fn today_shows_a_carpenter_the_heads_in_hand() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let client = as_(&site, "foreman").await;
    let page = format!("/heads/{}", site.head);
    for name in ["drawn", "approved", "ordered"] {
        let step = site.step(name).await.to_string();
        send(
            &client,
            &page,
            &format!("{page}/step"),
            &[("do", "next"), ("step", &step)],
        )
        .await;
    }
    let today = as_(&site, "carpenter").await.get("/").await.body;
    assert!(
        today.contains(&format!("/heads/{}/sheet", site.head)) && today.contains("next: cut"),
        "{today}"
    );
}
