//! The stores of heads: every change leaves its fact, and facts never change.

use headwright::db::StoreError;
use headwright::heads::{self, HeadName, Move, MoveError, Reason, What};
use serde_json::{Value, json};

use super::{a_gable, a_head, a_site, an_opening, made};

#[tokio::test]
async fn a_new_head_stands_at_the_first_step_and_says_who_drew_it() {
    let site = a_site().await;
    let pool = site.firm.app.db().read();
    let head = heads::head(pool, site.head).await.expect("the head");
    assert_eq!(
        (head.card.step_name.as_str(), head.card.version),
        ("measured", 1)
    );
    assert_eq!(head.card.place.mark, "W1");
    assert_eq!(head.design, a_gable());
    assert_eq!(head.drawn_by.as_deref(), Some("Fenella Garrick"));
    let events = heads::events(pool, site.head).await.expect("events");
    assert_eq!(
        events.iter().map(|e| e.what).collect::<Vec<_>>(),
        [What::Created]
    );
    assert_eq!(
        heads::of_opening(pool, site.opening)
            .await
            .expect("heads")
            .len(),
        1
    );
    assert_eq!(heads::of_job(pool, site.job).await.expect("heads").len(), 1);
}

#[tokio::test]
async fn a_changed_design_keeps_the_old_one_and_makes_a_new_sheet() {
    let site = a_site().await;
    let (app, foreman) = (&site.firm.app, site.firm.person("foreman").await);
    let mut new = a_gable();
    new["span"] = Value::from("42");
    let name = HeadName::parse("Porch").expect("a name");
    let mut tx = app.db().write().await.expect("the writer");
    let at = (site.head, 1);
    let version = heads::redraw(&mut tx, made(foreman), at, &name, &new)
        .await
        .expect("saved");
    assert_eq!(version, 2);
    let late = heads::redraw(&mut tx, made(foreman), at, &name, &a_gable()).await;
    assert!(matches!(late, Err(StoreError::Stale("head"))), "{late:?}");
    tx.commit().await.expect("kept");
    let head = heads::head(app.db().read(), site.head)
        .await
        .expect("the head");
    assert_eq!((head.card.version, head.card.sheet_version), (2, 2));
    let last = heads::events(app.db().read(), site.head)
        .await
        .expect("events")
        .remove(0);
    assert_eq!(last.what, What::Redrawn);
    let kept =
        |text: Option<String>| serde_json::from_str::<Value>(&text.expect("kept")).expect("JSON");
    assert_eq!((kept(last.old), kept(last.new)), (a_gable(), new));
}

#[tokio::test]
async fn saving_nothing_new_leaves_no_event() {
    let site = a_site().await;
    let foreman = site.firm.person("foreman").await;
    let name = HeadName::parse("Porch").expect("a name");
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    let same = heads::redraw(&mut tx, made(foreman), (site.head, 1), &name, &a_gable()).await;
    assert_eq!(same.expect("nothing to do"), 1);
    let other = HeadName::parse("Front porch").expect("a name");
    let named = heads::redraw(&mut tx, made(foreman), (site.head, 1), &other, &a_gable()).await;
    assert_eq!(named.expect("renamed"), 2);
    tx.commit().await.expect("kept");
    let head = heads::head(site.firm.app.db().read(), site.head)
        .await
        .expect("the head");
    assert_eq!(head.card.sheet_version, 1, "a name is no new sheet");
}

#[tokio::test]
async fn an_illegal_step_changes_no_row() {
    let site = a_site().await;
    let (app, foreman) = (&site.firm.app, site.firm.person("foreman").await);
    let before = site.firm.dump().await;
    let mut tx = app.db().write().await.expect("the writer");
    let asked = Move::To(site.step("cut").await);
    let refused = heads::step(&mut tx, made(foreman), (site.head, 1), &asked).await;
    assert!(matches!(refused, Err(MoveError::Illegal(_))), "{refused:?}");
    tx.commit().await.expect("nothing to keep");
    assert_eq!(site.firm.dump().await, before);
}

#[tokio::test]
async fn every_move_is_written_down_with_its_reason() {
    let site = a_site().await;
    let (app, foreman) = (&site.firm.app, site.firm.person("foreman").await);
    let why = |text: &str| Reason::parse(text).expect("a reason");
    let moves = [
        (
            Move::NotNeeded(site.step("primed").await, why("PVC")),
            What::NotNeeded,
        ),
        (Move::To(site.step("drawn").await), What::Moved),
        (Move::Hold(why("Client away")), What::Held),
        (Move::Release, What::Released),
        (
            Move::SendBack(site.step("measured").await, why("Measure again")),
            What::SentBack,
        ),
        (Move::Needed(site.step("primed").await), What::Needed),
    ];
    let mut tx = app.db().write().await.expect("the writer");
    for (nth, (asked, _)) in (1..).zip(&moves) {
        let version = heads::step(&mut tx, made(foreman), (site.head, nth), asked).await;
        assert_eq!(version.expect("a legal move"), nth + 1);
    }
    tx.commit().await.expect("kept");
    let mut events = heads::events(app.db().read(), site.head)
        .await
        .expect("events");
    events.reverse();
    assert_eq!(
        events.iter().skip(1).map(|e| e.what).collect::<Vec<_>>(),
        moves.iter().map(|(_, what)| *what).collect::<Vec<_>>()
    );
    assert_eq!(events[5].reason.as_deref(), Some("Measure again"));
    let at = heads::at(app.db().read(), site.head)
        .await
        .expect("where it stands");
    assert!(at.standing.held.is_none() && at.standing.not_needed.is_empty());
}

#[tokio::test]
async fn facts_are_neither_changed_nor_removed() {
    let site = a_site().await;
    let foreman = site.firm.person("foreman").await;
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    heads::tick(&mut tx, made(foreman), (site.head, 1), "cap-1", true)
        .await
        .expect("ticked");
    heads::measure(&mut tx, made(foreman), (site.head, 1), None)
        .await
        .expect("measured");
    for sql in [
        "UPDATE head_event SET reason = 'no'",
        "DELETE FROM head_event",
        "UPDATE piece_tick SET done = 0",
        "DELETE FROM piece_tick",
        "UPDATE measured SET note = 'no'",
        "DELETE FROM measured",
    ] {
        assert!(sqlx::query(sql).execute(&mut *tx).await.is_err(), "{sql}");
    }
}

#[tokio::test]
async fn a_tick_counts_for_its_own_sheet_and_can_be_taken_back() {
    let site = a_site().await;
    let (app, foreman) = (&site.firm.app, site.firm.person("foreman").await);
    let mut tx = app.db().write().await.expect("the writer");
    for (label, done) in [("cap-1", true), ("cap-2", true), ("cap-1", false)] {
        heads::tick(&mut tx, made(foreman), (site.head, 1), label, done)
            .await
            .expect("ticked");
    }
    let other = heads::tick(&mut tx, made(foreman), (site.head, 2), "cap-3", true).await;
    assert!(
        matches!(other, Err(StoreError::Stale("cut sheet"))),
        "{other:?}"
    );
    tx.commit().await.expect("kept");
    let ticks = heads::ticks(app.db().read(), site.head, 1)
        .await
        .expect("ticks");
    assert_eq!(
        ticks.iter().map(|t| t.label.as_str()).collect::<Vec<_>>(),
        ["cap-2"]
    );
    assert!(
        heads::ticks(app.db().read(), site.head, 2)
            .await
            .expect("ticks")
            .is_empty()
    );
}

#[tokio::test]
async fn the_last_measures_of_the_bench_count() {
    let site = a_site().await;
    let (app, foreman) = (&site.firm.app, site.firm.person("foreman").await);
    let built = json!({"left_rake": "15 5/8", "peak_degrees": 30.2});
    let mut tx = app.db().write().await.expect("the writer");
    heads::measure(&mut tx, made(foreman), (site.head, 1), Some(&built))
        .await
        .expect("measured");
    tx.commit().await.expect("kept");
    assert_eq!(
        heads::as_built(app.db().read(), site.head)
            .await
            .expect("read"),
        Some(built)
    );
    let mut tx = app.db().write().await.expect("the writer");
    heads::measure(&mut tx, made(foreman), (site.head, 2), None)
        .await
        .expect("as drawn");
    tx.commit().await.expect("kept");
    assert_eq!(
        heads::as_built(app.db().read(), site.head)
            .await
            .expect("read"),
        None
    );
    let head = heads::head(app.db().read(), site.head)
        .await
        .expect("the head");
    assert_eq!(head.card.sheet_version, 3);
}

#[tokio::test]
async fn an_archived_head_leaves_the_lists_and_comes_back() {
    let site = a_site().await;
    let (app, foreman) = (&site.firm.app, site.firm.person("foreman").await);
    for (version, away, live) in [(1, true, 0), (2, false, 1)] {
        let mut tx = app.db().write().await.expect("the writer");
        heads::archive(&mut tx, made(foreman), (site.head, version), away)
            .await
            .expect("done");
        tx.commit().await.expect("kept");
        let filter = heads::Filter {
            like: "%".into(),
            ..heads::Filter::default()
        };
        let listed = heads::list(app.db().read(), &filter, (51, 0))
            .await
            .expect("a list");
        assert_eq!(listed.len(), live);
    }
}

#[tokio::test]
async fn a_list_narrows_by_job_step_person_and_word() {
    let site = a_site().await;
    let app = &site.firm.app;
    let foreman2 = site.firm.person("foreman2").await;
    let (other_job, opening) = an_opening(app, foreman2, "OT").await;
    a_head(app, foreman2, opening, a_gable()).await;
    site.give_to("carpenter").await;
    let carpenter = site.firm.person("carpenter").await.get();
    let cut = site.step("cut").await.get();
    let any = || heads::Filter {
        like: "%".into(),
        ..heads::Filter::default()
    };
    for (filter, found) in [
        (any(), 2),
        (
            heads::Filter {
                job: Some(other_job),
                ..any()
            },
            1,
        ),
        (
            heads::Filter {
                step: Some(cut),
                ..any()
            },
            0,
        ),
        (
            heads::Filter {
                assignee: Some(carpenter),
                ..any()
            },
            1,
        ),
        (
            heads::Filter {
                only_for: Some(carpenter),
                ..any()
            },
            1,
        ),
        (
            heads::Filter {
                held: true,
                ..any()
            },
            0,
        ),
        (
            heads::Filter {
                like: "%OT%".into(),
                ..any()
            },
            1,
        ),
        (
            heads::Filter {
                like: r"%\%%".into(),
                ..any()
            },
            0,
        ),
    ] {
        let listed = heads::list(app.db().read(), &filter, (51, 0))
            .await
            .expect("a list");
        assert_eq!(listed.len(), found, "{filter:?}");
    }
}

#[tokio::test]
async fn a_design_that_no_longer_parses_is_named_not_guessed() {
    let site = a_site().await;
    let mut tx = site.firm.app.db().write().await.expect("the writer");
    sqlx::query("UPDATE head SET form_version = 99")
        .execute(&mut *tx)
        .await
        .expect("spoilt");
    tx.commit().await.expect("kept");
    let read = heads::head(site.firm.app.db().read(), site.head).await;
    assert!(
        matches!(
            read,
            Err(StoreError::Unreadable {
                column: "form_version",
                ..
            })
        ),
        "{read:?}"
    );
}
