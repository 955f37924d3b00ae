//! The pages of sections.

use headwright::access::Role;

use super::a_section;
use crate::support::{a_firm, html};

#[tokio::test]
async fn a_section_is_made_looked_at_changed_and_put_away() {
    let firm = a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let page = owner.get("/sections/new").await;
    let saved = owner
        .send_from(
            &page,
            "/sections/new",
            &[("name", "Quay crown"), ("do", "")],
        )
        .await;
    assert_eq!(
        (saved.status, saved.location()),
        (303, "/sections/1?saved"),
        "{}",
        saved.body
    );
    let twice = owner
        .send_from(
            &page,
            "/sections/new",
            &[("name", "Quay crown"), ("do", "")],
        )
        .await;
    assert_eq!(
        (twice.status, twice.location()),
        (303, saved.location()),
        "counted once"
    );
    let one = owner.get("/sections/1").await;
    for text in [
        "Quay crown",
        "2 1/4",
        "2 5/8",
        "arc, radius",
        "put on the shelf",
        "edition 1",
    ] {
        assert!(one.body.contains(text), "{text}");
    }
    let edit = "/sections/1/edit";
    let (mine, theirs) = (owner.get(edit).await, owner.get(edit).await);
    let changed = owner
        .send_from(&theirs, edit, &[("member.0.height", "1/2")])
        .await;
    assert_eq!(changed.status, 303, "{}", changed.body);
    let conflict = owner
        .send_from(&mine, edit, &[("member.0.height", "5/8")])
        .await;
    assert_eq!(conflict.status, 409);
    assert!(conflict.body.contains("value=\"5/8\"") && conflict.body.contains("<b>1/2</b>"));
    assert!(owner.get("/sections/1").await.body.contains("edition 2"));
    let away = owner
        .send("/sections/1", "/sections/1/archive", &[("away", "yes")])
        .await;
    assert_eq!(away.status, 303);
    assert!(!owner.get("/sections").await.body.contains("Quay crown"));
    assert!(
        owner
            .get("/sections?archived=yes")
            .await
            .body
            .contains("Quay crown")
    );
}

#[tokio::test]
async fn a_refused_section_keeps_all_that_was_typed() {
    let firm = a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let fields = [
        ("name", "Quay crown"),
        ("projection", "wide"),
        ("note", "as found"),
    ];
    let reply = owner.send("/sections/new", "/sections/new", &fields).await;
    assert_eq!(reply.status, 422);
    assert!(reply.body.contains("id=\"projection-error\""));
    let kept = html::form(&reply.body, "/sections/new").expect("the form");
    for (name, text) in fields {
        assert!(kept.contains(&(name.to_owned(), text.to_owned())), "{name}");
    }
    // Another way of giving it keeps the members in the form.
    let draw = [("kind", "path"), ("path", "M0 0 h2 v-3 z"), ("do", "draw")];
    let page = owner.get("/sections/new").await;
    let held = html::form(&page.body, "/sections/new").expect("the form");
    let mut all: Vec<(&str, &str)> = held
        .iter()
        .filter(|(n, _)| n != "kind" && n != "do")
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    all.extend(draw);
    let drawn = owner.post_raw("/sections/new/draw", &all).await;
    assert!(
        drawn
            .body
            .contains("name=\"member.1.is\" value=\"cyma-recta\"")
    );
    assert!(drawn.body.contains("<svg"));
}

#[tokio::test]
async fn a_rip_shows_what_is_lost_and_makes_a_section() {
    let firm = a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    a_section(&firm, &[]).await;
    let page = owner
        .get("/sections/1/rip?keep=top&width=1+1/2+in&kerf=1/8+in")
        .await;
    assert_eq!(page.status, 200);
    assert!(page.body.contains("1 1/2 high") && page.body.contains("% of the section"));
    let saved = owner
        .send_from(&page, "/sections/1/rip", &[("name", "Porch crown, low")])
        .await;
    assert_eq!(
        (saved.status, saved.location()),
        (303, "/sections/2?saved"),
        "{}",
        saved.body
    );
    let one = owner.get("/sections/2").await;
    assert!(
        one.body.contains("Ripped from another section")
            && one.body.contains("Porch crown, edition 1")
    );
    let wide = owner
        .get("/sections/1/rip?keep=wall&width=9&kerf=1/8")
        .await;
    assert_eq!(wide.status, 422);
    assert!(wide.body.contains("already: less is needed"));
}

#[tokio::test]
async fn raked_sections_stand_beside_their_source_and_can_be_kept() {
    let firm = a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    a_section(&firm, &[]).await;
    let page = owner
        .get("/sections/1/raked?given=return&pitch=6&written_as=rise&corner=90")
        .await;
    assert_eq!(page.status, 200, "{}", page.body);
    for text in [
        "level return",
        "upper return",
        "26.6°",
        "Height of every arris",
        "knife grinder",
    ] {
        assert!(page.body.contains(text), "{text}");
    }
    let saved = owner
        .send_from(
            &page,
            "/sections/1/raked",
            &[("name", "Porch crown for 6 in 12"), ("form", "rake")],
        )
        .await;
    assert_eq!(
        (saved.status, saved.location()),
        (303, "/sections/2?saved"),
        "{}",
        saved.body
    );
    let wrong = owner.get("/sections/1/raked?pitch=steep&corner=400").await;
    assert_eq!(wrong.status, 422);
    assert!(wrong.body.contains("pitch-error") && wrong.body.contains("corner-error"));
}

#[tokio::test]
async fn whoever_draws_heads_writes_the_shelf_and_the_crew_reads_it() {
    let firm = a_firm().await;
    a_section(&firm, &[]).await;
    for (role, read, write) in [
        (Role::Foreman, 200, 200),
        (Role::Office, 200, 404),
        (Role::Carpenter, 200, 404),
    ] {
        let client = firm.client_as(role).await;
        for path in [
            "/sections",
            "/sections/1",
            "/sections/1/rip",
            "/sections/1/raked",
        ] {
            assert_eq!(client.get(path).await.status, read, "{role} {path}");
        }
        for path in ["/sections/new", "/sections/1/edit"] {
            assert_eq!(client.get(path).await.status, write, "{role} {path}");
        }
        let one = client.get("/sections/1").await.body;
        assert_eq!(one.contains("Change it"), write == 200, "{role}");
    }
}

/// A form with a file, as a browser sends one.
fn with_file(
    fields: &[(String, String)],
    changes: &[(&str, &str)],
    file: (&str, &[u8]),
) -> Vec<u8> {
    let mut body = Vec::new();
    let named = |name: &str| changes.iter().any(|(n, _)| *n == name) || name == "file";
    let kept = fields
        .iter()
        .filter(|(n, _)| !named(n))
        .map(|(n, v)| (n.as_str(), v.as_str()));
    for (name, value) in kept.chain(changes.iter().copied()) {
        let part = format!(
            "--plank\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
        );
        body.extend(part.as_bytes());
    }
    let head = format!(
        "--plank\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{}\"\r\nContent-Type: application/octet-stream\r\n\r\n",
        file.0
    );
    body.extend(head.as_bytes());
    body.extend(file.1);
    body.extend(b"\r\n--plank--\r\n");
    body
}

#[tokio::test]
async fn a_file_is_read_into_the_form_and_a_wrong_one_is_refused() {
    let firm = a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let page = owner.get("/sections/new").await;
    let held = html::form(&page.body, "/sections/new").expect("the form");
    let send = async |changes: &[(&str, &str)], file: (&str, &[u8])| {
        let sent = owner
            .http
            .post(format!("{}/sections/new/draw", owner.url))
            .header("origin", &owner.url)
            .header("content-type", "multipart/form-data; boundary=plank")
            .body(with_file(&held, changes, file))
            .send();
        let reply = sent.await.expect("a reply");
        (reply.status().as_u16(), reply.text().await.expect("text"))
    };
    let path = [
        ("kind", "path"),
        ("do", "file"),
        ("drawn_in", "mm"),
        ("name", "From a file"),
    ];
    let svg = b"<svg><path d=\"M0 0 h50 v-70 z\"/></svg>";
    let (status, body) = send(&path, ("crown.svg", svg)).await;
    assert_eq!(status, 200, "{body}");
    assert!(body.contains("M0 0 h50 v-70 z</textarea>"), "{body}");
    assert!(body.contains("value=\"From a file\"") && body.contains("<svg"));
    let two = b"<svg><path d=\"M0 0 h1\"/><path d=\"M0 0 h2\"/></svg>";
    let (status, body) = send(&path, ("two.svg", two)).await;
    assert_eq!(status, 422);
    assert!(body.contains("more than one path") && body.contains("value=\"From a file\""));
    let dxf = [("kind", "dxf"), ("do", "file")];
    let (status, body) = send(&dxf, ("bad.dxf", b"\xff\xfe\x00\nnot a drawing\n")).await;
    assert!(
        status == 200 && body.contains("a group code"),
        "{status} {body}"
    );
    let (status, _) = send(&path, ("big.svg", &vec![b'x'; 3_000_000])).await;
    assert_eq!(status, 413, "bounded as every form is");
    let (status, body) = send(&path, ("none.svg", b"")).await;
    assert!(status == 422 && body.contains("Choose a file first"));
}
