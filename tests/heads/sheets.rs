//! The cut sheet says the engine's numbers in the trade's words.

use headwright::access::Role;
use headwright::heads::{self, solved};
use headwright::trim::sheet::{Piece, Sheet};
use headwright::trim::words;

use super::{Site, a_site};

/// The page's text, its tags taken out.
fn text(page: &str) -> String {
    let mut text = String::with_capacity(page.len());
    let mut inside = false;
    for c in page.chars() {
        match c {
            '<' => inside = true,
            '>' => inside = false,
            c if !inside => text.push(c),
            _ => {}
        }
    }
    crate::support::html::unescape(&text)
}

async fn sheet_of(site: &Site) -> Sheet {
    let pool = site.firm.app.db().read();
    let shop = heads::shop_settings(pool, &site.firm.app.firm())
        .await
        .expect("the shop");
    let head = heads::head(pool, site.head).await.expect("the head");
    solved(&head.design, None, &shop).expect("solved").1
}

#[tokio::test]
async fn every_piece_stands_with_label_length_setting_and_hold() {
    let site = a_site().await;
    let sheet = sheet_of(&site).await;
    let page = site
        .firm
        .client_as(Role::Foreman)
        .await
        .get(&format!("/heads/{}/sheet", site.head))
        .await;
    assert_eq!(page.status, 200);
    for piece in sheet.runs.iter().flat_map(|run| &run.pieces) {
        let row = page.body.split("<tr role=\"row\"").skip(1).find(|row| {
            let own = row.split("class=\"length\"").next().unwrap_or("");
            own.contains(&format!(">{}<", piece.label))
        });
        let row = text(row.unwrap_or_else(|| panic!("a row for {}", piece.label)));
        let length = headwright::measure::Rounding::Sixteenth.text(piece.tape);
        assert!(row.contains(&length), "{}: {length} in {row}", piece.label);
        for cut in [&piece.left, &piece.right] {
            assert!(
                row.contains(words::hold_words(cut.setting.hold)),
                "{}",
                piece.label
            );
            assert!(
                row.contains(&words::swing_words(cut.setting.swing)),
                "{}",
                piece.label
            );
            assert!(
                row.contains(words::point_words(cut.point)),
                "{}",
                piece.label
            );
            if let Some(mate) = &cut.mate {
                assert!(
                    row.contains(&format!("closes on {mate}")),
                    "{}",
                    piece.label
                );
            }
        }
    }
}

fn pieces(sheet: &Sheet) -> impl Iterator<Item = &Piece> {
    sheet.runs.iter().flat_map(|run| &run.pieces)
}

#[tokio::test]
async fn the_downloaded_sheet_is_the_contracts_output() {
    let site = a_site().await;
    let sheet = sheet_of(&site).await;
    let reply = site
        .firm
        .client_as(Role::Owner)
        .await
        .get(&format!("/heads/{}/sheet.json", site.head))
        .await;
    let json: serde_json::Value = serde_json::from_str(&reply.body).expect("JSON");
    assert!(
        reply
            .header("content-disposition")
            .starts_with("attachment")
    );
    let told: Vec<(String, f64)> = json["runs"]
        .as_array()
        .expect("runs")
        .iter()
        .flat_map(|run| run["pieces"].as_array().expect("pieces").clone())
        .map(|p| {
            (
                p["label"].as_str().expect("a label").to_owned(),
                p["tape_in"].as_f64().expect("a length"),
            )
        })
        .collect();
    let solved: Vec<(String, f64)> = pieces(&sheet).map(|p| (p.label.clone(), p.tape)).collect();
    assert_eq!(told, solved);
    assert_eq!(json["saw_moves"]["walk"], sheet.saw_moves.walk);
}

#[tokio::test]
async fn both_orders_of_work_count_the_contracts_saw_moves() {
    let site = a_site().await;
    let moves = sheet_of(&site).await.saw_moves;
    let page = site
        .firm
        .client_as(Role::Foreman)
        .await
        .get(&format!("/heads/{}/sheet", site.head))
        .await;
    for count in [moves.walk, moves.gang] {
        assert!(page.body.contains(&format!("{count} saw moves")), "{count}");
    }
    assert!(
        page.body
            .contains("trapped between the blade and a fixed stop is thrown")
    );
}

#[tokio::test]
async fn the_sheet_weighs_under_60_kilobytes_on_the_wire() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    let url = format!("{}/heads/{}/sheet", site.firm.url, site.head);
    let reply = client
        .http
        .get(url)
        .header("accept-encoding", "gzip")
        .send()
        .await
        .expect("a reply");
    assert_eq!(
        reply
            .headers()
            .get("content-encoding")
            .map(|v| v.as_bytes()),
        Some(&b"gzip"[..])
    );
    let weight = reply.bytes().await.expect("a body").len();
    assert!(weight < 60_000, "{weight} bytes");
}

#[tokio::test]
async fn every_demo_head_can_be_made_but_the_one_of_the_story() {
    let firm = crate::support::start(crate::support::rules(), false).await;
    let built = firm.app.clone();
    let site = headwright::access::Site::new(&built, Vec::new(), Vec::new()).expect("guards");
    headwright::app::seed::demo(&built, &site)
        .await
        .expect("the demo");
    let pool = built.db().read();
    let shop = heads::shop_settings(pool, &built.firm())
        .await
        .expect("the shop");
    let filter = heads::Filter {
        like: "%".into(),
        ..heads::Filter::default()
    };
    let cards = heads::list(pool, &filter, (100, 0)).await.expect("a list");
    assert!(cards.len() >= 24, "{}", cards.len());
    let steps = heads::steps(pool).await.expect("steps");
    for card in &cards {
        let head = heads::head(pool, card.id).await.expect("the head");
        let (design, sheet) = solved(&head.design, head.as_built.as_ref(), &shop).expect("solved");
        // It shows the ways to close a corner.
        if card.name == "Lamp room, old rake with level returns" {
            assert!(!sheet.can_be_made());
            continue;
        }
        assert!(sheet.can_be_made(), "{}: {:?}", card.name, sheet.findings);
        let opening = headwright::openings::OpeningId::new(card.place.opening);
        let (_, seen) = headwright::openings::surveyed(&built, opening)
            .await
            .expect("its opening");
        let found = heads::findings(&design, &sheet, Some(&seen), &shop);
        let fits = found
            .iter()
            .all(|f| f.severity != headwright::trim::sheet::Severity::Error);
        assert_eq!(
            fits,
            card.name != "Kitchen door",
            "{}: {found:?}",
            card.name
        );
    }
    for step in steps.iter() {
        let at = cards.iter().filter(|c| c.step == step.id).count();
        assert!(at > 0, "no demo head stands at {}", step.name);
    }
    assert!(cards.iter().filter(|c| c.held.is_some()).count() >= 2);
}
