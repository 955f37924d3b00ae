//! Each store function of jobs, with a NULL where there can be one.

use headwright::db::StoreError;
use headwright::jobs::{self, JobFacts, JobId, Shown};
use headwright::web::ListQuery;

use crate::support::a_firm;
use crate::support::records::{a_client, a_job, job_facts, made, tx};

#[tokio::test]
async fn a_job_without_foreman_days_or_year_reads_back_as_it_was() {
    let firm = a_firm().await;
    let client = a_client(&firm, "Wren").await;
    let id = a_job(&firm, client, "SM", None).await;
    let kept = jobs::job(firm.app.db().read(), id).await.expect("there");
    assert_eq!(kept.facts, job_facts(client, "SM", None));
    assert_eq!(kept.foreman_name, None, "no empty name for nobody");
    assert_eq!((kept.client_name.as_str(), kept.version), ("Wren", 1));
    let none = jobs::job(firm.app.db().read(), JobId::new(99)).await;
    assert!(matches!(none, Err(StoreError::Missing(_))));
}

#[tokio::test]
async fn a_job_is_changed_at_its_version_only_and_archived() {
    let firm = a_firm().await;
    let client = a_client(&firm, "Wren").await;
    let id = a_job(&firm, client, "SM", None).await;
    let facts = JobFacts {
        foreman: Some(firm.person("foreman").await),
        first_day: "2026-08-14".parse().ok(),
        last_day: "2026-09-14".parse().ok(),
        year_built: Some(1894),
        historic: true,
        ..job_facts(client, "SM-2", None)
    };
    let mut work = tx(&firm).await;
    jobs::change_job(&mut work, id, 1, &facts)
        .await
        .expect("changed");
    let stale = jobs::change_job(&mut work, id, 1, &facts).await;
    assert!(matches!(stale, Err(StoreError::Stale("job"))));
    jobs::archive_job(&mut work, made(&firm).await, id, 2, true)
        .await
        .expect("archived");
    jobs::archive_job(&mut work, made(&firm).await, id, 3, false)
        .await
        .expect("back");
    work.commit().await.expect("kept");
    let kept = jobs::job(firm.app.db().read(), id).await.expect("there");
    assert_eq!(
        (kept.facts, kept.version, kept.archived_at),
        (facts, 4, None)
    );
}

#[tokio::test]
async fn two_jobs_never_share_a_code_whatever_its_case() {
    let firm = a_firm().await;
    let client = a_client(&firm, "Wren").await;
    a_job(&firm, client, "SM", None).await;
    let other = a_job(&firm, client, "CR", None).await;
    let made = made(&firm).await;
    let mut work = tx(&firm).await;
    let again = jobs::add_job(&mut work, made, &job_facts(client, "sm", None)).await;
    assert!(matches!(again, Err(StoreError::Taken("code"))));
    let changed = jobs::change_job(&mut work, other, 1, &job_facts(client, "SM", None)).await;
    assert!(matches!(changed, Err(StoreError::Taken("code"))));
}

#[tokio::test]
async fn a_list_shows_what_is_asked_for_and_no_more() {
    let firm = a_firm().await;
    let client = a_client(&firm, "Wren Abelard").await;
    let foreman = firm.person("foreman").await;
    let one = a_job(&firm, client, "AA", Some(foreman)).await;
    a_job(&firm, client, "BB", None).await;
    let pool = firm.app.db().read();
    let codes = |query: ListQuery, shown: Shown| async move {
        let found = jobs::jobs(pool, &query, &shown).await.expect("read");
        found
            .into_iter()
            .map(|job| job.facts.code.to_string())
            .collect::<Vec<_>>()
    };
    let word = |q: &str| ListQuery {
        q: q.into(),
        ..ListQuery::default()
    };
    let sorted = ListQuery {
        sort: "code".into(),
        ..ListQuery::default()
    };
    assert_eq!(codes(sorted, Shown::default()).await, ["AA", "BB"]);
    let only = Shown {
        only: Some(vec![one]),
        ..Shown::default()
    };
    assert_eq!(codes(word(""), only).await, ["AA"]);
    let nothing = Shown {
        only: Some(Vec::new()),
        ..Shown::default()
    };
    assert!(codes(word(""), nothing).await.is_empty());
    let mine = Shown {
        led_by: Some(foreman),
        ..Shown::default()
    };
    assert_eq!(codes(word(""), mine).await, ["AA"]);
    assert!(
        codes(word("Abelard"), Shown::default()).await.is_empty(),
        "a client's name is not searched for everyone"
    );
    let office = Shown {
        by_client: true,
        ..Shown::default()
    };
    assert_eq!(codes(word("abelard"), office).await.len(), 2);
    assert_eq!(jobs::jobs_of(pool, client).await.expect("read").len(), 2);
}

#[tokio::test]
async fn a_foreman_leads_own_jobs_only() {
    let firm = a_firm().await;
    let client = a_client(&firm, "Wren").await;
    let (one, two) = (firm.person("foreman").await, firm.person("foreman2").await);
    let led = a_job(&firm, client, "AA", Some(one)).await;
    let nobodys = a_job(&firm, client, "BB", None).await;
    let pool = firm.app.db().read();
    for (user, job, expected) in [
        (one, led.get(), Some(true)),
        (two, led.get(), Some(false)),
        (one, nobodys.get(), Some(false)),
        (one, 99, None),
    ] {
        assert_eq!(
            jobs::leads_job(pool, user, job).await.expect("read"),
            expected
        );
    }
}
