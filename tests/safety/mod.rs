//! Safety: the rule that picks, what is signed, who may see it.

mod figures;
mod pages;
mod rule;

use headwright::access::Made;
use headwright::jobs::JobId;
use headwright::safety::{self, Answer, Answered, ChecklistId, Heads, NewChecklist, Wanted};

use crate::support::TestApp;

/// A checklist with this answer to everything.
pub fn answered(firm: &TestApp, job: JobId, wanted: &Wanted, answer: Answer) -> NewChecklist {
    let asks = wanted.template.asks.iter();
    NewChecklist {
        template: wanted.template.id,
        edition: wanted.template.edition,
        job,
        head: wanted.head.as_ref().map(|(id, _)| *id),
        day: firm.app.now().date(firm.app.firm().zone),
        answers: asks
            .map(|ask| Answered {
                ask: ask.clone(),
                answer: answer.code().to_owned(),
                note: "x".into(),
            })
            .collect(),
        note: String::new(),
    }
}

/// Signs all that a job asks for today; gives the last signed one.
pub async fn sign_all(firm: &TestApp, job: i64) -> ChecklistId {
    let job = JobId::new(job);
    let made = Made {
        at: firm.app.now(),
        by: Some(firm.person("foreman").await),
    };
    let safety = safety::of_job(&firm.app, job, Heads::All)
        .await
        .expect("the job");
    let mut tx = firm.app.db().write().await.expect("the writer");
    let mut last = None;
    for wanted in &safety.wanted {
        let new = answered(firm, job, wanted, Answer::Yes);
        last = Some(safety::sign(&mut tx, made, &new).await.expect("signed"));
    }
    tx.commit().await.expect("kept");
    last.expect("something is asked")
}
