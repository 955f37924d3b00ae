//! A backup every hour while the pages are served.

use std::path::PathBuf;
use std::time::Duration;

use serde_json::json;

use crate::db::audit;
use crate::web::AppState;

use super::{Key, keep, make};

const HOUR: Duration = Duration::from_secs(60 * 60);
/// How often it looks whether an hour has gone by: a machine that slept has
/// its backup soon after it wakes.
const LOOK: Duration = Duration::from_secs(60);
/// How long it waits after a backup that failed.
const AGAIN: Duration = Duration::from_secs(10 * 60);

/// Where backups go while serving, and to which key.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The data folder.
    pub data: PathBuf,
    /// The folder of the backups.
    pub to: PathBuf,
    /// Who can open them.
    pub key: Key,
}

/// Makes a backup whenever the newest is an hour old; never returns. What
/// became of it is in the firm's record.
pub async fn every_hour(app: AppState, plan: Plan) {
    loop {
        let due = keep::newest(&plan.to, app.now()).is_none_or(|last| app.now() >= last.plus(HOUR));
        let wait = if due && !once(&app, &plan).await {
            AGAIN
        } else {
            LOOK
        };
        tokio::time::sleep(wait).await;
    }
}

/// Makes one and records it; whether it was made.
async fn once(app: &AppState, plan: &Plan) -> bool {
    let made = make(&plan.data, &plan.to, &plan.key, app.now()).await;
    let (event, detail) = match &made {
        Ok(made) => (
            "backup.made",
            json!({ "bytes": made.bytes, "dropped": made.dropped }),
        ),
        Err(error) => {
            tracing::error!(%error, "backup failed");
            ("backup.failed", json!({}))
        }
    };
    let kept = async {
        let mut tx = app.db().write().await?;
        audit(&mut tx, app.now(), None, event, ("backup", None), &detail).await?;
        tx.commit().await
    };
    if let Err(error) = kept.await {
        tracing::error!(%error, "the backup's record was not kept");
    }
    made.is_ok()
}
