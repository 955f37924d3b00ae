//! Permits: what is in hand on a day, what waits for it, who is told.

mod pages;

use chrono::NaiveDate;
use headwright::access::Made;
use headwright::jobs::JobId;
use headwright::permits::{self, PermitFacts, PermitId, PermitKind, PermitState};

use crate::support::TestApp;

pub fn day(text: &str) -> NaiveDate {
    text.parse().expect("a day")
}

/// A building permit in this state.
pub fn facts(state: PermitState) -> PermitFacts {
    PermitFacts {
        kind: PermitKind::Building,
        authority: "Town office".into(),
        number: "B-7".into(),
        state,
        conditions: "Street side as drawn.".into(),
        granted_on: Some(day("2026-06-01")),
        expires_on: None,
        note: "Ring Osbert first".into(),
    }
}

/// The permit on a job.
pub async fn a_permit(firm: &TestApp, job: i64, facts: &PermitFacts) -> PermitId {
    let made = Made {
        at: firm.app.now(),
        by: Some(firm.person("office").await),
    };
    let mut tx = firm.app.db().write().await.expect("the writer");
    let id = permits::add_permit(&mut tx, made, JobId::new(job), facts)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
    id
}

#[test]
fn a_permit_is_in_hand_when_granted_and_not_past_its_last_day() {
    let today = day("2026-08-14");
    let lacks = |state, expires: Option<&str>| {
        let facts = PermitFacts {
            expires_on: expires.map(day),
            ..facts(state)
        };
        facts.lacks(today).is_some()
    };
    use PermitState::{Applied, Closed, Granted, Needed, Refused};
    assert!(lacks(Needed, None) && lacks(Applied, None) && lacks(Refused, None));
    assert!(!lacks(Granted, None) && !lacks(Closed, None));
    assert!(
        !lacks(Granted, Some("2026-08-14")),
        "its last day still counts"
    );
    assert!(lacks(Granted, Some("2026-08-13")));
    assert!(
        !lacks(Closed, Some("2026-08-13")),
        "signed off, nothing waits"
    );
}

#[test]
fn the_end_is_spoken_of_fourteen_days_ahead() {
    let today = day("2026-08-14");
    let soon = |state, last: &str| {
        let facts = PermitFacts {
            expires_on: Some(day(last)),
            ..facts(state)
        };
        facts.ends_soon(today).is_some()
    };
    assert!(soon(PermitState::Granted, "2026-08-14"));
    assert!(soon(PermitState::Granted, "2026-08-28"));
    assert!(!soon(PermitState::Granted, "2026-08-29"));
    assert!(!soon(PermitState::Granted, "2026-08-13"));
    assert!(!soon(PermitState::Closed, "2026-08-20"));
}
