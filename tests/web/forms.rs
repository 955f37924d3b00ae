//! Forms: once and only once, no silent overwriting, nothing typed lost.

use headwright::access::Role;

use crate::support::{self, html};

const PROFILE: &str = "/firm/profile";

#[tokio::test]
async fn a_form_sent_twice_counts_once_and_gets_the_same_reply() {
    let firm = support::a_firm().await;
    let client = firm.client_as(Role::Foreman).await;
    let page = client.get(PROFILE).await;
    let first = client
        .send_from(&page, PROFILE, &[("name", "Fenella G.")])
        .await;
    let after = firm.dump().await;
    let second = client
        .send_from(&page, PROFILE, &[("name", "Fenella G.")])
        .await;
    assert_eq!((first.status, second.status), (303, 303));
    assert_eq!(first.location(), second.location());
    assert_eq!(firm.dump().await, after, "the second changed nothing");
}

#[tokio::test]
async fn fifty_taps_at_once_count_once() {
    let firm = support::a_firm().await;
    let client = firm.client_as(Role::Foreman).await;
    let page = client.get(PROFILE).await;
    let taps = (0..50).map(|_| {
        let (client, page) = (client.clone(), page.clone());
        tokio::spawn(async move {
            client
                .send_from(&page, PROFILE, &[("name", "Fenella G.")])
                .await
                .status
        })
    });
    for tap in taps.collect::<Vec<_>>() {
        assert_eq!(tap.await.expect("a tap"), 303);
    }
    assert_eq!(
        firm.dump().await.matches("person.profile").count(),
        1,
        "one audit row"
    );
}

#[tokio::test]
async fn a_used_key_with_another_body_is_refused() {
    let firm = support::a_firm().await;
    let client = firm.client_as(Role::Foreman).await;
    let page = client.get(PROFILE).await;
    assert_eq!(
        client
            .send_from(&page, PROFILE, &[("name", "One")])
            .await
            .status,
        303
    );
    let after = firm.dump().await;
    assert_eq!(
        client
            .send_from(&page, PROFILE, &[("name", "Two")])
            .await
            .status,
        422
    );
    assert_eq!(firm.dump().await, after);
}

#[tokio::test]
async fn a_key_belongs_to_one_person() {
    let firm = support::a_firm().await;
    let (one, two) = (
        firm.client_as(Role::Foreman).await,
        firm.client_as(Role::Carpenter).await,
    );
    let page = one.get(PROFILE).await;
    let fields = html::form(&page.body, PROFILE).expect("the form");
    let key = &fields.iter().find(|(n, _)| n == "_key").expect("a key").1;
    assert_eq!(
        one.send_from(&page, PROFILE, &[("name", "One")])
            .await
            .status,
        303
    );
    let theirs = two
        .send(PROFILE, PROFILE, &[("_key", key), ("name", "Two")])
        .await;
    assert_eq!(
        theirs.status, 303,
        "the same key of another person is another key"
    );
}

#[tokio::test]
async fn a_rejected_form_keeps_what_was_typed_and_says_what_is_wrong_beside_it() {
    let firm = support::a_firm().await;
    let client = firm.client_as(Role::Foreman).await;
    let long = "very long name ".repeat(20);
    let fields = [("name", long.as_str()), ("phone", "555 0142")];
    let reply = client.send(PROFILE, PROFILE, &fields).await;
    assert_eq!(reply.status, 422);
    assert!(
        reply.body.contains(&format!("value=\"{long}\"")),
        "the long name stays"
    );
    assert!(
        reply.body.contains("value=\"555 0142\""),
        "the good field stays"
    );
    assert!(reply.body.contains("id=\"name-error\""));
    assert!(
        reply
            .body
            .contains("aria-describedby=\"name-hint name-error\" aria-invalid=\"true\"")
    );
    assert!(
        reply
            .body
            .contains("<a href=\"#name\">At most 120 characters; this has 299.</a>")
    );
    let again = client
        .send_from(&reply, PROFILE, &[("name", "Fenella")])
        .await;
    assert_eq!(
        again.status, 303,
        "mended and sent again from the same page"
    );
}

#[tokio::test]
async fn a_second_editor_sees_both_values_and_may_send_again() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let page = format!("/firm/people/{}", firm.person("carpenter").await);
    let (mine, theirs) = (owner.get(&page).await, owner.get(&page).await);
    let saved = owner.send_from(
        &theirs,
        &page,
        &[("name", "Cassia I. Glen"), ("phone", "555 0101")],
    );
    assert_eq!(saved.await.status, 303);
    let conflict = owner
        .send_from(&mine, &page, &[("name", "Cassia Mine")])
        .await;
    assert_eq!(conflict.status, 409);
    assert!(
        conflict.body.contains("value=\"Cassia Mine\""),
        "what I typed stays"
    );
    assert!(
        conflict.body.contains("<b>Cassia I. Glen</b>"),
        "what was saved stands beside it"
    );
    assert!(
        conflict.body.contains("<b>555 0101</b>"),
        "also where I typed nothing"
    );
    assert!(conflict.body.contains("aria-describedby=\"name-theirs\""));
    let again = owner
        .send_from(&conflict, &page, &[("phone", "555 0101")])
        .await;
    assert_eq!(again.status, 303);
    let now = owner.get(&page).await;
    assert!(now.body.contains("value=\"Cassia Mine\"") && now.body.contains("value=\"555 0101\""));
}

#[tokio::test]
async fn of_a_hundred_races_one_wins_each() {
    let firm = support::a_firm().await;
    let client = firm.client_as(Role::Carpenter).await;
    for n in 0..25 {
        let pages = [client.get(PROFILE).await, client.get(PROFILE).await];
        let racers = pages.into_iter().enumerate().map(|(who, page)| {
            let client = client.clone();
            let name = format!("Racer {n} {who}");
            tokio::spawn(async move {
                client
                    .send_from(&page, PROFILE, &[("name", &name)])
                    .await
                    .status
            })
        });
        let mut statuses = Vec::new();
        for racer in racers.collect::<Vec<_>>() {
            statuses.push(racer.await.expect("a racer"));
        }
        statuses.sort_unstable();
        assert_eq!(statuses, [303, 409]);
    }
}

#[tokio::test]
async fn fields_nobody_asked_for_change_nothing() {
    let firm = support::a_firm().await;
    let client = firm.client_as(Role::Carpenter).await;
    let owner = firm.person("owner").await.to_string();
    let extra = [
        ("name", "Cassia"),
        ("role", "owner"),
        ("id", owner.as_str()),
        ("user_id", owner.as_str()),
        ("sign_in", "boss"),
        ("password_hash", "x"),
        ("disabled_at", "1"),
    ];
    assert_eq!(client.send(PROFILE, PROFILE, &extra).await.status, 303);
    assert_eq!(
        client.get("/firm/people").await.status,
        404,
        "still a carpenter"
    );
    assert_eq!(
        firm.person("owner").await.to_string(),
        owner,
        "nobody else was touched"
    );
}

/// Texts that have broken programs before.
fn hostile() -> Vec<String> {
    let mut texts: Vec<String> = [
        "<script>alert(1)</script>",
        "\"><img src=x onerror=alert(1)>",
        "'><svg onload=alert(1)>",
        "javascript:alert(1)",
        "{{ 7*7 }}",
        "</textarea><script>alert(1)</script>",
        "</title><script>alert(1)</script>",
        "&lt;script&gt;",
        "' OR 1=1 --",
        "'; DROP TABLE user; --",
        "\u{202E}gnp.exe",
        "a\u{0000}b",
        "a\r\nSet-Cookie: s=1",
        "héllo wörld ☃ 👷🏽‍♀️",
        "مرحبا بالعالم",
        "=HYPERLINK(\"http://x\")",
        "../../../../etc/passwd",
        "%00%0d%0a",
        "\u{FEFF}bom",
        "   ",
        "",
    ]
    .map(str::to_owned)
    .to_vec();
    texts.push("x".repeat(1_000_000));
    texts
}

/// Sends every hostile text in every field of these forms.
async fn attacked(firm: &support::TestApp, forms: Vec<(String, String)>) {
    let owner = firm.client_as(Role::Owner).await;
    let safe = |body: &str| {
        let open = ["<script>alert", "<img src=x", "<svg onload"];
        open.iter().all(|open| !body.contains(open))
    };
    let hostile = hostile();
    for (page, action) in forms {
        let mut shown = owner.get(&page).await;
        let fields = html::form(&shown.body, &action).unwrap_or_default();
        for (name, _) in fields.iter().filter(|(name, _)| !name.starts_with('_')) {
            for text in &hostile {
                let reply = owner.send_from(&shown, &action, &[(name, text)]).await;
                let what = format!(
                    "{action} {name} {:?}",
                    text.chars().take(40).collect::<String>()
                );
                assert!(reply.status < 500, "{what}: {}", reply.status);
                assert!(safe(&reply.body), "{what}");
                shown = owner.get(&page).await;
                assert!(safe(&shown.body), "{what} after");
            }
        }
    }
}

#[tokio::test]
async fn hostile_text_in_any_field_is_kept_as_text_or_refused() {
    let firm = support::a_firm().await;
    let forms = of_the_firm(&firm).await;
    attacked(&firm, forms).await;
}

#[tokio::test]
async fn hostile_text_in_any_field_of_a_head_is_kept_as_text_or_refused() {
    let firm = support::a_firm().await;
    let forms = heads(&firm).await;
    attacked(&firm, forms).await;
}

/// Pages with forms, and where the forms go: an area adds its own.
async fn of_the_firm(firm: &support::TestApp) -> Vec<(String, String)> {
    let person = format!("/firm/people/{}", firm.person("carpenter").await);
    [
        (PROFILE, PROFILE),
        (PROFILE, "/firm/profile/password"),
        ("/firm/settings", "/firm/settings"),
        ("/firm/people", "/firm/people"),
        ("/heads/steps", "/heads/steps"),
        ("/heads/materials", "/heads/materials"),
        ("/heads/steps/5", "/heads/steps/5"),
        ("/firm/saws/new", "/firm/saws/new"),
        ("/firm/saws/1/edit", "/firm/saws/1/edit"),
        ("/firm/saws/1", "/firm/saws/1/test"),
        ("/safety/lists/new", "/safety/lists/new"),
        ("/crew/plan", "/crew/plan/away"),
        ("/crew/plan", "/crew/plan/lost"),
        ("/crew/plan", "/crew/plan/limit"),
        (person.as_str(), person.as_str()),
    ]
    .map(|(page, action)| (page.to_owned(), action.to_owned()))
    .into_iter()
    .chain(customers(firm).await)
    .chain(shelf(firm).await)
    .chain(stock(firm).await)
    .collect()
}

/// The forms of a head: its design, its bench, what it is made of.
async fn heads(firm: &support::TestApp) -> Vec<(String, String)> {
    let owner = firm.person("owner").await;
    let (job, opening) = crate::heads::an_opening(&firm.app, owner, "HF").await;
    let design = serde_json::json!({"unit": "in", "kind": "flat", "name": "Flat", "span": "40",
        "board": {"thickness": "3/4", "height": "5 1/2"}});
    let head = crate::heads::a_head(&firm.app, owner, opening, design).await;
    let photo = crate::photos::a_photo(firm, opening).await;
    let painter = crate::outside::a_painter(firm, job, None).await;
    let permit = crate::permits::facts(headwright::permits::PermitState::Granted);
    let permit = crate::permits::a_permit(firm, job, &permit).await;
    ["design", "around"]
        .map(|what| format!("/heads/{head}/{what}"))
        .into_iter()
        .chain([
            format!("/heads/new/{opening}"),
            format!("/photos/head/{head}"),
            format!("/photos/opening/{opening}"),
            format!("/photos/{photo}"),
            "/outside/new".to_owned(),
            format!("/outside/{}", painter.0),
            format!("/outside/job/{job}"),
            format!("/outside/work/{}", painter.1),
            format!("/permits/new/{job}"),
            format!("/permits/{permit}/edit"),
        ])
        .map(|page| (page.clone(), page))
        .collect()
}

/// The forms of shelf, suppliers and rack.
async fn stock(firm: &support::TestApp) -> Vec<(String, String)> {
    use crate::support::records::{a_stick, a_supplier, an_item};
    let supplier = a_supplier(firm, "Yard").await;
    let item = an_item(firm, "Crown").await;
    let stick = a_stick(firm, item, "40").await;
    [
        (format!("/stock/suppliers/{supplier}"), String::new()),
        (format!("/stock/shelf/{item}"), "/edit".to_owned()),
        (format!("/stock/rack/{stick}"), "/edit".to_owned()),
    ]
    .map(|(page, more)| (format!("{page}{more}"), format!("{page}{more}")))
    .into_iter()
    .chain([
        (
            format!("/stock/shelf/{item}"),
            format!("/stock/shelf/{item}/length"),
        ),
        (
            format!("/stock/rack/{stick}"),
            format!("/stock/rack/{stick}/move"),
        ),
        ("/orders/new".to_owned(), "/orders/new".to_owned()),
    ])
    .collect()
}

/// The forms of the shelf of sections.
async fn shelf(firm: &support::TestApp) -> Vec<(String, String)> {
    let id = crate::sections::a_section(firm, &[]).await;
    ["/sections/new".to_owned()]
        .into_iter()
        .chain(["edit", "rip", "raked"].map(|what| format!("/sections/{id}/{what}")))
        .map(|page| (page.clone(), page))
        .collect()
}

/// The forms of clients, enquiries, visits, jobs, openings and surveys.
async fn customers(firm: &support::TestApp) -> Vec<(String, String)> {
    use crate::support::records::{a_client, a_job, a_visit, an_enquiry, an_opening};
    let client = a_client(firm, "Wren").await;
    let job = a_job(firm, client, "SM", None).await;
    let enquiry = an_enquiry(firm, "Wren").await;
    let visit = a_visit(firm, client, None).await;
    let opening = an_opening(firm, job, "W1").await;
    [
        format!("/clients/{client}/edit"),
        format!("/clients/enquiries/{enquiry}/edit"),
        format!("/clients/visits/{visit}/edit"),
        format!("/jobs/{job}/edit"),
        format!("/openings/{opening}/edit"),
        format!("/openings/{opening}/measure"),
        format!("/safety/jobs/{job}/site"),
        format!("/safety/jobs/{job}/sign/14/0"),
        format!("/crew/jobs/{job}/notes"),
        format!("/safety/jobs/{job}/talk"),
        format!("/safety/jobs/{job}/incident"),
    ]
    .map(|page| (page.clone(), page))
    .to_vec()
}
