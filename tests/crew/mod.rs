//! The crew: the plan, hours and notes.

mod estimate;
mod hours;
mod notes;
mod plan;

use headwright::access::UserId;
use headwright::crew::{self, SlotId};
use headwright::db::Tx;

use crate::heads::{Site, made};

/// A write transaction.
pub async fn tx(site: &Site) -> Tx {
    site.firm.app.db().write().await.expect("the writer")
}

/// Plans a step of the site's head.
pub async fn planned(site: &Site, step: &str, user: UserId, day: &str) -> SlotId {
    let step = site.step(step).await;
    let mut tx = tx(site).await;
    let place = (user, day.parse().expect("a day"));
    let slot = crew::add_slot(&mut tx, made(user), (site.head, step), place)
        .await
        .expect("planned");
    tx.commit().await.expect("kept");
    slot
}
