//! The room on a head's page for later areas.

use super::model::HeadId;
use crate::access::{BoxFuture, Me};
use crate::web::{AppState, Fragment, WebError};

/// Draws one later area's part of a head's page, for the person who looks.
pub type HeadPartFn = fn(AppState, Me, HeadId) -> BoxFuture<Result<Fragment, WebError>>;

/// The parts of a head's page that later areas draw above its record: a hook.
#[derive(Debug, Clone, Default)]
pub struct HeadParts(pub Vec<HeadPartFn>);

/// Draws them all.
///
/// # Errors
/// The first part's that cannot be drawn.
pub(super) async fn parts(app: &AppState, me: &Me, id: HeadId) -> Result<Vec<Fragment>, WebError> {
    let mut drawn = Vec::new();
    if let Some(all) = app.hook::<HeadParts>() {
        for part in &all.0 {
            drawn.push(part(app.clone(), me.clone(), id).await?);
        }
    }
    Ok(drawn)
}
