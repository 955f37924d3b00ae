//! Each store function of openings and surveys, with a NULL where there can
//! be one.

use headwright::db::StoreError;
use headwright::measure::Length;
use headwright::openings::{
    self, High, Lean, Measured, NewSurvey, OpeningFacts, OpeningId, Pass, ready_to_order,
};

use crate::support::records::{
    a_client, a_job, a_survey, an_opening, len, made, measured, opening_facts, tx,
};
use crate::support::{TestApp, a_firm};

async fn a_window(firm: &TestApp) -> OpeningId {
    let client = a_client(firm, "Wren").await;
    let job = a_job(firm, client, "SM", Some(firm.person("foreman").await)).await;
    an_opening(firm, job, "W1").await
}

#[tokio::test]
async fn an_opening_with_nothing_measured_reads_back_with_nothing_not_zero() {
    let firm = a_firm().await;
    let id = a_window(&firm).await;
    let kept = openings::opening(firm.app.db().read(), id)
        .await
        .expect("there");
    assert_eq!(kept.facts, opening_facts("W1"));
    let none = openings::opening(firm.app.db().read(), OpeningId::new(99)).await;
    assert!(matches!(none, Err(StoreError::Missing(_))));
}

#[tokio::test]
async fn an_opening_is_changed_at_its_version_only_and_archived() {
    let firm = a_firm().await;
    let id = a_window(&firm).await;
    let facts = OpeningFacts {
        sill_height: Some(len("31 1/64")),
        siding_depth: Some(Length::ZERO),
        clear_above: Some(Length::from_nanometres(444_500_001)),
        wall: "frame".into(),
        ..opening_facts("W2")
    };
    let mut work = tx(&firm).await;
    openings::change_opening(&mut work, id, 1, &facts)
        .await
        .expect("changed");
    let stale = openings::change_opening(&mut work, id, 1, &facts).await;
    assert!(matches!(stale, Err(StoreError::Stale("opening"))));
    openings::archive_opening(&mut work, made(&firm).await, id, 2, true)
        .await
        .expect("archived");
    work.commit().await.expect("kept");
    let kept = openings::opening(firm.app.db().read(), id)
        .await
        .expect("there");
    assert_eq!((&kept.facts, kept.version), (&facts, 3));
    let pool = firm.app.db().read();
    assert!(
        openings::openings_of(pool, kept.job, false)
            .await
            .expect("read")
            .is_empty()
    );
    assert_eq!(
        openings::openings_of(pool, kept.job, true)
            .await
            .expect("read")
            .len(),
        1
    );
}

#[tokio::test]
async fn a_mark_is_one_openings_alone_in_its_job_and_free_in_another() {
    let firm = a_firm().await;
    let client = a_client(&firm, "Wren").await;
    let one = a_job(&firm, client, "AA", None).await;
    let two = a_job(&firm, client, "BB", None).await;
    an_opening(&firm, one, "W1").await;
    let other = an_opening(&firm, one, "W2").await;
    an_opening(&firm, two, "W1").await;
    let made = made(&firm).await;
    let mut work = tx(&firm).await;
    let again = openings::add_opening(&mut work, made, one, &opening_facts("w1")).await;
    assert!(matches!(again, Err(StoreError::Taken("mark"))));
    let changed = openings::change_opening(&mut work, other, 1, &opening_facts("W1")).await;
    assert!(matches!(changed, Err(StoreError::Taken("mark"))));
}

#[tokio::test]
async fn openings_come_in_the_order_of_their_marks() {
    let firm = a_firm().await;
    let client = a_client(&firm, "Wren").await;
    let job = a_job(&firm, client, "AA", None).await;
    for mark in ["W10", "W9", "D1"] {
        an_opening(&firm, job, mark).await;
    }
    let all = openings::openings_of(firm.app.db().read(), job, false)
        .await
        .expect("read");
    let marks: Vec<_> = all.iter().map(|o| o.facts.mark.to_string()).collect();
    assert_eq!(marks, ["D1", "W9", "W10"]);
}

#[tokio::test]
async fn a_measure_reads_back_number_by_number_and_what_was_not_reached_stays_nothing() {
    let firm = a_firm().await;
    let id = a_window(&firm).await;
    let numbers = Measured {
        widths: [Some(len("36 1/64")), None, Some(len("36 3/64"))],
        heights: [Some(len("48 1/16")), Some(len("48 1/8")), None],
        diagonals: [None, Some(len("60 1/32"))],
        plumb: Some(len("1/4")),
        lean: Some(Lean::In),
        level: None,
        high: Some(High::Left),
    };
    let new = NewSurvey {
        pass: Pass::Second,
        measured: numbers,
        by: firm.person("foreman2").await,
        on: "2026-08-13".parse().expect("a day"),
        note: "Rain".into(),
    };
    let mut work = tx(&firm).await;
    openings::add_survey(&mut work, made(&firm).await, id, &new)
        .await
        .expect("added");
    work.commit().await.expect("kept");
    let kept = openings::surveys_of(firm.app.db().read(), id)
        .await
        .expect("read");
    assert_eq!(kept.len(), 1);
    assert_eq!(
        (kept[0].measured, kept[0].pass, kept[0].on),
        (numbers, Pass::Second, new.on)
    );
    assert_eq!(
        (kept[0].by.as_str(), kept[0].note.as_str()),
        ("Florian Hazelby", "Rain")
    );
}

#[tokio::test]
async fn a_measure_is_never_changed_and_the_last_of_each_pass_counts() {
    let firm = a_firm().await;
    let id = a_window(&firm).await;
    a_survey(&firm, id, Pass::First, "37").await;
    a_survey(&firm, id, Pass::Second, "36").await;
    a_survey(&firm, id, Pass::First, "36 1/16").await;
    let all = openings::surveys_of(firm.app.db().read(), id)
        .await
        .expect("read");
    assert_eq!(all.len(), 3, "nothing is overwritten");
    let (opening, seen) = openings::surveyed(&firm.app, id).await.expect("read");
    assert_eq!(seen.first, Some(measured("36 1/16")));
    assert_eq!(seen.second, Some(measured("36")));
    assert!(ready_to_order(&seen));
    let last = openings::last_surveys(firm.app.db().read(), opening.job)
        .await
        .expect("read");
    assert_eq!(last.len(), 2);
    for sql in ["UPDATE survey SET rising_nm = 1", "DELETE FROM survey"] {
        let mut work = tx(&firm).await;
        let refused = sqlx::query(sqlx::AssertSqlSafe(sql))
            .execute(&mut *work)
            .await;
        assert!(refused.is_err(), "{sql}");
    }
}
