//! Each store function of sections, with a NULL where there can be one.

use headwright::db::StoreError;
use headwright::sections::{self, MadeOf, SectionId, What};
use headwright::web::ListQuery;

use super::{a_section, new};
use crate::support::a_firm;
use crate::support::records::{made, tx};

#[tokio::test]
async fn a_section_reads_back_curve_for_curve() {
    let firm = a_firm().await;
    let greek = [
        ("member.1.struck", "ellipse"),
        ("member.3.struck", "hyperbola"),
        ("back", "sprung"),
        ("spring_degrees", "38"),
    ];
    let id = a_section(&firm, &greek).await;
    let kept = sections::section(firm.app.db().read(), id)
        .await
        .expect("there");
    let as_made = new(&greek);
    assert_eq!(
        kept.drawing.section, as_made.drawing.section,
        "every number the same"
    );
    assert_eq!((kept.edition, kept.version, kept.archived_at), (1, 1, None));
    assert_eq!(kept.drawing.made_of, MadeOf::Parts);
    let none = sections::section(firm.app.db().read(), SectionId::new(99)).await;
    assert!(matches!(none, Err(StoreError::Missing(_))));
}

#[tokio::test]
async fn only_another_drawing_makes_another_edition_and_old_ones_stay() {
    let firm = a_firm().await;
    let pool = firm.app.db().read();
    let id = a_section(&firm, &[]).await;
    let by = made(&firm).await;
    let was = sections::section(pool, id).await.expect("there");
    let mut work = tx(&firm).await;
    let renamed = new(&[("name", "Door crown"), ("note", "Old mill.")]);
    let edition = sections::change(&mut work, by, &was, 1, &renamed)
        .await
        .expect("changed");
    work.commit().await.expect("kept");
    assert_eq!(edition, 1);
    let was = sections::section(pool, id).await.expect("there");
    let mut work = tx(&firm).await;
    let taller = new(&[
        ("name", "Door crown"),
        ("note", "Old mill."),
        ("member.0.height", "1/2"),
    ]);
    let edition = sections::change(&mut work, by, &was, 2, &taller)
        .await
        .expect("changed");
    let stale = sections::change(&mut work, by, &was, 2, &taller).await;
    assert!(matches!(stale, Err(StoreError::Stale(_))));
    work.commit().await.expect("kept");
    assert_eq!(edition, 2);
    let first = sections::edition(pool, id, 1)
        .await
        .expect("read")
        .expect("the first");
    let second = sections::edition(pool, id, 2)
        .await
        .expect("read")
        .expect("the second");
    assert_eq!(first.section, new(&[]).drawing.section);
    assert_eq!(second.section, taller.drawing.section);
    assert_eq!(sections::edition(pool, id, 3).await.expect("read"), None);
    assert_eq!(
        sections::present_edition(pool, id).await.expect("read"),
        Some((2, false))
    );
    let none = sections::present_edition(pool, SectionId::new(99)).await;
    assert_eq!(none.expect("read"), None);
    let whats: Vec<What> = sections::events(pool, id)
        .await
        .expect("events")
        .into_iter()
        .map(|event| event.what)
        .collect();
    assert_eq!(
        whats,
        [What::Redrawn, What::Noted, What::Renamed, What::Created]
    );
}

#[tokio::test]
async fn a_name_is_given_once_and_an_archived_section_leaves_the_shelf() {
    let firm = a_firm().await;
    let pool = firm.app.db().read();
    let id = a_section(&firm, &[]).await;
    let by = made(&firm).await;
    let mut work = tx(&firm).await;
    let twice = sections::add(&mut work, by, &new(&[("name", "PORCH crown")])).await;
    assert!(matches!(twice, Err(StoreError::Taken("name"))));
    drop(work);
    let was = sections::section(pool, id).await.expect("there");
    assert_eq!(sections::shelf(pool).await.expect("read").len(), 1);
    let mut work = tx(&firm).await;
    sections::archive(&mut work, by, &was, 1, true)
        .await
        .expect("archived");
    work.commit().await.expect("kept");
    assert!(sections::shelf(pool).await.expect("read").is_empty());
    assert_eq!(
        sections::present_edition(pool, id).await.expect("read"),
        Some((1, true))
    );
    let live = sections::sections(pool, &ListQuery::default())
        .await
        .expect("read");
    assert!(live.is_empty());
    let query = ListQuery {
        archived: "yes".into(),
        q: "porch".into(),
        ..ListQuery::default()
    };
    assert_eq!(
        sections::sections(pool, &query).await.expect("read").len(),
        1
    );
}

#[tokio::test]
async fn editions_and_events_cannot_be_changed() {
    let firm = a_firm().await;
    a_section(&firm, &[]).await;
    for sql in [
        "UPDATE section_edition SET drawing = '{}'",
        "DELETE FROM section_edition",
        "UPDATE section_event SET what = 'renamed'",
        "DELETE FROM section_event",
    ] {
        let mut work = tx(&firm).await;
        let refused = sqlx::query(sql).execute(&mut *work).await;
        assert!(refused.is_err(), "{sql}");
    }
}
