//! The crew: the plan, hours and notes.

mod estimate;
mod hours;
mod load;
mod notes;
mod plan;
mod weather;
mod week;

use headwright::access::UserId;
use headwright::crew::{self, SlotId};
use headwright::db::Tx;

use crate::heads::{Site, made};
use crate::support::{START, TestApp};

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

/// A row of hours of the owner's on a job.
pub async fn an_hour(firm: &TestApp, job: headwright::jobs::JobId) -> i64 {
    let owner = firm.person("owner").await;
    let mut tx = firm.app.db().write().await.expect("the writer");
    let new = crew::NewHours {
        user: owner,
        job,
        head: None,
        step: None,
        day: START.date(firm.app.firm().zone),
        minutes: 60,
        timed: false,
        note: String::new(),
    };
    let id = crew::add_hours(&mut tx, made(owner), &new, None)
        .await
        .expect("hours");
    tx.commit().await.expect("kept");
    id.get()
}
