//! The gate: no cutting before today's saw check, no hanging before the
//! ladders were looked over.

use super::model::Scope;
use super::site::{self, Heads};
use crate::access::BoxFuture;
use crate::db::StoreError;
use crate::heads::{self, Gate, GateKind, HeadId, Step};
use crate::jobs::JobId;
use crate::web::AppState;

/// Asks that the checklists tied to a step are signed.
#[derive(Debug, Clone, Copy)]
pub struct SafetyGate;

impl Gate for SafetyGate {
    fn kind(&self) -> GateKind {
        GateKind::Safety
    }

    fn closed(
        &self,
        app: AppState,
        head: HeadId,
        to: Step,
    ) -> BoxFuture<Result<Vec<String>, StoreError>> {
        Box::pin(async move {
            let place = heads::head(app.db().read(), head).await?.card.place;
            let safety = site::of_job(&app, JobId::new(place.job), Heads::One(head)).await?;
            let about = |w: &&site::Wanted| w.template.before.contains(&to.id) && !w.is_met();
            Ok(safety
                .wanted
                .iter()
                .filter(about)
                .map(|w| words(w, &place.job_code))
                .collect())
        })
    }
}

fn words(wanted: &site::Wanted, code: &str) -> String {
    let title = &wanted.template.title;
    let when = match wanted.template.scope {
        Scope::Day => format!("for job {code} today"),
        Scope::Job => format!("for job {code}"),
        Scope::Head => "for this head".to_owned(),
    };
    if wanted.signed.is_some() {
        format!(
            "“{title}” was signed {when} with something answered no. Put it right and sign it anew, \
             under Safety."
        )
    } else {
        format!("“{title}” is not signed {when}. Sign it under Safety.")
    }
}
