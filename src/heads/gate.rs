//! Gates: what other areas ask for before a head may reach a step.
//!
//! Safety, approvals, receiving and permits come after heads in the order of
//! areas, so heads only declares what a gate is; `app` keeps them among its
//! hooks. Without that hook no head moves on. Which step asks for which gate
//! is the firm's to say; a kind that no area answers keeps no head back.

use std::sync::Arc;

use super::model::HeadId;
use super::steps::Step;
use crate::access::BoxFuture;
use crate::choices;
use crate::db::StoreError;
use crate::web::AppState;

choices! {
    /// What a step may ask for.
    pub GateKind {
        /// The client has said yes to the drawing.
        Approval = "approval", "the client’s yes to the drawing";
        /// What is to be cut lies here.
        Material = "material", "the material is here";
        /// Permits and certificates are in hand.
        Permit = "permit", "permits and certificates in hand";
        /// The checklists that this work asks for are signed.
        Safety = "safety", "safety checklists signed";
        /// What the head will cover has been photographed.
        Photo = "photo", "a photo before the wall is closed";
        /// The head that its twins are copied from has been fitted.
        Pattern = "pattern", "the pattern head is fitted";
    }
}

/// One condition on the way, such as *drawing approved* or *material here*.
pub trait Gate: Send + Sync {
    /// Which of the firm's conditions this answers.
    fn kind(&self) -> GateKind;

    /// Why the head may not reach this step now; nothing if it may. Each is a
    /// sentence that says what to do about it. Asked only for steps that ask
    /// for this kind.
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

    /// Whether some area answers this kind.
    #[must_use]
    pub fn answers(&self, kind: GateKind) -> bool {
        self.0.iter().any(|gate| gate.kind() == kind)
    }

    /// What keeps a head from this step, from every gate the step asks for.
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
        for gate in self.0.iter().filter(|gate| to.gates.contains(&gate.kind())) {
            all.extend(gate.closed(app.clone(), head, to.clone()).await?);
        }
        Ok(all)
    }
}
