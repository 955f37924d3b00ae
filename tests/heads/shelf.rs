//! A head takes a section of the shelf: its curves are its own from then on.

use headwright::access::Role;
use headwright::heads;

use super::{Site, a_gable, a_head, a_site};
use crate::sections::{a_section, new};
use crate::support::records::{made, tx};

async fn design(site: &Site) -> serde_json::Value {
    let head = heads::head(site.firm.app.db().read(), site.head).await;
    head.expect("the head").design
}

#[tokio::test]
async fn a_head_copies_the_curves_and_keeps_them_when_the_shelf_changes() {
    let site = a_site().await;
    let id = a_section(&site.firm, &[]).await;
    let owner = site.firm.client_as(Role::Owner).await;
    let edit = format!("/heads/{}/design", site.head);
    let chosen = format!("{id}@1");
    let form = owner.get(&edit).await;
    assert!(
        form.body
            .contains(&format!("<option value=\"{chosen}\">Porch crown")),
        "{}",
        form.body
    );
    let cap = [
        ("crown.shelf", chosen.as_str()),
        ("cap.front", "3"),
        ("cap.overhang", "3"),
    ];
    let saved = owner.send_from(&form, &edit, &cap).await;
    assert_eq!(saved.status, 303, "{}", saved.body);
    let drawn = design(&site).await;
    let crown = &drawn["crown"];
    assert_eq!(
        crown["shelf"],
        serde_json::json!({"id": id.get(), "name": "Porch crown", "version": 1})
    );
    assert_eq!(
        (&crown["projection"], &crown["height"]),
        (&"2 1/4".into(), &"2 5/8".into())
    );
    let section = new(&[]).drawing.section;
    assert_eq!(
        crown["curves"],
        headwright::trim::section::json::outline_value(&section.outline)
    );
    // The shelf's section changes; the head does not, and says so.
    let page = format!("/heads/{}", site.head);
    assert!(!owner.get(&page).await.body.contains("has changed since"));
    let was = headwright::sections::section(site.firm.app.db().read(), id)
        .await
        .expect("there");
    let by = made(&site.firm).await;
    let mut work = tx(&site.firm).await;
    headwright::sections::change(&mut work, by, &was, 1, &new(&[("member.0.height", "1/2")]))
        .await
        .expect("changed");
    work.commit().await.expect("kept");
    assert_eq!(design(&site).await, drawn);
    let body = owner.get(&page).await.body;
    assert!(
        body.contains("has changed since: edition 2 is there now"),
        "{body}"
    );
    // Saved again untouched, it still keeps its own edition.
    let form = owner.get(&edit).await;
    assert!(form.body.contains(&format!(
        "<option value=\"{chosen}\" selected>Porch crown, edition 1"
    )));
    let again = owner.send_from(&form, &edit, &[("wing", "7")]).await;
    assert_eq!(again.status, 303, "{}", again.body);
    assert_eq!(design(&site).await["crown"], drawn["crown"]);
}

#[tokio::test]
async fn a_wrong_choice_is_said_beside_its_field() {
    let site = a_site().await;
    let id = a_section(&site.firm, &[]).await;
    let owner = site.firm.client_as(Role::Owner).await;
    let edit = format!("/heads/{}/design", site.head);
    let chosen = format!("{id}@1");
    for (fields, part) in [
        (vec![("crown.shelf", "77@1")], "not on the shelf"),
        (vec![("crown.shelf", "x")], "not on the shelf"),
        (
            vec![
                ("crown.shelf", chosen.as_str()),
                ("crown.section", "0,0\n1,0\n0,-2"),
            ],
            "not both",
        ),
    ] {
        let reply = owner.send(&edit, &edit, &fields).await;
        assert_eq!(reply.status, 422, "{fields:?}");
        assert!(reply.body.contains("id=\"crown.shelf-error\"") && reply.body.contains(part));
    }
}

#[tokio::test]
async fn a_plain_peak_shows_its_raked_sections_and_gives_them_to_the_grinder() {
    let site = a_site().await;
    let foreman = site.firm.person("foreman").await;
    let mut peak = a_gable();
    peak["wing"] = "0".into();
    peak.as_object_mut().expect("an object").remove("drops");
    let head = a_head(&site.firm.app, foreman, site.opening, peak).await;
    let owner = site.firm.client_as(Role::Owner).await;
    let one = owner.get(&format!("/heads/{head}")).await;
    assert!(one.body.contains(&format!("href=\"/heads/{head}/raked\"")));
    let page = owner.get(&format!("/heads/{head}/raked")).await;
    assert_eq!(page.status, 200);
    for text in [
        "one section serves both only if it is changed",
        "30.3°",
        "Height of every arris",
    ] {
        assert!(page.body.contains(text), "{text}: {}", page.body);
    }
    for (ending, start) in [("pdf", "%PDF-"), ("svg", "<svg"), ("dxf", "999")] {
        let url = format!(
            "{}/heads/{head}/raked.{ending}?corner=135&paper=a4",
            owner.url
        );
        let reply = owner.http.get(url).send().await.expect("a reply");
        assert_eq!(reply.status().as_u16(), 200, "{ending}");
        let name = reply.headers()["content-disposition"]
            .to_str()
            .expect("text")
            .to_owned();
        assert_eq!(
            name,
            format!("attachment; filename=\"head-{head}-raked.{ending}\"")
        );
        assert!(
            reply
                .bytes()
                .await
                .expect("a body")
                .starts_with(start.as_bytes())
        );
    }
    // With wings level and rake meet on one face: nothing needs raking.
    let winged = owner.get(&format!("/heads/{}/raked", site.head)).await;
    assert!(
        winged
            .body
            .contains("No corner of this head needs a raked section")
    );
    let wrong = owner.get(&format!("/heads/{head}/raked?corner=900")).await;
    assert_eq!(wrong.status, 422);
}
