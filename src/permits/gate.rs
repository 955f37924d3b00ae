//! The gate: no step that asks for permits, and no order of lumber, before
//! what the job needs is in hand.

use super::store;
use crate::access::BoxFuture;
use crate::db::StoreError;
use crate::heads::{self, Gate, GateKind, HeadId, Step};
use crate::jobs::JobId;
use crate::web::AppState;

/// Asks that every permit of the head's job is in hand.
#[derive(Debug, Clone, Copy)]
pub struct PermitGate;

impl Gate for PermitGate {
    fn kind(&self) -> GateKind {
        GateKind::Permit
    }

    fn closed(
        &self,
        app: AppState,
        head: HeadId,
        _: Step,
    ) -> BoxFuture<Result<Vec<String>, StoreError>> {
        Box::pin(async move {
            let place = heads::head(app.db().read(), head).await?.card.place;
            lacking(&app, JobId::new(place.job)).await
        })
    }
}

/// What keeps this job's lumber from being ordered.
pub fn before_order(app: AppState, job: JobId) -> BoxFuture<Result<Vec<String>, StoreError>> {
    Box::pin(async move { lacking(&app, job).await })
}

async fn lacking(app: &AppState, job: JobId) -> Result<Vec<String>, StoreError> {
    let today = app.now().date(app.firm().zone);
    let permits = store::of_job(app.db().read(), job, false).await?;
    let words = permits.iter().filter_map(|permit| {
        let why = permit.facts.lacks(today)?;
        Some(format!(
            "Job {}: {} is {why}. See to it under Permits of the job.",
            permit.job_code,
            permit.facts.name()
        ))
    });
    Ok(words.collect())
}
