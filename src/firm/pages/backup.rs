//! What is known of the firm's backups.

use std::time::Duration;

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use crate::access::Me;
use crate::db::{self, Stamp};
use crate::web::{AppState, Page, WebError, ok};

/// Older than this, a backup is called late: it is made every hour.
const LATE: Duration = Duration::from_secs(25 * 60 * 60);

#[derive(Template)]
#[template(path = "firm/backup.html")]
struct Backup {
    page: Page,
    made: Option<String>,
    failed: Option<String>,
    late: bool,
}

/// When the last one was made, and how to make and restore one.
pub async fn page(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let pool = app.db().read();
    let made = db::last_of(pool, "backup.made").await?;
    let failed = db::last_of(pool, "backup.failed").await?;
    let zone = app.firm().zone;
    let words = |at: Stamp| at.local(zone);
    ok(&Backup {
        page: me.page("Backup").under("/firm", "Firm"),
        late: made.is_none_or(|at| app.now().since(at) > LATE),
        // A failure that a later backup made good is of no more use.
        failed: failed.filter(|at| Some(*at) > made).map(words),
        made: made.map(words),
    })
}
