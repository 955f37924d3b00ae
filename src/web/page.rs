//! The sheet a page is drawn on: title, navigation, title block.

use std::sync::Arc;

use askama::Template;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

use super::WebError;

/// One word of the navigation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NavItem {
    /// Where it leads.
    pub href: &'static str,
    /// The word.
    pub word: &'static str,
    /// The page shown lies under it.
    pub here: bool,
}

/// What of a page depends on the person: made once a request.
#[derive(Debug, Clone, Default)]
pub struct Chrome {
    /// The firm's name.
    pub firm: String,
    /// The person's name; nobody before sign-in.
    pub who: Option<String>,
    /// The person's role in one word.
    pub role: &'static str,
    /// The words of the navigation this person may use.
    pub nav: Vec<NavItem>,
    /// The session's token, for the sign-out button.
    pub csrf: String,
    /// Say "Saved." at the top: the address ends in `saved`.
    pub saved: bool,
}

/// One page's frame; every page struct holds one as `page`.
#[derive(Debug, Clone, Default)]
pub struct Page {
    /// Heading and window title.
    pub title: String,
    /// What depends on the person.
    pub chrome: Arc<Chrome>,
    /// The way back, outermost first: address and words.
    pub trail: Vec<(String, String)>,
    /// The title block at the foot: what and value.
    pub block: Vec<(&'static str, String)>,
}

impl Page {
    /// A page with this heading.
    pub fn new(title: impl Into<String>, chrome: Arc<Chrome>) -> Self {
        Self {
            title: title.into(),
            chrome,
            ..Self::default()
        }
    }

    /// Adds a step of the way back.
    #[must_use]
    pub fn under(mut self, href: impl Into<String>, words: impl Into<String>) -> Self {
        self.trail.push((href.into(), words.into()));
        self
    }

    /// Adds a cell to the title block.
    #[must_use]
    pub fn titled(mut self, what: &'static str, value: impl ToString) -> Self {
        self.block.push((what, value.to_string()));
        self
    }
}

/// A drawn page with a status.
///
/// # Errors
/// The template's.
pub fn html(status: StatusCode, template: &impl Template) -> Result<Response, WebError> {
    let body = template.render()?;
    Ok((
        status,
        [(header::CONTENT_TYPE, "text/html; charset=utf-8")],
        body,
    )
        .into_response())
}

/// A drawn page.
///
/// # Errors
/// The template's.
pub fn ok(template: &impl Template) -> Result<Response, WebError> {
    html(StatusCode::OK, template)
}

/// After a post: look at this page.
#[must_use]
pub fn see_other(to: &str) -> Response {
    let place = HeaderValue::from_str(to).unwrap_or(HeaderValue::from_static("/"));
    (StatusCode::SEE_OTHER, [(header::LOCATION, place)]).into_response()
}
