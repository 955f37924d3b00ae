//! Photos through the pages.

use std::fs;

use headwright::access::Role;
use headwright::heads::HeadId;

use super::{jpeg, with_notes};
use crate::heads::{Site, a_site};
use crate::support::html;

fn page(site: &Site) -> String {
    format!("/photos/head/{}", site.head)
}

async fn rows(site: &Site) -> i64 {
    sqlx::query_scalar("SELECT count(*) FROM photo")
        .fetch_one(site.firm.app.db().read())
        .await
        .expect("counted")
}

fn files(site: &Site) -> Vec<String> {
    let Ok(folder) = fs::read_dir(site.firm.dir.path().join("data/photos")) else {
        return Vec::new();
    };
    folder
        .map(|f| {
            f.expect("a file")
                .file_name()
                .into_string()
                .expect("a name")
        })
        .collect()
}

#[tokio::test]
async fn a_photo_from_a_phone_is_kept_once_without_its_place() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let client = site.firm.client_as(Role::Carpenter).await;
    let page = page(&site);
    let sent = with_notes(&jpeg(400, 200), 6);
    let fields = [("kind", "wall"), ("caption", "Dry, nails out")];
    let shown = client.get(&page).await;
    let file = ("photo", "../../etc/passwd.php", sent.as_slice());
    let first = client.send_file_from(&shown, &page, &fields, file).await;
    assert_eq!(first.status, 303, "{}", first.body);
    let again = client.send_file_from(&shown, &page, &fields, file).await;
    assert_eq!((again.status, again.location()), (303, first.location()));
    let other = ("photo", "b.jpg", b"another".as_slice());
    let other = client.send_file_from(&shown, &page, &fields, other).await;
    assert_eq!(other.status, 422, "the same key with another file");
    assert_eq!(rows(&site).await, 1);
    let files = files(&site);
    assert_eq!(files.len(), 2, "{files:?}");
    for name in &files {
        let hex = name.trim_end_matches(".jpg").trim_end_matches("-small");
        assert!(
            hex.len() == 32 && hex.bytes().all(|b| b.is_ascii_hexdigit()),
            "{name}"
        );
    }
    let head = client.get(&format!("/heads/{}", site.head)).await;
    assert!(
        head.body.contains("Dry, nails out"),
        "it stands on the head's page"
    );
    let picture = html::between(&head.body, "<img src=\"", "\"").expect("a picture");
    let (status, headers, bytes) = client.bytes(picture).await;
    assert_eq!(status, 200);
    assert_eq!(headers["content-type"], "image/jpeg");
    assert_eq!(headers["x-content-type-options"], "nosniff");
    assert_eq!(headers["cache-control"], "private, max-age=86400");
    assert_eq!(
        headers["content-disposition"],
        "inline; filename=\"photo-1.jpg\""
    );
    assert!(bytes.starts_with(&[0xFF, 0xD8, 0xFF]));
    assert!(!bytes.windows(6).any(|w| w == b"Canary" || w == b"Exif\0\0"));
}

#[tokio::test]
async fn taps_at_once_keep_one_photo_and_leave_no_file_over() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    let page = page(&site);
    let shown = client.get(&page).await;
    let sent = jpeg(300, 200);
    let taps = (0..6).map(|_| {
        let (client, shown, page, sent) =
            (client.clone(), shown.clone(), page.clone(), sent.clone());
        tokio::spawn(async move {
            let file = ("photo", "a.jpg", sent.as_slice());
            let fields = [("kind", "before")];
            client
                .send_file_from(&shown, &page, &fields, file)
                .await
                .status
        })
    });
    for tap in taps.collect::<Vec<_>>() {
        assert_eq!(tap.await.expect("a tap"), 303);
    }
    assert_eq!(rows(&site).await, 1);
    assert_eq!(files(&site).len(), 2);
}

#[tokio::test]
async fn what_cannot_be_taken_is_said_beside_the_field_and_the_words_stay() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Owner).await;
    let page = page(&site);
    let whole = jpeg(300, 200);
    let bad: [&[u8]; 6] = [
        b"",
        b"GIF89a\x01\0\x01\0\0\0\0;",
        b"<svg onload='alert(1)'/>",
        b"\x89PNG\r\n\x1a\n",
        &whole[..40],
        b"MZ\x90\0",
    ];
    for sent in bad {
        let fields = [("kind", "after"), ("caption", "Keep these words")];
        let file = ("photo", "a.jpg", sent);
        let reply = client.send_file(&page, &page, &fields, file).await;
        assert_eq!(reply.status, 422, "{}", reply.body);
        assert!(reply.body.contains("id=\"photo-error\""));
        assert!(reply.body.contains("value=\"Keep these words\""));
    }
    assert_eq!(rows(&site).await, 0);
    assert!(files(&site).is_empty());
    // Without a file at all, and as a form without parts.
    let reply = client.send(&page, &page, &[("kind", "after")]).await;
    assert_eq!(reply.status, 422);
}

#[tokio::test]
async fn more_than_is_read_and_more_than_thirty_an_hour_are_refused() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Owner).await;
    let page = page(&site);
    let heavy = vec![0xFF_u8; 15 * 1024 * 1024 + 1];
    let file = ("photo", "a.jpg", heavy.as_slice());
    let reply = client
        .send_file(&page, &page, &[("kind", "after")], file)
        .await;
    assert_eq!(reply.status, 422, "one byte over fifteen megabytes");
    assert!(reply.body.contains("larger than 15 MB"));
    let owner = site.firm.person("owner").await;
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    for n in 0..30 {
        sqlx::query(
            "INSERT INTO photo (created_at, created_by, opening_id, kind, name, width, height)
             VALUES (?, ?, ?, 'found', printf('%032d', ?), 4, 3)",
        )
        .bind(site.firm.app.now().millis() - 60_000)
        .bind(owner.get())
        .bind(site.opening)
        .bind(n)
        .execute(&mut *tx)
        .await
        .expect("a row");
    }
    tx.commit().await.expect("kept");
    let sent = jpeg(30, 20);
    let file = ("photo", "a.jpg", sent.as_slice());
    let reply = client
        .send_file(&page, &page, &[("kind", "after")], file)
        .await;
    assert_eq!((reply.status, reply.header("retry-after")), (429, "3540"));
    site.firm.later(3541);
    let reply = client
        .send_file(&page, &page, &[("kind", "after")], file)
        .await;
    assert_eq!(reply.status, 303);
}

#[tokio::test]
async fn finished_work_stands_beside_what_was_there_before() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    let opening = format!("/photos/opening/{}", site.opening);
    let sent = jpeg(300, 200);
    let file = ("photo", "a.jpg", sent.as_slice());
    let fields = [("kind", "before"), ("caption", "Old boards")];
    assert_eq!(
        client
            .send_file(&opening, &opening, &fields, file)
            .await
            .status,
        303
    );
    let page = page(&site);
    let shown = client.get(&page).await;
    let offered = html::form(&shown.body, &page).expect("the form");
    let beside = offered.iter().find(|(n, _)| n == "beside").expect("a list");
    assert_eq!(beside.1, "1", "the newest photo before is offered at once");
    let fields = [("kind", "after"), ("caption", "New head")];
    let reply = client.send_file_from(&shown, &page, &fields, file).await;
    assert_eq!(reply.status, 303);
    for address in [
        format!("/heads/{}", site.head),
        format!("/openings/{}", site.opening),
        format!("/photos/job/{}", site.job),
    ] {
        let body = client.get(&address).await.body;
        let pair = html::between(&body, "pair-of", "</div>").unwrap_or_default();
        assert!(
            pair.contains("Old boards") && pair.contains("New head"),
            "{address}"
        );
    }
    // A word below it can be mended; two people at once are told.
    let one = "/photos/2";
    let (mine, theirs) = (client.get(one).await, client.get(one).await);
    let said = [("caption", "Hung")];
    assert_eq!(client.send_from(&mine, one, &said).await.status, 303);
    assert_eq!(client.send_from(&theirs, one, &said[..0]).await.status, 409);
    let away = client
        .send("/photos/2", "/photos/2/archive", &[("away", "yes")])
        .await;
    assert_eq!(away.status, 303);
    let body = client.get(&format!("/heads/{}", site.head)).await.body;
    assert!(!body.contains("pair-of"), "put away, it is shown no longer");
}

#[tokio::test]
async fn a_carpenter_sees_photos_of_own_heads_only() {
    let site = a_site().await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let page = page(&site);
    let sent = jpeg(300, 200);
    let file = ("photo", "a.jpg", sent.as_slice());
    assert_eq!(
        foreman
            .send_file(&page, &page, &[("kind", "after")], file)
            .await
            .status,
        303
    );
    let client = site.firm.client_as(Role::Carpenter).await;
    for address in [
        "/photos/1",
        "/photos/1/whole.jpg",
        "/photos/1/small.jpg",
        page.as_str(),
    ] {
        assert_eq!(client.get(address).await.status, 404, "{address}");
    }
    let other = site.firm.signed_in("foreman2").await;
    assert_eq!(other.get("/photos/1/small.jpg").await.status, 404);
    let anyone = site.firm.anonymous();
    assert_eq!(anyone.get("/photos/1/small.jpg").await.status, 401);
    site.give_to("carpenter").await;
    assert_eq!(client.bytes("/photos/1/small.jpg").await.0, 200);
}

#[tokio::test]
async fn a_head_is_not_hung_before_the_wall_is_photographed() {
    let site = a_site().await;
    let words = "There is no photo of the wall before it is closed";
    let step = site.step("hung").await;
    let steps = headwright::heads::steps(site.firm.app.db().read())
        .await
        .expect("steps");
    let step = steps.get(step).expect("hung").clone();
    let gates = site
        .firm
        .app
        .hook::<headwright::heads::Gates>()
        .expect("gates");
    let closed = async |head: HeadId| {
        gates
            .closed(&site.firm.app, head, &step)
            .await
            .expect("asked")
    };
    assert!(closed(site.head).await.iter().any(|w| w.contains(words)));
    let client = site.firm.client_as(Role::Foreman).await;
    let page = page(&site);
    let sent = jpeg(300, 200);
    let file = ("photo", "a.jpg", sent.as_slice());
    assert_eq!(
        client
            .send_file(&page, &page, &[("kind", "wall")], file)
            .await
            .status,
        303
    );
    assert!(!closed(site.head).await.iter().any(|w| w.contains(words)));
}

#[tokio::test]
async fn a_photo_sent_after_the_session_ended_leads_through_the_sign_in() {
    let site = a_site().await;
    let client = site.firm.client_as(Role::Foreman).await;
    let page = page(&site);
    let shown = client.get(&page).await;
    site.firm.later(60 * 60 * 24 * 40);
    let sent = jpeg(300, 200);
    let file = ("photo", "a.jpg", sent.as_slice());
    let reply = client
        .send_file_from(&shown, &page, &[("kind", "wall")], file)
        .await;
    assert_eq!(reply.status, 401);
    assert!(
        !reply.body.contains('\u{FFFD}'),
        "the picture is not carried as text"
    );
    assert_eq!(rows(&site).await, 0);
}
