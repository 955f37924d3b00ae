//! The permission table, and every route against every actor.

use std::collections::BTreeMap;

use headwright::access::{Need, Reach, Role, Route, THINGS, Thing};
use headwright::app;

use crate::support::{self, Client, Reply, TestApp};

/// The table as agreed with the firm, written out a second time by hand:
/// W all, R read only, O own jobs, A assigned, "WO R" writes own and reads all,
/// – nothing. Owner, office, foreman, carpenter.
const TABLE: [(Thing, [&str; 4]); 17] = [
    (Thing::Firm, ["W", "–", "–", "–"]),
    (Thing::Clients, ["W", "W", "RO", "–"]),
    (Thing::Estimates, ["W", "W", "WO", "–"]),
    (Thing::Billing, ["W", "W", "–", "–"]),
    (Thing::Jobs, ["W", "W", "WO R", "RA"]),
    (Thing::Heads, ["W", "R", "WO R", "RA"]),
    (Thing::Sheets, ["R", "R", "RO", "RA"]),
    (Thing::Ticks, ["R", "R", "WO", "WA"]),
    (Thing::Steps, ["W", "W", "WO", "WA"]),
    (Thing::Plan, ["W", "R", "W", "RA"]),
    (Thing::Shelf, ["W", "W", "R", "R"]),
    (Thing::Rack, ["W", "W", "W", "W"]),
    (Thing::Orders, ["W", "W", "WO", "RA"]),
    (Thing::Receiving, ["W", "W", "WO", "WA"]),
    (Thing::Hours, ["W", "R", "WO", "WA"]),
    (Thing::Photos, ["W", "W", "WO", "WA"]),
    (Thing::Safety, ["W", "R", "WO", "WA"]),
];

fn meaning(cell: &str) -> (Reach, Reach) {
    match cell {
        "W" => (Reach::All, Reach::All),
        "R" => (Reach::All, Reach::None),
        "WO R" => (Reach::All, Reach::Own),
        "WO" => (Reach::Own, Reach::Own),
        "RO" => (Reach::Own, Reach::None),
        "WA" => (Reach::Assigned, Reach::Assigned),
        "RA" => (Reach::Assigned, Reach::None),
        "–" => (Reach::None, Reach::None),
        other => panic!("no such cell: {other}"),
    }
}

#[test]
fn the_table_of_permissions_is_the_agreed_one() {
    assert_eq!(TABLE.len(), THINGS.len());
    for (thing, cells) in TABLE {
        for (role, cell) in Role::ALL.into_iter().zip(cells) {
            let level = thing.level(role);
            assert_eq!(
                (level.read, level.write),
                meaning(cell),
                "{thing:?} for {role}"
            );
        }
    }
}

#[test]
fn only_sign_in_static_files_and_health_are_open() {
    let open: Vec<&str> = app::routes()
        .iter()
        .filter(|route| matches!(route.need, Need::Anyone(_)))
        .map(|route| route.path)
        .collect();
    assert_eq!(
        open,
        [
            "/health",
            "/sw.js",
            "/manifest.webmanifest",
            "/static/{hash}/{name}",
            "/sign-in",
            "/sign-in",
            "/setup",
            "/setup",
            "/join/{code}",
            "/join/{code}",
            "/work/{token}",
            "/calendar/{file}",
        ]
    );
}

#[test]
fn every_route_that_writes_needs_a_right_to_write() {
    for route in app::routes() {
        if route.method != "GET" {
            assert!(
                !matches!(route.need, Need::Read(_)),
                "{} {}",
                route.method,
                route.path
            );
        }
    }
}

#[test]
fn every_object_of_a_route_has_a_kind_that_knows_it() {
    let kinds: Vec<&str> = app::areas()
        .iter()
        .flat_map(|area| area.kinds.iter().map(|k| k.name))
        .collect();
    for route in app::routes() {
        if let Some(object) = route.object {
            assert!(
                kinds.contains(&object.kind),
                "{}: kind {}",
                route.path,
                object.kind
            );
            assert!(
                route.path.contains(&format!("{{{}}}", object.param)),
                "{}",
                route.path
            );
        } else if let Need::Read(_) | Need::Write(_) = route.need {
            assert!(!route.path.contains("{id}"), "{} names no kind", route.path);
        }
    }
}

/// No record has this id.
const MISSING: &str = "999999999";

fn address(route: &Route, id: &str) -> String {
    let mut path = route.path.to_owned();
    while let (Some(from), Some(to)) = (path.find('{'), path.find('}')) {
        path.replace_range(from..=to, id);
    }
    path
}

async fn status(client: &Client, route: &Route, id: &str) -> u16 {
    asked(client, route, id).await.status
}

async fn asked(client: &Client, route: &Route, id: &str) -> Reply {
    let path = address(route, id);
    if route.method == "GET" {
        client.get(&path).await
    } else {
        // No token: whoever the guard lets through ends in 403.
        client.post_raw(&path, &[]).await
    }
}

#[tokio::test]
async fn every_route_keeps_every_actor_to_the_table() {
    let firm = support::a_firm().await;
    let mut calls = 0;
    for route in app::routes() {
        let open = matches!(route.need, Need::Anyone(_));
        let anonymous = status(&firm.anonymous(), &route, MISSING).await;
        assert_eq!(
            anonymous == 401,
            !open,
            "{} {}: {anonymous}",
            route.method,
            route.path
        );
        calls += 1;
    }
    for role in Role::ALL {
        let client = firm.client_as(role).await;
        for route in app::routes().iter().filter(|r| r.path != "/sign-out") {
            check(&client, role, route).await;
            calls += 1;
        }
    }
    println!("{calls} calls");
}

async fn check(client: &Client, role: Role, route: &Route) {
    let status = status(client, route, MISSING).await;
    let what = format!("{role}: {} {} gave {status}", route.method, route.path);
    if matches!(route.need, Need::Anyone(_)) {
        assert!(status < 500, "{what}");
    } else if route.need.reach(role) == Reach::None || route.object.is_some() {
        assert_eq!(status, 404, "{what}");
    } else if route.method == "GET" {
        assert!(status == 200 || status == 303, "{what}");
    } else {
        assert_eq!(status, 403, "{what}");
    }
}

/// Records of each kind, one the actors own or are assigned to and one that is
/// another's: an area with records adds a line.
async fn records(firm: &TestApp) -> BTreeMap<&'static str, String> {
    use crate::support::records::{
        a_client, a_job, a_lumber_order, a_stick, a_supplier, a_visit, an_enquiry, an_item,
        an_opening,
    };
    let client = a_client(firm, "Wren").await;
    let job = a_job(firm, client, "SM", None).await;
    let opening = an_opening(firm, job, "W1").await;
    let item = an_item(firm, "Crown").await;
    let owner = firm.person("owner").await;
    let head = crate::heads::a_head(&firm.app, owner, opening.get(), crate::heads::a_gable()).await;
    let painter = crate::outside::a_painter(firm, job.get(), None).await;
    BTreeMap::from([
        ("person", firm.person("carpenter2").await.to_string()),
        ("client", client.to_string()),
        ("enquiry", an_enquiry(firm, "Wren").await.to_string()),
        ("visit", a_visit(firm, client, None).await.to_string()),
        ("job", job.to_string()),
        ("opening", opening.to_string()),
        ("head", head.to_string()),
        ("hours", crate::crew::an_hour(firm, job).await.to_string()),
        ("lumber order", a_lumber_order(firm).await.to_string()),
        (
            "checklist",
            crate::safety::sign_all(firm, job.get()).await.to_string(),
        ),
        ("checklist-template", "1".to_owned()),
        (
            "photo",
            crate::photos::a_photo(firm, opening.get())
                .await
                .to_string(),
        ),
        (
            "permit",
            crate::permits::a_permit(
                firm,
                job.get(),
                &crate::permits::facts(headwright::permits::PermitState::Granted),
            )
            .await
            .to_string(),
        ),
        ("outside firm", painter.0.to_string()),
        ("outside work", painter.1.to_string()),
        ("step", "5".to_owned()),
        ("saw", "1".to_owned()),
        ("invite", an_invite(firm).await.to_string()),
        (
            "section",
            crate::sections::a_section(firm, &[]).await.to_string(),
        ),
        ("supplier", a_supplier(firm, "Yard").await.to_string()),
        ("stock item", item.to_string()),
        ("offcut", a_stick(firm, item, "40").await.to_string()),
    ])
}

/// An invite that nobody has taken yet.
async fn an_invite(firm: &TestApp) -> i64 {
    let owner = firm.client_as(Role::Owner).await;
    let page = "/firm/people";
    let sent = [("name", "Wilf Harrow"), ("role", "carpenter")];
    let reply = owner.send(page, page, &sent).await;
    assert!(reply.status < 400, "{}", reply.body);
    sqlx::query_scalar("SELECT max(id) FROM invite")
        .fetch_one(firm.app.db().read())
        .await
        .expect("an invite")
}

#[tokio::test]
async fn every_kind_of_record_is_among_those_tried() {
    let firm = support::a_firm().await;
    let records = records(&firm).await;
    for area in app::areas() {
        for kind in area.kinds {
            assert!(records.contains_key(kind.name), "no {} is tried", kind.name);
        }
    }
}

#[tokio::test]
async fn what_is_ones_own_is_let_through() {
    let site = crate::heads::a_site().await;
    site.give_to("carpenter").await;
    let own = BTreeMap::from([
        ("job", site.job),
        ("opening", site.opening),
        ("head", site.head.get()),
    ]);
    for role in [Role::Foreman, Role::Carpenter] {
        let client = site.firm.client_as(role).await;
        for route in app::routes() {
            let Some(id) = route.object.and_then(|object| own.get(object.kind)) else {
                continue;
            };
            if route.path.matches('{').count() != 1 {
                continue;
            }
            let status = status(&client, &route, &id.to_string()).await;
            let what = format!("{role}: {} {} gave {status}", route.method, route.path);
            if route.need.reach(role) == Reach::None {
                assert_eq!(status, 404, "{what}");
            } else if route.method == "GET" {
                assert!(status == 200 || status == 303, "{what}");
            } else {
                assert_eq!(status, 403, "{what}");
            }
        }
    }
}

#[tokio::test]
async fn what_is_anothers_looks_like_what_is_not_there() {
    let firm = support::a_firm().await;
    let records = records(&firm).await;
    for role in [Role::Office, Role::Foreman, Role::Carpenter] {
        let client = firm.client_as(role).await;
        for route in app::routes() {
            let Some(id) = route.object.and_then(|object| records.get(object.kind)) else {
                continue;
            };
            // None of the records is theirs or given to them; but the shelf of
            // sections and the saws are the whole firm's: whoever may change any
            // of them may change these.
            let reach = route.need.reach(role);
            let shared = route
                .object
                .is_some_and(|object| matches!(object.kind, "section" | "saw"));
            if reach == Reach::All || (shared && reach != Reach::None) {
                continue;
            }
            let theirs = asked(&client, &route, id).await;
            let missing = asked(&client, &route, MISSING).await;
            assert_eq!(theirs.status, missing.status, "{}", route.path);
            let bare = |body: &str| body.split("reference").next().map(str::to_owned);
            assert_eq!(bare(&theirs.body), bare(&missing.body), "{}", route.path);
        }
    }
}
