//! Heads: steps, forms, designs, sheets and pages.

mod changes;
mod forms;
mod from_site;
mod gang;
mod labels;
mod pages;
mod records;
mod sheets;
mod shelf;
mod step_list;
mod steps;
mod undo;

use headwright::access::{Made, UserId};
use headwright::heads::{self, HeadId, HeadName, NewHead, StepId};
use headwright::web::AppState;
use serde_json::{Value, json};

use crate::support::{START, TestApp};

/// A gable with drops that can be made.
pub fn a_gable() -> Value {
    json!({
        "unit": "in", "kind": "gable", "name": "Porch", "span": "41 1/2", "wing": "7 1/4",
        "pitch": {"rise": 7.0, "run": 12},
        "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 3/4", "overhang": "2"},
        "crown": {"projection": "1 1/2", "height": "2", "back": "solid"},
        "drops": {"width": "3 1/2", "thickness": "3/4", "inset": "3/4", "length": "7", "point_degrees": 45.0}
    })
}

/// A firm with one job of the first foreman, one opening and one head on it.
pub struct Site {
    pub firm: TestApp,
    pub job: i64,
    pub opening: i64,
    pub head: HeadId,
}

/// Rows of a client, a job led by the person and an opening, put in as they
/// stand in the tables.
pub async fn an_opening(app: &AppState, foreman: UserId, code: &str) -> (i64, i64) {
    let mut tx = app.db().write().await.expect("the writer");
    let by = foreman.get();
    let client: i64 = sqlx::query_scalar(
        "INSERT INTO client (name, phone, created_at, created_by)
         VALUES ('Canary Clientsdottir', '555-7788', 0, ?) RETURNING id",
    )
    .bind(by)
    .fetch_one(&mut *tx)
    .await
    .expect("a client");
    let job: i64 = sqlx::query_scalar(
        "INSERT INTO job (client_id, code, title, site_address, foreman_id, created_at, created_by)
         VALUES (?, ?, 'Trial job', '1 Trial Lane', ?, 0, ?) RETURNING id",
    )
    .bind(client)
    .bind(code)
    .bind(by)
    .bind(by)
    .fetch_one(&mut *tx)
    .await
    .expect("a job");
    let opening: i64 = sqlx::query_scalar(
        "INSERT INTO opening (job_id, mark, kind, storey, created_at, created_by)
         VALUES (?, 'W1', 'window', 1, 0, ?) RETURNING id",
    )
    .bind(job)
    .bind(by)
    .fetch_one(&mut *tx)
    .await
    .expect("an opening");
    tx.commit().await.expect("kept");
    (job, opening)
}

/// When and by whom the tests write.
pub fn made(by: UserId) -> Made {
    Made {
        at: START,
        by: Some(by),
    }
}

/// A head over the opening.
pub async fn a_head(app: &AppState, by: UserId, opening: i64, design: Value) -> HeadId {
    let mut tx = app.db().write().await.expect("the writer");
    let new = NewHead {
        opening,
        name: HeadName::parse("Porch").expect("a name"),
        design,
    };
    let id = heads::create(&mut tx, made(by), &new)
        .await
        .expect("a head");
    tx.commit().await.expect("kept");
    id
}

/// A firm with a job, an opening and a gable.
pub async fn a_site() -> Site {
    let firm = crate::support::a_firm().await;
    let foreman = firm.person("foreman").await;
    let (job, opening) = an_opening(&firm.app, foreman, "TJ").await;
    let head = a_head(&firm.app, foreman, opening, a_gable()).await;
    Site {
        firm,
        job,
        opening,
        head,
    }
}

impl Site {
    /// The step with this name.
    pub async fn step(&self, name: &str) -> StepId {
        let steps = heads::steps(self.firm.app.db().read())
            .await
            .expect("steps");
        steps.named(name).expect("such a step").id
    }

    /// Gives every step of the hand to this person.
    pub async fn give_to(&self, sign_in: &str) {
        let pool = self.firm.app.db().read();
        let person = self.firm.person(sign_in).await;
        let steps = heads::steps(pool).await.expect("steps");
        let given: Vec<StepId> = steps.iter().filter(|s| s.by_hand).map(|s| s.id).collect();
        let version = self.version().await;
        let mut tx = self.firm.app.db().write().await.expect("the writer");
        heads::assign(
            &mut tx,
            made(person),
            (self.head, version),
            &given,
            Some(person.get()),
        )
        .await
        .expect("given");
        tx.commit().await.expect("kept");
    }

    /// The head's version now.
    pub async fn version(&self) -> i64 {
        heads::head(self.firm.app.db().read(), self.head)
            .await
            .expect("the head")
            .card
            .version
    }
}
