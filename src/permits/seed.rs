//! The demo's permits: a certificate that ends soon, a permit in
//! hand; the third job is historic and has none written down.

use super::model::{PermitFacts, PermitKind, PermitState};
use super::store;
use crate::access::{self, Made};
use crate::clients::{seed_day, seed_user};
use crate::jobs::{seed_jobs, seeded_jobs};
use crate::web::{AppState, WebError};

pub(super) async fn seed(app: AppState) -> Result<(), WebError> {
    let by = seed_user(&access::people(app.db().read()).await?, "office-1");
    let made = Made { at: app.now(), by };
    let today = app.now().date(app.firm().zone);
    let jobs = seeded_jobs(&app).await?;
    let keys: Vec<String> = seed_jobs()?.into_iter().map(|job| job.key).collect();
    let mut rows = keys.iter().filter_map(|key| jobs.get(key).copied());
    let mut tx = app.db().write().await?;
    if let Some(first) = rows.next() {
        let facts = PermitFacts {
            kind: PermitKind::Certificate,
            authority: "Marram Bay harbour district board".into(),
            number: "HD-212".into(),
            state: PermitState::Granted,
            conditions: "Street side: profiles as drawn, painted wood only.\n\
                         No change to the openings themselves."
                .into(),
            granted_on: Some(seed_day(today, -60)),
            expires_on: Some(seed_day(today, 9)),
            note: "Ask for three more months before it ends.".into(),
        };
        store::add_permit(&mut tx, made, first, &facts).await?;
    }
    if let Some(second) = rows.next() {
        let facts = PermitFacts {
            kind: PermitKind::Street,
            authority: "Marram Bay town office".into(),
            number: "ST-48".into(),
            state: PermitState::Granted,
            conditions: "Keep four feet of the footway clear. Lamp at night.".into(),
            granted_on: Some(seed_day(today, -12)),
            expires_on: Some(seed_day(today, 40)),
            note: "For the scaffold.".into(),
        };
        store::add_permit(&mut tx, made, second, &facts).await?;
    }
    Ok(tx.commit().await?)
}
