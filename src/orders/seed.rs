//! The demo's order: what is approved and waits for its wood.

use crate::access::{self, BoxFuture, Made};
use crate::clients::seed_user;
use crate::heads;
use crate::measure::Length;
use crate::web::{AppState, WebError};

use super::model::OrderFacts;
use super::pages::list::due;
use super::store;

/// 1/4 in.
const END_TRIM: Length = Length::from_nanometres(6_350_000);

/// Begins an order of every approved head of one job.
pub(super) fn seed(app: AppState) -> BoxFuture<Result<(), WebError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let by = seed_user(&access::people(pool).await?, "office-1");
        let made = Made { at: app.now(), by };
        let mut heads = store::choosable(pool, None).await?;
        let steps = heads::steps(pool).await?;
        heads.retain(|head| due(&steps, &head.step));
        let Some(job) = heads.first().map(|head| head.job) else {
            return Ok(());
        };
        heads.retain(|head| head.job == job);
        let facts = OrderFacts {
            name: "Approved heads, first lot".into(),
            spare: 5,
            end_trim: END_TRIM,
            seconds: 20,
            heads: heads.iter().map(|head| head.id).collect(),
        };
        let mut tx = app.db().write().await?;
        store::add_order(&mut tx, made, &facts).await?;
        Ok(tx.commit().await?)
    })
}
