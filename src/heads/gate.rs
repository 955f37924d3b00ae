//! Gates: what other areas ask for before a head may reach a step.
//!
//! Safety, approvals, receiving and permits come after heads in the order of
//! areas, so heads only declares what a gate is; `app` keeps them among its
//! hooks. Without that hook no head moves on.

use std::sync::Arc;

use super::model::HeadId;
use super::steps::Step;
use crate::access::BoxFuture;
use crate::db::StoreError;
use crate::web::AppState;

/// One condition on the way, such as *drawing approved* or *material here*.
pub trait Gate: Send + Sync {
    /// Why the head may not reach this step now; nothing if it may. Each is a
    /// sentence that says what to do about it.
    ///
    /// # Errors
    /// The database's: then the step is not made.
    fn closed(
        &self,
        app: AppState,
        head: HeadId,
        to: Step,
    ) -> BoxFuture<Result<Vec<String>, StoreError>>;
}

/// Every gate of the program: a hook.
#[derive(Clone, Default)]
pub struct Gates(Arc<[Arc<dyn Gate>]>);

impl Gates {
    /// These gates.
    #[must_use]
    pub fn new(gates: Vec<Arc<dyn Gate>>) -> Self {
        Self(gates.into())
    }

    /// What keeps a head from this step, from every gate.
    ///
    /// # Errors
    /// The first gate's that cannot tell.
    pub async fn closed(
        &self,
        app: &AppState,
        head: HeadId,
        to: &Step,
    ) -> Result<Vec<String>, StoreError> {
        let mut all = Vec::new();
        for gate in self.0.iter() {
            all.extend(gate.closed(app.clone(), head, to.clone()).await?);
        }
        Ok(all)
    }
}
