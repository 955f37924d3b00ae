//! Security headers on every reply: pages, errors, static files, refusals.

use headwright::access::Role;
use headwright::app;
use headwright::web::{Rules, assets};
use reqwest::Method;

use crate::support::{self, Client, Reply};

const CSP: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
    connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; \
    base-uri 'none'; object-src 'none'; frame-ancestors 'none'";

fn assert_headers(reply: &Reply, what: &str) {
    assert_eq!(reply.header("content-security-policy"), CSP, "{what}");
    assert_eq!(reply.header("x-content-type-options"), "nosniff", "{what}");
    assert_eq!(reply.header("referrer-policy"), "same-origin", "{what}");
    assert_eq!(
        reply.header("strict-transport-security"),
        "",
        "{what}: not over plain http"
    );
    assert_eq!(reply.header("access-control-allow-origin"), "", "{what}");
    assert_eq!(reply.header("server"), "", "{what}");
    let kind = reply.header("content-type");
    if !reply.body.is_empty() {
        assert!(
            kind.contains("charset=utf-8") || kind == "image/svg+xml",
            "{what}: {kind}"
        );
    }
    if !what.contains("/static/") || reply.status != 200 {
        assert_eq!(reply.header("cache-control"), "no-store", "{what}");
    }
}

async fn ask(client: &Client, method: &Method, path: &str) -> Reply {
    let url = format!("{}{path}", client.url);
    let request = client
        .http
        .request(method.clone(), url)
        .header("origin", &client.url);
    let response = request.send().await.expect("a reply");
    let (status, headers) = (response.status().as_u16(), response.headers().clone());
    Reply {
        status,
        headers,
        body: response.text().await.expect("text"),
    }
}

#[tokio::test]
async fn every_reply_carries_the_security_headers() {
    let firm = support::a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    let mut paths: Vec<String> = app::routes()
        .iter()
        .map(|r| r.path.replace("{id}", "1").replace(['{', '}'], ""))
        .collect();
    paths.extend([
        "/no/such/page".to_owned(),
        "/static/0/none.css".to_owned(),
        "/%00".to_owned(),
    ]);
    paths.extend(
        assets()
            .iter()
            .map(|a| format!("/static/{}/{}", a.hash, a.name)),
    );
    for client in [owner, firm.anonymous()] {
        for path in &paths {
            for method in [
                Method::GET,
                Method::HEAD,
                Method::PUT,
                Method::DELETE,
                Method::OPTIONS,
            ] {
                let reply = ask(&client, &method, path).await;
                assert!(reply.status < 500, "{method} {path}: {}", reply.status);
                assert_headers(&reply, &format!("{method} {path}"));
            }
        }
    }
}

#[tokio::test]
async fn trace_is_refused_everywhere() {
    let firm = support::a_firm().await;
    for path in ["/", "/sign-in", "/no/such/page", "/health"] {
        let reply = ask(&firm.anonymous(), &Method::TRACE, path).await;
        assert_eq!(reply.status, 405, "{path}");
        assert_headers(&reply, path);
    }
}

#[tokio::test]
async fn over_tls_cookies_are_bound_to_the_host_and_hsts_is_sent() {
    let rules = Rules {
        tls: true,
        ..support::rules()
    };
    let firm = support::start(rules, true).await;
    let page = firm.anonymous().get("/sign-in").await;
    let cookie = page.header("set-cookie");
    assert!(cookie.starts_with("__Host-v="), "{cookie}");
    for word in ["HttpOnly", "Secure", "SameSite=Lax", "Path=/"] {
        assert!(cookie.contains(word), "{cookie}");
    }
    assert_eq!(
        page.header("strict-transport-security"),
        "max-age=31536000; includeSubDomains"
    );
}

#[tokio::test]
async fn the_session_cookie_is_out_of_reach_of_scripts_and_other_sites() {
    let firm = support::a_firm().await;
    let reply = firm.anonymous().sign_in("owner", support::PASSWORD).await;
    let cookie = reply.header("set-cookie");
    assert!(cookie.starts_with("s="), "{cookie}");
    for word in ["HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=86400"] {
        assert!(cookie.contains(word), "{cookie}");
    }
}

#[tokio::test]
async fn static_files_are_kept_for_ever_under_their_own_hash() {
    let firm = support::a_firm().await;
    let client = firm.anonymous();
    for asset in assets() {
        let path = format!("/static/{}/{}", asset.hash, asset.name);
        let reply = client.get(&path).await;
        assert_eq!(reply.status, 200, "{path}");
        assert_eq!(
            reply.header("cache-control"),
            "public, max-age=31536000, immutable"
        );
        let tag = reply.header("etag").to_owned();
        let again = client
            .http
            .get(format!("{}{path}", client.url))
            .header("if-none-match", &tag);
        assert_eq!(again.send().await.expect("a reply").status(), 304, "{path}");
        let old = format!("/static/0000000000000000/{}", asset.name);
        assert_eq!(client.get(&old).await.status, 404);
    }
}

#[tokio::test]
async fn style_and_script_are_small() {
    let size = |name: &str| {
        assets()
            .iter()
            .find(|a| a.name == name)
            .map_or(0, |a| a.bytes.len())
    };
    // Uncompressed; the bar of 20 and 30 KB is for what is sent compressed.
    assert!(
        (1..40_000).contains(&size("sheet.css")),
        "{}",
        size("sheet.css")
    );
    assert!((1..60_000).contains(&size("app.js")), "{}", size("app.js"));
}
