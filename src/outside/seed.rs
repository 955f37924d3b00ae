//! The demo's outside firms: one insured, one whose paper ends too soon.

use super::model::{OutsideFacts, Trade, WorkFacts};
use super::store;
use crate::access::{self, Made};
use crate::clients::{seed_day, seed_user};
use crate::jobs::seeded_jobs;
use crate::web::{AppState, WebError};

pub(super) async fn seed(app: AppState) -> Result<(), WebError> {
    let by = seed_user(&access::people(app.db().read()).await?, "office-1");
    let made = Made { at: app.now(), by };
    let today = app.now().date(app.firm().zone);
    let Some(job) = seeded_jobs(&app).await?.get("saltmarsh").copied() else {
        return Ok(());
    };
    let firms = [
        (
            ("Gannet Scaffolds", Trade::Scaffolder, "Perrin Vole"),
            (200, -20, 10),
            "Scaffold on the street side, two lifts, sheeted at the porch.",
        ),
        (
            ("Larkspur Painting", Trade::Painter, "Dunstan Weir"),
            (6, 4, 9),
            "Prime cut ends as they are hung; two coats on heads D1, W1 and W2.",
        ),
    ];
    let mut tx = app.db().write().await?;
    for ((name, trade, contact), (insured, first, last), does) in firms {
        let facts = OutsideFacts {
            name: name.into(),
            trade,
            contact: contact.into(),
            phone: "555-0187".into(),
            email: String::new(),
            insured_until: Some(seed_day(today, insured)),
            note: String::new(),
        };
        let firm = store::add_firm(&mut tx, made, &facts).await?;
        let work = WorkFacts {
            firm,
            first_day: Some(seed_day(today, first)),
            last_day: Some(seed_day(today, last)),
            does: does.into(),
            note: String::new(),
        };
        store::add_work(&mut tx, made, job, &work).await?;
    }
    Ok(tx.commit().await?)
}
