//! Files of sections: true scale, plain names, never half.

use headwright::access::Role;

use super::a_section;
use crate::support::a_firm;

#[tokio::test]
async fn files_have_plain_names_and_their_own_kinds() {
    let firm = a_firm().await;
    let owner = firm.client_as(Role::Owner).await;
    a_section(&firm, &[]).await;
    for (path, name, kind, start) in [
        (
            "/sections/1/section.pdf",
            "section-1.pdf",
            "application/pdf",
            "%PDF-",
        ),
        (
            "/sections/1/section.svg",
            "section-1.svg",
            "image/svg+xml",
            "<svg",
        ),
        (
            "/sections/1/section.dxf",
            "section-1.dxf",
            "image/vnd.dxf",
            "999",
        ),
        (
            "/sections/1/raked.pdf?paper=a4&pitch=6",
            "section-1-raked.pdf",
            "application/pdf",
            "%PDF-",
        ),
        (
            "/sections/1/raked.svg?pitch=30&written_as=degrees",
            "section-1-raked.svg",
            "image/svg+xml",
            "<svg",
        ),
        (
            "/sections/1/raked.dxf",
            "section-1-raked.dxf",
            "image/vnd.dxf",
            "999",
        ),
    ] {
        let url = format!("{}{path}", owner.url);
        let reply = owner.http.get(url).send().await.expect("a reply");
        assert_eq!(reply.status().as_u16(), 200, "{path}");
        let header = |name: &str| {
            let value = reply.headers().get(name).and_then(|v| v.to_str().ok());
            value.unwrap_or_default().to_owned()
        };
        assert!(header("content-type").starts_with(kind), "{path}");
        assert_eq!(
            header("content-disposition"),
            format!("attachment; filename=\"{name}\"")
        );
        let body = reply.bytes().await.expect("a body");
        assert!(body.starts_with(start.as_bytes()), "{path}");
    }
    let wrong = owner.get("/sections/1/raked.pdf?pitch=steep").await;
    assert_eq!(wrong.status, 400, "{}", wrong.body);
}
