//! A browser without pictures: cookies, forms, no redirects followed.

use reqwest::redirect::Policy;

use super::html;

/// One browser.
#[derive(Clone)]
pub struct Client {
    /// The HTTP client beneath, for requests no browser would make.
    pub http: reqwest::Client,
    /// Where the program listens.
    pub url: String,
}

/// What came back.
#[derive(Debug, Clone)]
pub struct Reply {
    /// The status.
    pub status: u16,
    /// The headers.
    pub headers: reqwest::header::HeaderMap,
    /// The body.
    pub body: String,
}

impl Reply {
    async fn read(response: reqwest::Response) -> Self {
        let status = response.status().as_u16();
        let headers = response.headers().clone();
        let body = response.text().await.expect("a body of text");
        Self {
            status,
            headers,
            body,
        }
    }

    /// A header's text, empty if it is not there.
    pub fn header(&self, name: &str) -> &str {
        self.headers
            .get(name)
            .and_then(|v| v.to_str().ok())
            .unwrap_or("")
    }

    /// Where a redirect leads.
    pub fn location(&self) -> &str {
        self.header("location")
    }
}

impl Client {
    /// A new browser for a program that listens there.
    pub fn at(url: &str) -> Self {
        let http = reqwest::Client::builder()
            .cookie_store(true)
            .redirect(Policy::none())
            .no_proxy()
            .build()
            .expect("a client");
        Self {
            http,
            url: url.to_owned(),
        }
    }

    /// Opens a page.
    pub async fn get(&self, path: &str) -> Reply {
        let sent = self.http.get(format!("{}{path}", self.url)).send().await;
        Reply::read(sent.expect("a reply")).await
    }

    /// Sends fields just as they are, from our own origin.
    pub async fn post_raw(&self, path: &str, fields: &[(&str, &str)]) -> Reply {
        self.post_from(path, fields, &[("origin", &self.url)]).await
    }

    /// Sends fields with these headers only.
    pub async fn post_from(
        &self,
        path: &str,
        fields: &[(&str, &str)],
        headers: &[(&str, &str)],
    ) -> Reply {
        let mut request = self.http.post(format!("{}{path}", self.url)).form(fields);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        Reply::read(request.send().await.expect("a reply")).await
    }

    /// Opens `page`, fills the form that goes to `action` and sends it: the
    /// page's own values stay where `fields` does not name them.
    pub async fn send(&self, page: &str, action: &str, fields: &[(&str, &str)]) -> Reply {
        let shown = self.get(page).await;
        self.send_from(&shown, action, fields).await
    }

    /// The same from a page already open.
    pub async fn send_from(&self, page: &Reply, action: &str, fields: &[(&str, &str)]) -> Reply {
        let held = html::form(&page.body, action)
            .unwrap_or_else(|| panic!("no form to {action} in {}: {}", page.status, page.body));
        let mut all: Vec<(String, String)> = held
            .into_iter()
            .filter(|(name, _)| !fields.iter().any(|(n, _)| n == name))
            .collect();
        all.extend(
            fields
                .iter()
                .map(|(n, v)| ((*n).to_owned(), (*v).to_owned())),
        );
        let borrowed: Vec<(&str, &str)> =
            all.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
        self.post_raw(action, &borrowed).await
    }

    /// Opens `page` and sends its form to `action` with a file, as a browser
    /// sends a form with a file.
    pub async fn send_file(
        &self,
        page: &str,
        action: &str,
        fields: &[(&str, &str)],
        file: (&str, &str, &[u8]),
    ) -> Reply {
        let shown = self.get(page).await;
        self.send_file_from(&shown, action, fields, file).await
    }

    /// The same from a page already open.
    pub async fn send_file_from(
        &self,
        page: &Reply,
        action: &str,
        fields: &[(&str, &str)],
        (field, name, bytes): (&str, &str, &[u8]),
    ) -> Reply {
        let held = html::form(&page.body, action)
            .unwrap_or_else(|| panic!("no form to {action} in {}: {}", page.status, page.body));
        let mut body = Vec::new();
        let kept = held
            .iter()
            .filter(|(n, _)| n != field && !fields.iter().any(|(name, _)| name == n))
            .map(|(n, v)| (n.as_str(), v.as_str()));
        for (name, value) in kept.chain(fields.iter().copied()) {
            body.extend_from_slice(
                format!(
                    "--eDgE\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
                )
                .as_bytes(),
            );
        }
        body.extend_from_slice(
            format!(
                "--eDgE\r\nContent-Disposition: form-data; name=\"{field}\"; filename=\"{name}\"\r\n\
                 Content-Type: image/jpeg\r\n\r\n"
            )
            .as_bytes(),
        );
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n--eDgE--\r\n");
        let request = self
            .http
            .post(format!("{}{action}", self.url))
            .header("origin", &self.url)
            .header("content-type", "multipart/form-data; boundary=eDgE")
            .body(body);
        Reply::read(request.send().await.expect("a reply")).await
    }

    /// The bytes at an address, with status and headers.
    pub async fn bytes(&self, path: &str) -> (u16, reqwest::header::HeaderMap, Vec<u8>) {
        let sent = self.http.get(format!("{}{path}", self.url)).send().await;
        let reply = sent.expect("a reply");
        let (status, headers) = (reply.status().as_u16(), reply.headers().clone());
        let bytes = reply.bytes().await.expect("a body").to_vec();
        (status, headers, bytes)
    }

    /// Signs in through the page.
    pub async fn sign_in(&self, name: &str, password: &str) -> Reply {
        let fields = [("sign_in", name), ("password", password)];
        self.send("/sign-in", "/sign-in", &fields).await
    }
}
