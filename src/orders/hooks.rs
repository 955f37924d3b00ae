//! What later areas ask for before lumber is ordered.

use std::collections::BTreeSet;

use super::model::LumberOrder;
use crate::access::BoxFuture;
use crate::db::StoreError;
use crate::heads::{self, HeadId};
use crate::jobs::JobId;
use crate::web::AppState;

/// Why lumber for a job may not be ordered now; nothing if it may. Each is a
/// sentence that says what to do about it.
pub type BeforeOrderFn = fn(AppState, JobId) -> BoxFuture<Result<Vec<String>, StoreError>>;

/// Everything that is asked for before an order is placed: a hook.
#[derive(Debug, Clone, Default)]
pub struct BeforeOrder(pub Vec<BeforeOrderFn>);

/// What keeps an order from being placed, job by job.
pub(super) async fn held(app: &AppState, order: &LumberOrder) -> Result<Vec<String>, StoreError> {
    let Some(all) = app.hook::<BeforeOrder>() else {
        return Ok(Vec::new());
    };
    let mut jobs = BTreeSet::new();
    for id in &order.facts.heads {
        let head = heads::head(app.db().read(), HeadId::new(*id)).await?;
        jobs.insert(JobId::new(head.card.place.job));
    }
    let mut words = Vec::new();
    for job in jobs {
        for ask in &all.0 {
            words.extend(ask(app.clone(), job).await?);
        }
    }
    Ok(words)
}
