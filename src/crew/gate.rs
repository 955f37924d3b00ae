//! The gate of pattern heads: twins wait until the first one has been built
//! and fitted.

use super::store;
use crate::access::BoxFuture;
use crate::db::StoreError;
use crate::heads::{Gate, GateKind, HeadId, Step};
use crate::web::AppState;

/// Asks that the pattern head has come far enough.
#[derive(Debug, Clone, Copy)]
pub struct PatternGate;

impl Gate for PatternGate {
    fn kind(&self) -> GateKind {
        GateKind::Pattern
    }

    fn closed(
        &self,
        app: AppState,
        head: HeadId,
        _: Step,
    ) -> BoxFuture<Result<Vec<String>, StoreError>> {
        Box::pin(async move {
            Ok(match store::pattern_of(app.db().read(), head).await? {
                Some((_, name, step, false)) => vec![format!(
                    "Its pattern head, {name}, is not {step} yet. Fit that one first, or free this \
                     head on the plan."
                )],
                _ => Vec::new(),
            })
        })
    }
}
