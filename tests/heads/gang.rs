//! The gang order of several heads: who sees what, what it counts, ticks.

use headwright::heads::{self, HeadId};
use headwright::trim::sheet::Sheet;
use headwright::trim::solve::gang_order;

use super::{Site, a_gable, a_head, a_site, an_opening};
use crate::support::html;

/// A second head on the first one's job, with other rakes.
async fn with_another() -> (Site, HeadId) {
    let site = a_site().await;
    let foreman = site.firm.person("foreman").await;
    let mut design = a_gable();
    design["span"] = "53".into();
    let other = a_head(&site.firm.app, foreman, site.opening, design).await;
    (site, other)
}

async fn sheet_of(site: &Site, head: HeadId) -> Sheet {
    let pool = site.firm.app.db().read();
    let shop = heads::shop_settings(pool, &site.firm.app.firm())
        .await
        .expect("the shop");
    let head = heads::head(pool, head).await.expect("the head");
    heads::solved(&head.design, None, &shop).expect("solved").1
}

#[tokio::test]
async fn two_heads_are_ganged_with_every_cut_once_and_both_counts() {
    let (site, other) = with_another().await;
    let foreman = site.firm.signed_in("foreman").await;
    let page = foreman
        .get(&format!("/heads/gang?head={}&head={other}", site.head))
        .await;
    assert_eq!(page.status, 200);
    let sheets = [
        sheet_of(&site, site.head).await,
        sheet_of(&site, other).await,
    ];
    let cuts: usize = sheets
        .iter()
        .flat_map(|s| &s.runs)
        .map(|r| 2 * r.pieces.len())
        .sum();
    assert_eq!(page.body.matches("<tr id=\"cut-").count(), cuts);
    let together = gang_order(&[&sheets[0], &sheets[1]]).saw_moves;
    let said = html::between(&page.body, "<dt>Saw moves</dt><dd>", "</dd>").expect("the count");
    assert!(said.starts_with(&format!("{together}, against ")), "{said}");
    let apart: usize = said
        .trim_start_matches(|c: char| c != 't')
        .split(' ')
        .nth(1)
        .and_then(|n| n.parse().ok())
        .expect("a number");
    assert!(together < apart, "{said}");
    for words in [
        "a piece caught between the blade and a fixed stop is thrown",
        "the held side",
        "flip the stop away before the cut",
        "W1 crown-1",
    ] {
        assert!(page.body.contains(words), "{words}");
    }
}

#[tokio::test]
async fn each_sees_and_gangs_only_the_heads_whose_sheets_are_theirs() {
    let (site, other) = with_another().await;
    let foreman2 = site.firm.person("foreman2").await;
    let (_, opening2) = an_opening(&site.firm.app, foreman2, "OT").await;
    let theirs = a_head(&site.firm.app, foreman2, opening2, a_gable()).await;
    site.give_to("carpenter").await;
    for (who, sees) in [
        ("owner", vec![site.head, other, theirs]),
        ("office", vec![site.head, other, theirs]),
        ("foreman", vec![site.head, other]),
        ("foreman2", vec![theirs]),
        ("carpenter", vec![site.head]),
        ("carpenter2", vec![]),
    ] {
        let client = site.firm.signed_in(who).await;
        let page = client.get("/heads/gang").await;
        assert_eq!(page.status, 200, "{who}");
        for head in [site.head, other, theirs] {
            let offered = page
                .body
                .contains(&format!("name=\"head\" value=\"{head}\""));
            assert_eq!(offered, sees.contains(&head), "{who} {head}");
            let ganged = client.get(&format!("/heads/gang?head={head}")).await;
            let wanted = if sees.contains(&head) { 200 } else { 404 };
            assert_eq!(ganged.status, wanted, "{who} {head}");
        }
        assert_eq!(
            client.get("/heads/gang?head=999999").await.status,
            404,
            "{who}"
        );
    }
}

#[tokio::test]
async fn a_piece_ticked_on_the_gang_order_leads_back_to_it_and_stands_on_the_sheet() {
    let (site, other) = with_another().await;
    let foreman = site.firm.signed_in("foreman").await;
    let address = format!("/heads/gang?head={}&head={other}", site.head);
    let action = format!("/heads/{other}/tick");
    let reply = foreman
        .send(&address, &action, &[("do", "done"), ("label", "cap-1")])
        .await;
    assert_eq!(reply.status, 303);
    assert!(
        reply.location().starts_with("/heads/gang?head="),
        "{}",
        reply.location()
    );
    let page = foreman.get(&address).await.body;
    assert_eq!(
        page.matches("✓</span> cut, Fenella Garrick").count(),
        2,
        "both its cuts"
    );
    let sheet = foreman.get(&format!("/heads/{other}/sheet")).await.body;
    assert!(sheet.contains("cut, Fenella Garrick"));
    let first = foreman
        .get(&format!("/heads/{}/sheet", site.head))
        .await
        .body;
    assert!(
        !first.contains("cut, Fenella Garrick"),
        "the other head keeps its own"
    );
}

#[tokio::test]
async fn a_tick_never_leads_off_the_program() {
    let site = a_site().await;
    let foreman = site.firm.signed_in("foreman").await;
    let address = format!("/heads/gang?head={}", site.head);
    let action = format!("/heads/{}/tick", site.head);
    for back in [
        "//else.example",
        "head=1\r\nSet-Cookie: s=1",
        "head=1#x",
        "HEAD=1",
        "a?b",
    ] {
        let fields = [("do", "done"), ("label", "cap-1"), ("back", back)];
        let reply = foreman.send(&address, &action, &fields).await;
        assert_eq!(reply.status, 303, "{back}");
        let sheet = format!("/heads/{}/sheet?tapped=", site.head);
        assert!(
            reply.location().starts_with(&sheet),
            "{back}: {}",
            reply.location()
        );
    }
}

#[tokio::test]
async fn too_many_heads_at_once_are_refused_with_the_number_allowed() {
    let site = a_site().await;
    let foreman = site.firm.signed_in("foreman").await;
    let many: Vec<String> = (1..=25).map(|n| format!("head={n}")).collect();
    let reply = foreman
        .get(&format!("/heads/gang?{}", many.join("&")))
        .await;
    assert_eq!(reply.status, 400);
    assert!(reply.body.contains("at most 24"), "{}", reply.body);
}

#[tokio::test]
async fn odd_queries_are_shown_as_if_nothing_was_asked() {
    let site = a_site().await;
    let foreman = site.firm.signed_in("foreman").await;
    for query in [
        "?head=x",
        "?head=",
        "?job=%27--",
        "?saw=none",
        "?&&=",
        "?head=1e9",
    ] {
        let reply = foreman.get(&format!("/heads/gang{query}")).await;
        assert_eq!(reply.status, 200, "{query}");
    }
}
